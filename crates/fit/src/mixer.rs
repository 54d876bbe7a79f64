//! What a sheet says of a heptode as a mixer and of the triode beside it as an oscillator.
//!
//! A section fitted at rest comes in, the same in service goes out: with the effect of its injection grid, or with the
//! swing of its grid.

use circuit::{Characteristic, DataPoint, Heptode, OscillatorTriode, PointKind, Triode};
use solver::evaluate;

use crate::error::FitError;
use crate::sheet::{DataSheet, SectionKind};

/// Halvings of the swing: far below what a sheet prints.
const HALVINGS: usize = 60;

/// Peak grid volts below the grid's bias within which the swing lies.
const MOST_ABOVE_BIAS: f64 = 20.0;

/// Any other section as it is.
pub(crate) fn in_service(
    sheet: &DataSheet,
    at_rest: Characteristic,
) -> Result<Characteristic, FitError> {
    let point = |kind| sheet.points.iter().find(|point| point.kind == kind);
    Ok(match at_rest {
        Characteristic::Pentode(pentode) if sheet.kind == SectionKind::Heptode => {
            let missing = FitError::NoOperatingPoint {
                missing: "currents as a mixer",
            };
            let mixing = point(PointKind::Mixing).ok_or(missing.clone())?;
            let operating = point(PointKind::OperatingPoint).ok_or(missing.clone())?;
            // The plate's share of the space current falls by e = exp(Vg3/scale).
            let share = |point: &DataPoint| {
                let plate = point.plate_amperes?;
                Some(plate / (plate + point.screen_amperes?))
            };
            let falls = share(mixing).zip(share(operating));
            let (mixing_share, operating_share) = falls.ok_or(missing)?;
            Characteristic::Heptode(Heptode {
                pentode,
                injection_scale: mixing.grid_volts / (mixing_share / operating_share).ln(),
            })
        }
        Characteristic::Triode(triode) => match point(PointKind::OscillatorGrid) {
            Some(grid) => Characteristic::Oscillator(OscillatorTriode {
                triode,
                swing: swing(triode, grid),
                fed_at: None,
            }),
            None => at_rest,
        },
        other => other,
    })
}

/// The swing with which the grid draws the current of its leak, by halving.
fn swing(triode: Triode, grid: &DataPoint) -> f64 {
    let want = grid.plate_amperes.unwrap_or_default();
    let bias = grid.grid_volts;
    let draws = |swing: f64| {
        let law = Characteristic::Oscillator(OscillatorTriode {
            triode,
            swing,
            fed_at: None,
        });
        evaluate(&law, &[grid.plate_volts, bias, 0.0, 0.0, 0.0]).current[1]
    };
    let (mut low, mut high) = (-bias, MOST_ABOVE_BIAS - bias);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if draws(middle) < want {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}
