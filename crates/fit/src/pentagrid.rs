//! The pentagrid converter, in closed form: its sheet has as many numbers as the law.
//!
//! The column of the oscillator at rest gives the space current, the columns in service give its
//! average and its sharing between plate and screen.

use circuit::{Characteristic, DataPoint, Pentagrid, PointKind, Wear};
use solver::evaluate;

use crate::error::FitError;
use crate::sheet::DataSheet;

/// Knee as a share of the screen's volts, and its steepness (from memory of plate curves).
const KNEE: f64 = 0.09;
const KNEE_POWER: f64 = 2.0;

/// Conversion transconductance falls from 475 to 10 µmho between −1.5 V and −30 V of the signal
/// grid (from memory of makers' data): volts for a factor e.
fn signal_scale() -> f64 {
    (30.0 - 1.5) / (475.0_f64 / 10.0).ln()
}

/// Plate and screen currents of a column in service, as the division function sees them.
struct Column<'a> {
    point: &'a DataPoint,
    /// Space current in amperes.
    space: f64,
    /// Space current over plate current.
    over_plate: f64,
    /// `k = (Vk/P)^m`
    knee: f64,
    /// `ln(Q/P)`
    spread: f64,
}

/// What the column of the oscillator at rest tells.
struct Rest {
    perveance: f64,
    exponent: f64,
    mu: f64,
    /// Equivalent-diode volts of grid 1 at the cathode's.
    drive: f64,
}

pub(crate) fn solve(sheet: &DataSheet) -> Result<Characteristic, FitError> {
    let rest = at_rest(sheet)?;
    let columns: Vec<Column> = sheet
        .points
        .iter()
        .filter(|point| point.kind == PointKind::ConverterOscillating)
        .filter_map(column)
        .collect();
    let [first, second] = columns.as_slice() else {
        return Err(FitError::TooFewNumbers {
            found: columns.len(),
            needed: 2,
        });
    };
    let coarse = divide(sheet, &rest, [first, second], 1.0);
    // The law rounds the onset of the signal grid's effect, so that a small part of it remains at
    // the bias of the sheet, the same in both columns.
    let (plate, space) = plate_and_space(&coarse, first.point);
    let left = plate / space * first.over_plate;
    Ok(Characteristic::Pentagrid(divide(
        sheet,
        &rest,
        [first, second],
        left,
    )))
}

fn at_rest(sheet: &DataSheet) -> Result<Rest, FitError> {
    let (total, gm, mu, screen) = sheet
        .points
        .iter()
        .find(|point| point.kind == PointKind::ConverterAtRest)
        .and_then(|p| Some((p.plate_amperes?, p.gm?, p.mu?, p.screen_volts?)))
        .ok_or(FitError::NoOperatingPoint {
            missing: "cathode current, transconductance, mu and screen volts at rest",
        })?;
    // It = G·U^x with U = Vg1 + Vg2/mu, and gm = x·It/U
    let drive = screen / mu;
    let exponent = gm * drive / total;
    Ok(Rest {
        perveance: total / drive.powf(exponent),
        exponent,
        mu,
        drive,
    })
}

/// The characteristic whose plate gets the columns' shares, if the signal grid leaves it `left`.
fn divide(sheet: &DataSheet, rest: &Rest, [first, second]: [&Column; 2], left: f64) -> Pentagrid {
    // Ip = It·left/(1 + a + k),  a = D·(Q/P)^n in two columns
    let a = |column: &Column| left * column.over_plate - 1.0 - column.knee;
    let share_exponent = (a(second) / a(first)).ln() / (second.spread - first.spread);
    // The columns differ by a percent in what the law makes one current.
    let mean = 0.5 * (first.space + second.space);
    Pentagrid {
        perveance: rest.perveance,
        exponent: rest.exponent,
        mu: rest.mu,
        screen_share: a(first) / (share_exponent * first.spread).exp(),
        share_exponent,
        knee: KNEE,
        knee_power: KNEE_POWER,
        signal_scale: signal_scale(),
        oscillating_grid: (mean / rest.perveance).powf(1.0 / rest.exponent) - rest.drive,
        fed_at: None,
        oscillator_amperes: sheet
            .points
            .iter()
            .find(|point| point.kind == PointKind::OscillatorGrid)
            .and_then(|point| point.plate_amperes)
            .unwrap_or(Pentagrid::OSCILLATOR_AMPERES),
        oscillates: true,
        grid: sheet.grid,
        wear: Wear::NONE,
    }
}

fn column(point: &DataPoint) -> Option<Column<'_>> {
    let (p, q) = (point.plate_volts, point.screen_volts?);
    let plate = point.plate_amperes?;
    // h2 = Q/(Q + 1 V) of what is left of the space current reaches the screen
    let space = plate + point.screen_amperes? * (q + 1.0) / q;
    Some(Column {
        point,
        space,
        over_plate: space / plate,
        // k = (Vk/P)^m,  Vk = kk·Q + 1 V
        knee: ((KNEE * q + 1.0) / p).powf(KNEE_POWER),
        spread: (q / p).ln(),
    })
}

/// Plate and space current of the law at a column.
fn plate_and_space(tube: &Pentagrid, point: &DataPoint) -> (f64, f64) {
    let screen = point.screen_volts.unwrap_or(0.0);
    let volts = [point.plate_volts, screen, 0.0, point.grid_volts, 0.0];
    let found = evaluate(&Characteristic::Pentagrid(*tube), &volts);
    let plate = found.current[0];
    (plate, plate + found.current[1] * (screen + 1.0) / screen)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{fit_tube, SheetQuantity};

    /// The columns of a 6BE6 sheet (from memory): 2.6 and 7.0 mA at 100 V, 2.9 and 6.8 mA at 250 V.
    /// 0.6 %, half of the percent by which their sums differ.
    #[test]
    fn both_columns_in_service_are_met() {
        let own = circuit::tube_sheets().iter().find(|s| s.name == "6BE6");
        let fit = fit_tube(&DataSheet::of_type(own.unwrap()).unwrap()).unwrap();
        let want = [2.6e-3, 7.0e-3, 2.9e-3, 6.8e-3];
        assert_eq!(fit.residuals.len(), want.len());
        for (residual, want) in fit.residuals.iter().zip(want) {
            let miss = (residual.got - want).abs();
            assert!(miss <= 6e-3 * want, "{residual:?}");
            let plate = residual.quantity == SheetQuantity::PlateCurrent;
            assert_eq!(plate, want < 5e-3);
        }
    }

    /// At rest: 25 mA of cathode current and 7250 µmho at 0 V and 100 V, by the law's own formula.
    #[test]
    fn the_column_at_rest_is_met() {
        let own = circuit::tube_sheets().iter().find(|s| s.name == "6BE6");
        let fit = fit_tube(&DataSheet::of_type(own.unwrap()).unwrap()).unwrap();
        let Characteristic::Pentagrid(tube) = fit.characteristic else {
            panic!("a 6BE6 is a pentagrid");
        };
        let space = tube.perveance * 5.0_f64.powf(tube.exponent);
        assert!((space - 25e-3).abs() < 1e-9);
        assert!((tube.exponent * space / 5.0 - 7250e-6).abs() < 1e-9);
    }
}
