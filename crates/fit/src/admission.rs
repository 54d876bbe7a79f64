//! What a sheet must have before a fit is tried.

use circuit::{DataPoint, PointKind};

use crate::error::FitError;
use crate::sheet::{DataSheet, ExpectedMu, SectionKind};

/// Refuses a sheet with fewer numbers than its kind needs.
pub(crate) fn check_count(sheet: &DataSheet) -> Result<(), FitError> {
    let needed = least_numbers(sheet.kind);
    let found = sheet.points.iter().map(numbers).sum();
    if found < needed {
        return Err(FitError::TooFewNumbers { found, needed });
    }
    Ok(())
}

/// Refuses an expected amplification factor that no tube has.
pub(crate) fn check_expectation(sheet: &DataSheet) -> Result<(), FitError> {
    match sheet.expected_mu {
        Some(ExpectedMu { value, spread }) if !(is_positive(value) && is_positive(spread)) => {
            Err(FitError::BadExpectation { value, spread })
        }
        _ => Ok(()),
    }
}

fn is_positive(value: f64) -> bool {
    value.is_finite() && value > 0.0
}

/// Numbers of a point that take part in a fit.
fn numbers(point: &DataPoint) -> usize {
    let given = match point.kind {
        PointKind::OperatingPoint | PointKind::Drop => {
            vec![
                point.plate_amperes,
                point.screen_amperes,
                point.gm,
                point.rp,
            ]
        }
        PointKind::RemoteTail => vec![point.gm],
        PointKind::Cutoff | PointKind::PublishedCurve | PointKind::MeasuredCurve => {
            vec![point.plate_amperes]
        }
        _ => Vec::new(),
    };
    given.into_iter().flatten().count()
}

/// The priors can replace numbers for a few parameters only.
fn least_numbers(kind: SectionKind) -> usize {
    match kind {
        SectionKind::VacuumDiode { .. } => 1,
        SectionKind::Triode => 3,
        SectionKind::Pentode | SectionKind::BeamTetrode => 4,
        SectionKind::RemotePentode | SectionKind::Heptode => 5,
        SectionKind::Pentagrid => 0,
    }
}

/// Refuses numbers that no sheet can have.
pub(crate) fn check_numbers(points: &[DataPoint]) -> Result<(), FitError> {
    for (index, point) in points.iter().enumerate() {
        let bad = |quantity, value| FitError::BadNumber {
            point: index + 1,
            quantity,
            value,
        };
        let volts = [
            ("plate volts", Some(point.plate_volts)),
            ("grid volts", Some(point.grid_volts)),
            ("screen volts", point.screen_volts),
        ];
        if let Some((name, Some(value))) = volts
            .iter()
            .find(|(_, v)| v.is_some_and(|v| !v.is_finite()))
        {
            return Err(bad(name, *value));
        }
        let positive = [
            ("plate current", point.plate_amperes),
            ("screen current", point.screen_amperes),
            ("transconductance", point.gm),
            ("plate resistance", point.rp),
            ("amplification factor", point.mu),
        ];
        let wrong = |value: f64| !is_positive(value);
        if let Some((name, Some(value))) = positive.iter().find(|(_, v)| v.is_some_and(wrong)) {
            return Err(bad(name, *value));
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use circuit::GridCurrent;

    use super::*;
    use crate::fit_tube;

    fn point(plate_amperes: Option<f64>, gm: Option<f64>) -> DataPoint {
        DataPoint {
            kind: PointKind::OperatingPoint,
            plate_volts: 250.0,
            grid_volts: -2.0,
            screen_volts: None,
            plate_amperes,
            screen_amperes: None,
            gm,
            rp: None,
            mu: None,
            status: String::new(),
            source: String::new(),
        }
    }

    fn fault(kind: SectionKind, points: Vec<DataPoint>) -> FitError {
        let sheet = DataSheet {
            kind,
            points,
            expected_mu: None,
            grid: GridCurrent::RECEIVING,
        };
        fit_tube(&sheet).unwrap_err()
    }

    #[test]
    fn two_numbers_do_not_make_a_triode() {
        let points = vec![point(Some(1.2e-3), Some(1.6e-3))];
        let want = FitError::TooFewNumbers {
            found: 2,
            needed: 3,
        };
        assert_eq!(fault(SectionKind::Triode, points), want);
    }

    #[test]
    fn nothing_at_all_is_refused_for_every_kind() {
        for kind in [
            SectionKind::VacuumDiode { contact: 0.0 },
            SectionKind::Triode,
            SectionKind::Pentode,
            SectionKind::BeamTetrode,
            SectionKind::RemotePentode,
            SectionKind::Heptode,
            SectionKind::Pentagrid,
        ] {
            fault(kind, Vec::new());
        }
    }

    #[test]
    fn a_current_without_a_screen_does_not_make_a_pentode() {
        let points = vec![point(Some(1e-3), Some(1e-3)), point(Some(2e-3), Some(2e-3))];
        let fault = fault(SectionKind::Pentode, points);
        assert!(
            matches!(fault, FitError::NoOperatingPoint { .. }),
            "{fault}"
        );
    }

    #[test]
    fn impossible_numbers_are_named_with_their_point() {
        let points = vec![point(Some(1e-3), None), point(Some(-1e-3), Some(f64::NAN))];
        let want = FitError::BadNumber {
            point: 2,
            quantity: "plate current",
            value: -1e-3,
        };
        assert_eq!(fault(SectionKind::Triode, points), want);
        let mut endless = point(Some(1e-3), None);
        endless.plate_volts = f64::INFINITY;
        assert!(matches!(
            fault(SectionKind::Triode, vec![endless]),
            FitError::BadNumber {
                quantity: "plate volts",
                ..
            }
        ));
    }

    #[test]
    fn an_impossible_amplification_factor_is_refused() {
        let own = circuit::tube_sheets().iter().find(|s| s.name == "6SN7");
        let mut sheet = DataSheet::of_type(own.unwrap()).unwrap();
        for (value, spread) in [(-20.0, 0.06), (0.0, 0.06), (f64::NAN, 0.06), (20.0, 0.0)] {
            sheet.expected_mu = Some(ExpectedMu { value, spread });
            let fault = fit_tube(&sheet).unwrap_err();
            assert!(matches!(fault, FitError::BadExpectation { .. }), "{fault}");
        }
    }

    /// Finite and positive numbers that make no tube: a fit or an error, but no panic.
    #[test]
    fn extreme_numbers_end_in_an_answer() {
        for name in ["12AX7", "6SK7", "6BE6", "6AL5"] {
            let own = circuit::tube_sheets().iter().find(|s| s.name == name);
            for extreme in [f64::MIN_POSITIVE, 1e-300, 1e300, f64::MAX] {
                let mut sheet = DataSheet::of_type(own.unwrap()).unwrap();
                sheet.expected_mu = None;
                for point in &mut sheet.points {
                    point.plate_volts = -extreme;
                    point.screen_volts = point.screen_volts.map(|_| 0.0);
                    point.plate_amperes = Some(extreme);
                    point.gm = Some(1.0 / extreme);
                }
                assert!(fit_tube(&sheet).is_err(), "{name} {extreme}");
            }
        }
    }
}
