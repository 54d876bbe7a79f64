//! The search for the parameters of a section.

use circuit::{Characteristic, PointKind};
use rmpfit::{MPFitter, MPSuccess};

use crate::admission::{check_count, check_expectation, check_numbers};
use crate::coordinate::Coordinate;
use crate::error::FitError;
use crate::mixer;
use crate::pentagrid;
use crate::residual::{compare, Residual};
use crate::search::Search;
use crate::section::characteristic;
use crate::sheet::{DataSheet, SectionKind};

/// A characteristic and how well it meets its sheet.
#[derive(Clone, Debug, PartialEq)]
pub struct Fit {
    /// What was found.
    pub characteristic: Characteristic,
    /// Every number that took part; what the characteristic gives at a measured curve is scaled by
    /// [`Fit::curve_scale`].
    pub residuals: Vec<Residual>,
    /// Emission of the tubes of measured curves, as a share of the characteristic's.
    pub curve_scale: Option<f64>,
    /// Root mean square of the deviates of the residuals.
    pub rms: f64,
    /// Steps of the search; 0 where none was needed.
    pub iterations: usize,
}

/// Root mean square of the deviates above which a sheet contradicts itself or the law.
pub(crate) const MOST_RMS: f64 = 2.0;

/// Fits a section to its points. Checks take no part.
///
/// # Errors
/// [`FitError`] if the points are too few, cannot be, or are not met within reason; each variant
/// carries the numbers.
pub fn fit_tube(sheet: &DataSheet) -> Result<Fit, FitError> {
    check_numbers(&sheet.points)?;
    check_expectation(sheet)?;
    check_count(sheet)?;
    if sheet.kind == SectionKind::Pentagrid {
        let characteristic = pentagrid::solve(sheet)?;
        let residuals = residuals(sheet, &characteristic, None);
        return accept(characteristic, residuals, None, 0);
    }
    let mut search = Search::new(sheet)?;
    let mut at: Vec<f64> = search.coordinates.iter().map(Coordinate::start).collect();
    let status = search.mpfit(&mut at).map_err(|_| search.failed())?;
    if matches!(status.success, MPSuccess::MaxIter | MPSuccess::NotDone) {
        return Err(FitError::NotSettled {
            iterations: status.n_iter,
            chi_squared: status.best_norm,
        });
    }
    for (coordinate, at) in search.coordinates.iter().zip(&at) {
        if coordinate.is_at_bound(*at) {
            return Err(FitError::AtBound {
                parameter: coordinate.name,
                value: coordinate.value(*at),
            });
        }
    }
    let (values, scale) = search.values(&at);
    let characteristic = characteristic(sheet, &values).ok_or_else(|| search.failed())?;
    let characteristic = mixer::in_service(sheet, characteristic)?;
    let residuals = residuals(sheet, &characteristic, scale);
    accept(characteristic, residuals, scale, status.n_iter)
}

fn accept(
    characteristic: Characteristic,
    residuals: Vec<Residual>,
    curve_scale: Option<f64>,
    iterations: usize,
) -> Result<Fit, FitError> {
    let sum: f64 = residuals.iter().map(|r| r.deviate().powi(2)).sum();
    let rms = (sum / residuals.len().max(1) as f64).sqrt();
    // Written so that a sum that is no number is refused as well.
    if rms <= MOST_RMS {
        Ok(Fit {
            characteristic,
            residuals,
            curve_scale,
            rms,
            iterations,
        })
    } else {
        Err(FitError::PoorFit {
            rms,
            allowed: MOST_RMS,
        })
    }
}

/// Residuals of all points but the checks.
pub(crate) fn residuals(
    sheet: &DataSheet,
    characteristic: &Characteristic,
    scale: Option<f64>,
) -> Vec<Residual> {
    let mut found = compare(characteristic, &sheet.points);
    found.retain(|residual| !sheet.points[residual.point].kind.is_kept_from_fit());
    for residual in &mut found {
        if sheet.points[residual.point].kind == PointKind::MeasuredCurve {
            residual.got *= scale.unwrap_or(1.0);
        }
    }
    found
}

#[cfg(test)]
mod tests {
    use circuit::{DataPoint, GridCurrent, Triode, Wear};

    use super::*;
    use crate::sheet::ExpectedMu;

    const TRUE: Triode = Triode {
        perveance: 1.3e-3,
        exponent: 1.42,
        mu: 20.6,
        softness: 250.0,
        contact: 0.35,
        grid: GridCurrent::RECEIVING,
        wear: Wear::NONE,
    };

    fn point(kind: PointKind, plate_volts: f64, grid_volts: f64) -> DataPoint {
        DataPoint {
            kind,
            plate_volts,
            grid_volts,
            screen_volts: None,
            plate_amperes: Some(1.0),
            screen_amperes: None,
            gm: Some(1.0),
            rp: Some(1.0),
            mu: Some(20.0),
            status: String::new(),
            source: String::new(),
        }
    }

    /// The sheet that a tube of known parameters would have.
    fn sheet(places: &[(f64, f64)]) -> DataSheet {
        let mut points: Vec<DataPoint> = places
            .iter()
            .map(|(plate, grid)| point(PointKind::OperatingPoint, *plate, *grid))
            .collect();
        for r in compare(&Characteristic::Triode(TRUE), &points) {
            let own = &mut points[r.point];
            match r.quantity {
                crate::SheetQuantity::PlateCurrent => own.plate_amperes = Some(r.got),
                crate::SheetQuantity::Transconductance => own.gm = Some(r.got),
                crate::SheetQuantity::PlateResistance => own.rp = Some(r.got),
                crate::SheetQuantity::ScreenCurrent => {}
            }
        }
        DataSheet {
            kind: SectionKind::Triode,
            points,
            expected_mu: Some(ExpectedMu {
                value: 20.6,
                spread: 0.06,
            }),
            grid: GridCurrent::RECEIVING,
        }
    }

    /// Between its points a fitted tube carries the current of the tube that the points are of;
    /// 2 %, for the priors shift it a little.
    #[test]
    fn a_known_tube_is_found_again_between_its_points() {
        let fit = fit_tube(&sheet(&[(100.0, 0.0), (150.0, -3.0), (250.0, -8.0)])).unwrap();
        let between = [
            point(PointKind::OperatingPoint, 120.0, -1.0),
            point(PointKind::OperatingPoint, 200.0, -5.0),
        ];
        let got = compare(&fit.characteristic, &between);
        let want = compare(&Characteristic::Triode(TRUE), &between);
        for (got, want) in got.iter().zip(&want) {
            let miss = (got.got - want.got).abs();
            assert!(miss <= 0.02 * want.got, "{} not {}", got.got, want.got);
        }
        assert!(fit.rms < 0.3, "rms {}", fit.rms);
    }

    #[test]
    fn a_check_takes_no_part() {
        let without = sheet(&[(100.0, 0.0), (250.0, -8.0)]);
        let mut with = without.clone();
        with.points.push(point(PointKind::Check, 100.0, 0.0));
        let (one, other) = (fit_tube(&without).unwrap(), fit_tube(&with).unwrap());
        assert_eq!(one.characteristic, other.characteristic);
        assert_eq!(one.residuals.len(), other.residuals.len());
    }

    #[test]
    fn points_that_contradict_each_other_are_refused_with_their_misfit() {
        let mut bad = sheet(&[(100.0, 0.0), (150.0, -3.0), (250.0, -8.0)]);
        // The middle point states half as much again, fifteen times its spread.
        bad.points[1].plate_amperes = bad.points[1].plate_amperes.map(|i| 1.5 * i);
        match fit_tube(&bad) {
            Err(FitError::PoorFit { rms, allowed }) => assert!(rms > allowed),
            other => panic!("{other:?}"),
        }
    }

    #[test]
    fn a_tube_that_no_tube_can_be_runs_to_a_bound() {
        let mut bad = sheet(&[(100.0, 0.0), (250.0, -8.0)]);
        for point in &mut bad.points {
            point.plate_amperes = point.plate_amperes.map(|i| 1e6 * i);
            point.gm = point.gm.map(|gm| 1e6 * gm);
            point.rp = point.rp.map(|rp| 1e-6 * rp);
        }
        let fault = fit_tube(&bad).unwrap_err();
        assert!(
            matches!(
                fault,
                FitError::AtBound {
                    parameter: "perveance",
                    ..
                }
            ),
            "{fault}"
        );
    }
}
