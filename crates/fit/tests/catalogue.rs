//! The catalogue's parameters against a repeated fit, a separate one, and measured tubes.

use circuit::{
    tube_sheets, tube_type, tube_types, Characteristic, DataPoint, PointKind, TubeSheet,
};
use fit::{compare, fit_tube, parameters, residuals_in_words, DataSheet, Residual, SheetQuantity};

fn sheet(name: &str) -> &'static TubeSheet {
    let found = tube_sheets().iter().find(|sheet| sheet.name == name);
    found.expect("a type of the catalogue")
}

fn shipped(name: &str) -> Characteristic {
    tube_type(name).expect("a type of the catalogue").units[0].characteristic
}

/// A part in a million: ten digits are kept, and the search converges closer than that.
#[test]
fn the_shipped_parameters_are_those_of_a_repeated_fit() {
    let mut fitted = 0;
    for own in tube_sheets() {
        let sections = [DataSheet::of_type(own), DataSheet::of_triode_section(own)];
        let mut residuals = Vec::new();
        for (sheet, unit) in sections.into_iter().flatten().zip(0..) {
            residuals.push(fitted_again(&own.name, &sheet, unit));
        }
        if !residuals.is_empty() {
            let told = &tube_type(&own.name).unwrap().residuals;
            assert_eq!(told, &residuals.join("; triode: "), "{}", own.name);
            fitted += 1;
        }
    }
    // All but the glow tubes, whose law is not fitted.
    let wanted = tube_types().filter(|tube| tube.glow.is_none());
    assert_eq!(fitted, wanted.count());
    assert!(fitted > 0);
}

/// Fits a section again, holds it against the shipped one, and says what the fit leaves.
fn fitted_again(name: &str, sheet: &DataSheet, unit: usize) -> String {
    let again = fit_tube(sheet).expect("a sheet that fits");
    let units = &tube_type(name).expect("a type of the catalogue").units;
    let (section, want) = parameters(&units[unit].characteristic);
    let (same, got) = parameters(&again.characteristic);
    assert_eq!((section, want.len()), (same, got.len()), "{name}");
    for ((parameter, want), (_, got)) in want.into_iter().zip(got) {
        let allowed = 1e-6 * f64::abs(want) + 1e-12;
        let off = (got - want).abs();
        assert!(
            off <= allowed,
            "{name} {parameter}: fitted {got}, shipped {want}"
        );
    }
    residuals_in_words(&again, &sheet.points)
}

/// Currents of a separate least-squares fit of the same points, by another program in another
/// language; 1 % of the current and 1 µA, a third of the weight of a point.
#[test]
fn plate_currents_agree_with_a_separate_fit() {
    let text = include_str!("reference_currents.csv");
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let mut rows = 0;
    for record in reader.records() {
        let record = record.unwrap();
        let volts = |index: usize| record[index].parse::<f64>().ok();
        let point = DataPoint {
            kind: PointKind::OperatingPoint,
            plate_volts: volts(1).unwrap(),
            grid_volts: volts(2).unwrap(),
            screen_volts: volts(3),
            plate_amperes: volts(4).map(|milliamperes| 1e-3 * milliamperes),
            screen_amperes: volts(5).map(|milliamperes| 1e-3 * milliamperes),
            gm: None,
            rp: None,
            mu: None,
            status: String::new(),
            source: String::new(),
        };
        for r in compare(&shipped(&record[0]), &[point]) {
            // Screen currents were weighted half as much.
            let share = match r.quantity {
                SheetQuantity::PlateCurrent => 0.01,
                _ => 0.02,
            };
            let allowed = share * r.want + 1e-6;
            let miss = (r.got - r.want).abs();
            assert!(miss <= allowed, "{record:?}: {:?} {}", r.quantity, r.got);
        }
        rows += 1;
    }
    assert_eq!(rows, 117);
}

/// A sheet that a job states has no factor of grid 1 to the screen. Its currents and transconductance say it within
/// a third; gm·rp, the factor of the plate, would be ten times as much and more.
#[test]
fn a_pentode_whose_sheet_states_no_factor_gets_that_of_its_screen() {
    for name in ["EL84", "6V6", "6AU6", "EF80", "12BY7A"] {
        let stated = TubeSheet {
            expected_mu: None,
            mu_spread: None,
            ..sheet(name).clone()
        };
        let fit = fit_tube(&DataSheet::of_type(&stated).unwrap()).unwrap();
        let (Characteristic::Pentode(own), Characteristic::Pentode(known)) =
            (fit.characteristic, shipped(name))
        else {
            panic!("{name} is no pentode");
        };
        let share = own.mu / known.mu;
        assert!(
            (0.67..=1.5).contains(&share),
            "{name}: {} {}",
            own.mu,
            known.mu
        );
    }
}

/// Plate currents of the triodes beside pentodes.
#[test]
fn operating_points_of_triode_sections_are_met() {
    let mut met = 0;
    for own in tube_sheets() {
        let Some(triode) = DataSheet::of_triode_section(own) else {
            continue;
        };
        let units = &tube_type(&own.name).unwrap().units;
        for r in compare(&units[1].characteristic, &triode.points) {
            if r.quantity == SheetQuantity::PlateCurrent {
                // The average current of an oscillator follows from its grid's: nothing is fitted to it.
                let oscillates = triode.points[r.point].kind == PointKind::OscillatorAnode;
                let enough = if oscillates { 0.20 } else { 0.02 };
                assert!(
                    (r.got - r.want).abs() <= enough * r.want,
                    "{}: {r:?}",
                    own.name
                );
                met += 1;
            }
        }
    }
    assert_eq!(met, 18);
}

fn plate_currents(name: &str, kind: PointKind) -> Vec<Residual> {
    let points = &sheet(name).points;
    let mut found = compare(&shipped(name), points);
    found.retain(|r| r.quantity == SheetQuantity::PlateCurrent && points[r.point].kind == kind);
    found
}

/// Published plate currents: within 1 % for the 12AX7, whose sheet was read; within 4.6 % for the
/// 12AT7, its half and the 30, whose two columns the law cannot both meet; within 3 % for the others.
#[test]
fn operating_points_are_met() {
    for own in tube_sheets() {
        let allowed = match own.name.as_str() {
            "12AX7" => 0.01,
            "12AT7" | "6AB4" | "30" => 0.046,
            "6AG5" => 0.03,
            _ => 0.028,
        };
        for r in plate_currents(&own.name, PointKind::OperatingPoint) {
            let miss = (r.got - r.want).abs();
            assert!(miss <= allowed * r.want, "{}: {r:?}", own.name);
        }
    }
}

/// Published points that no fit saw, in a sheet whose other points it did: within 20 % for the plate
/// current of a tube near its usual bias. That is what leaving out one of two points of the older
/// types gave (−26 to +19 % for triodes, −9 to +5 % for tubes with a screen); a tuning eye's grid
/// volts of closing are a current near nothing, good to a factor of ten.
#[test]
fn points_kept_back_are_predicted() {
    let mut tried = 0;
    for own in tube_sheets() {
        let kept = plate_currents(&own.name, PointKind::HeldBack);
        for r in &kept {
            let eye = own.class == circuit::TubeClass::TuningEye;
            let (low, high) = if eye { (0.1, 10.0) } else { (0.8, 1.2) };
            let share = r.got / r.want;
            assert!((low..=high).contains(&share), "{}: {r:?}", own.name);
        }
        tried += usize::from(!kept.is_empty());
    }
    assert_eq!(tried, 46);
}

/// Emission of measured tubes as a share of the shipped one's: least squares through nothing.
fn emission(residuals: &[Residual]) -> f64 {
    let both: f64 = residuals.iter().map(|r| r.got * r.want).sum();
    both / residuals.iter().map(|r| r.got * r.got).sum::<f64>()
}

/// Measured tubes that no fit has seen: the mean of 28 EL34 triode-connected, and of two sections
/// of the 12AT7 class (addresses in the point table). Real tubes scatter by 13 % and more in
/// emission; 10 % is allowed to the means.
#[test]
fn measured_tubes_carry_the_predicted_currents() {
    for (name, points) in [("EL34", 9), ("12AT7", 15)] {
        let checks = plate_currents(name, PointKind::Check);
        assert_eq!(checks.len(), points);
        let share = emission(&checks);
        assert!((share - 1.0).abs() <= 0.10, "{name}: {share}");
        // Beside emission the shape has to hold: 5 % of full scale, about the weight of a curve.
        // Single points may miss by more: at 50 V and 0 V the law gives the 12AT7 half as much
        // again as was measured.
        let full = checks.iter().map(|r| r.want).fold(0.0, f64::max);
        let square: f64 = checks
            .iter()
            .map(|r| (share * r.got - r.want).powi(2))
            .sum();
        assert!((square / points as f64).sqrt() <= 0.05 * full, "{name}");
    }
}

/// 30 points read off published curves of the 6SL7, 5 mA full scale: 0.15 mA, the width of a
/// reading.
#[test]
fn published_curves_are_met() {
    let curves = plate_currents("6SL7", PointKind::PublishedCurve);
    assert_eq!(curves.len(), 30);
    for r in curves {
        assert!((r.got - r.want).abs() <= 0.15e-3, "{r:?}");
    }
}

/// Types that are said to be one tube in several bulbs come out of the same points alike.
#[test]
fn types_of_one_curve_set_are_alike() {
    for group in [
        ["12AX7", "12AV6", "6AV6"],
        ["6SN7", "6CG7", "6J5"],
        ["6SQ7", "12SQ7", "12SQ7"],
        ["6BA6", "12BA6", "12BA6"],
        ["6BE6", "12BE6", "12BE6"],
        ["6SK7", "12SK7", "12SK7"],
        ["6AU6", "12AU6", "12AU6"],
        ["6F6", "42", "2A5"],
        ["6J7", "6C6", "57"],
        ["6A8", "6A7", "12A8GT"],
        ["6A8", "2A7", "2A7"],
        ["6B8", "6B7", "2B7"],
        ["ECL82", "PCL82", "UCL82"],
        ["6K7", "12K7GT", "12K7GT"],
        ["6J5", "7A4", "12J5GT"],
        ["6SF5", "7B4", "7B4"],
        ["6SK7", "7A7", "14A7"],
        ["6K6GT", "7B5", "7B5"],
        ["75", "7B6", "14B6"],
        ["6A8", "7B8", "14B8"],
        ["6V6", "7C5", "14C5"],
        ["6SR7", "7E6", "14E6"],
        ["12SL7", "7F7", "14F7"],
        ["12SN7", "7N7", "14N7"],
        ["6SA7", "7Q7", "14Q7"],
        ["35L6GT", "35A5", "35A5"],
        ["50L6GT", "50A5", "50A5"],
        ["6AT6", "EABC80", "6T8"],
        ["12AT7", "6AB4", "6AB4"],
        ["ECC85", "UCC85", "PCC85"],
        ["EF89", "UF89", "UF89"],
        ["EBF89", "UBF89", "UBF89"],
        ["EBF80", "UBF80", "UBF80"],
    ] {
        for name in group {
            assert_eq!(
                parameters(&shipped(name)),
                parameters(&shipped(group[0])),
                "{name}"
            );
        }
    }
}

/// The page for people quotes how well the figures of the sheets are met.
#[test]
fn the_page_says_how_well_the_figures_are_met() {
    let page = include_str!("../../../docs/devices.md");
    for (heading, quantity, kept_back) in [
        ("plate current", SheetQuantity::PlateCurrent, false),
        ("screen current", SheetQuantity::ScreenCurrent, false),
        ("transconductance", SheetQuantity::Transconductance, false),
        ("screen current", SheetQuantity::ScreenCurrent, true),
        ("transconductance", SheetQuantity::Transconductance, true),
    ] {
        let mut misses: Vec<(f64, String)> = Vec::new();
        for own in tube_sheets() {
            let sections = [DataSheet::of_type(own), DataSheet::of_triode_section(own)];
            for (sheet, unit) in sections.into_iter().flatten().zip(0..) {
                let law = tube_type(&own.name).unwrap().units[unit].characteristic;
                for r in compare(&law, &sheet.points) {
                    let kind = sheet.points[r.point].kind;
                    let wanted = match kept_back {
                        true => kind == PointKind::HeldBack,
                        false => is_a_printed_figure(kind),
                    };
                    if r.quantity == quantity && wanted {
                        let volts = sheet.points[r.point].plate_volts;
                        let miss = 100.0 * (r.got / r.want - 1.0).abs();
                        misses.push((miss, format!("({} at {volts} V)", own.name)));
                    }
                }
            }
        }
        misses.sort_by(|a, b| a.0.total_cmp(&b.0));
        let (worst, place) = misses.last().unwrap();
        let digits = usize::from(!kept_back || *worst < 10.0);
        let row = format!("| {heading} | {worst:.digits$} % {place}");
        let row = page.lines().find(|line| line.starts_with(&row));
        let row = row.unwrap_or_else(|| panic!("{heading}: {worst} % {place}"));
        let half = misses[misses.len() / 2].0;
        assert!(row.ends_with(&format!("| {half:.1} % |")), "{row}: {half}");
    }
}

fn is_a_printed_figure(kind: PointKind) -> bool {
    matches!(
        kind,
        PointKind::OperatingPoint | PointKind::Drop | PointKind::ConverterOscillating
    )
}
