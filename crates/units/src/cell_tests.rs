//! Cells that are read, and cells that are refused.

use super::*;

fn value(text: &str, place: Unit) -> PrintedCell {
    match parse_cell(text, place) {
        Ok(CellContent::Value(cell)) => *cell,
        other => panic!("{text}: {other:?}"),
    }
}

fn help(text: &str) -> String {
    let error = parse_cell(text, Unit::Volt).unwrap_err();
    error.help().unwrap_or_default()
}

#[test]
fn two_limits_have_a_middle_and_its_fineness() {
    for (text, low, high, middle, step) in [
        ("4-6", 4.0, 6.0, 5.0, 1.0),
        ("4…6", 4.0, 6.0, 5.0, 1.0),
        ("4 – 6 V", 4.0, 6.0, 5.0, 1.0),
        ("4−7", 4.0, 7.0, 5.5, 0.5),
        ("130 to 160", 130.0, 160.0, 145.0, 1.0),
        ("130V to 160V", 130.0, 160.0, 145.0, 1.0),
        ("-4 to -6 V", -6.0, -4.0, -5.0, 1.0),
        ("-1 to 3", -1.0, 3.0, 1.0, 1.0),
        ("130..160 mV", 0.13, 0.16, 0.145, 1e-3),
        ("1.0-1.5", 1.0, 1.5, 1.25, 0.05),
    ] {
        let cell = value(text, Unit::Volt);
        // Both sides are rounded once; the midpoint of two such numbers is off by an ulp at most.
        let near = |a: f64, b: f64| (a - b).abs() <= 1e-12;
        let Some(Tolerance::Limits {
            low: least,
            high: most,
        }) = cell.limits
        else {
            panic!("{text}: {cell:?}")
        };
        assert!(near(least, low) && near(most, high), "{text}: {cell:?}");
        assert!(near(cell.figure.value, middle), "{text}: {cell:?}");
        assert!(near(cell.figure.resolution, step), "{text}: {cell:?}");
    }
}

#[test]
fn one_limit_counts_as_the_value() {
    for (text, limit) in [
        ("<0.5", Tolerance::AtMost(0.5)),
        ("less than 0.5", Tolerance::AtMost(0.5)),
        ("Less than 0.5 V", Tolerance::AtMost(0.5)),
        ("0.5 max.", Tolerance::AtMost(0.5)),
        (">0.5", Tolerance::AtLeast(0.5)),
        ("min -0.5", Tolerance::AtLeast(-0.5)),
    ] {
        assert_eq!(value(text, Unit::Volt).limits, Some(limit), "{text}");
    }
    let open = value(">10M", Unit::Ohm);
    assert_eq!(
        (open.figure.value, open.limits),
        (10e6, Some(Tolerance::AtLeast(10e6)))
    );
}

#[test]
fn marks_are_kept_and_taken_off() {
    for (text, notes) in [
        ("90*", vec!["*"]),
        ("90†", vec!["†"]),
        ("90 (note 2)", vec!["note 2"]),
        ("(90)", vec!["in brackets"]),
        ("90 ** (note 2)", vec!["**", "note 2"]),
    ] {
        let cell = value(text, Unit::Volt);
        assert_eq!(
            (cell.figure.value, cell.notes),
            (90.0, notes.iter().map(|n| n.to_string()).collect()),
            "{text}"
        );
    }
    for text in ["approx. 90", "about 90 V", "≈90", "90 approx.", "ca. 90"] {
        let cell = value(text, Unit::Volt);
        assert!(
            cell.approximate && cell.figure.value.to_bits() == 90.0f64.to_bits(),
            "{text}: {cell:?}"
        );
    }
    let cell = value("145 @250*", Unit::Volt);
    assert_eq!((cell.figure.value, cell.range), (145.0, Some(250.0)));
}

#[test]
fn fractions_are_as_fine_as_their_denominator() {
    for (text, want, step) in [
        ("5½", 5.5, 0.5),
        ("4 1/2", 4.5, 0.5),
        ("4-1/2", 4.5, 0.5),
        ("½", 0.5, 0.5),
        ("1/2", 0.5, 0.5),
        ("-3¾ V", -3.75, 0.25),
    ] {
        let cell = value(text, Unit::Volt);
        assert_eq!(
            (cell.figure.value, cell.figure.resolution),
            (want, step),
            "{text}"
        );
    }
    for text in ["1/3", "2 5/2", "1.5½"] {
        assert!(parse_cell(text, Unit::Volt).is_err(), "{text}");
    }
}

#[test]
fn kinds_of_volts_and_units_are_read() {
    for (text, want, kind) in [
        ("272V DC", 272.0, Some(false)),
        ("113 VDC", 113.0, Some(false)),
        ("6.3 V rms", 6.3, Some(true)),
        ("6.3ac", 6.3, Some(true)),
        ("~6.3", 6.3, Some(true)),
        ("50 mV", 0.05, None),
        ("\u{2013}12 V", -12.0, None),
        ("-12", -12.0, None),
    ] {
        let cell = value(text, Unit::Volt);
        assert_eq!(
            (cell.figure.value, cell.alternating),
            (want, kind),
            "{text}"
        );
    }
    // Rounded once from the same decimal number.
    let micro = value("40 µA", Unit::Ampere).figure.value;
    assert_eq!(micro.to_bits(), 40e-6f64.to_bits());
}

#[test]
fn signs_for_no_value_are_told_from_values() {
    for text in [
        "",
        "  ",
        "NC",
        "N.R.",
        "n/a",
        "—",
        "-",
        "*",
        "N. C.",
        "no reading",
    ] {
        assert!(
            matches!(parse_cell(text, Unit::Volt), Ok(CellContent::Nothing(_))),
            "{text}"
        );
    }
    for text in ["inf", "∞", "OPEN", "∞*"] {
        assert!(
            matches!(parse_cell(text, Unit::Ohm), Ok(CellContent::Open(_))),
            "{text}"
        );
        assert!(parse_cell(text, Unit::Volt).is_err(), "{text}");
    }
}

#[test]
fn what_may_mean_two_things_is_refused_with_both() {
    assert_eq!(help("-4-6"), "write `-6..-4` or `-4..6`");
    assert_eq!(help("less than -2 V"), "write `max -2 V` or `min -2 V`");
    assert_eq!(help("160 to 130"), "write `130..160`");
    assert_eq!(help("1 to 2k"), "write `1k..2k` or `1 V..2k`");
    for text in ["4 -6", "1 2", "6.3 V AC DC", "145 @0", "1-2-3", "90 @"] {
        assert!(parse_cell(text, Unit::Volt).is_err(), "{text}");
    }
}

#[test]
fn every_remedy_reads_when_it_is_followed() {
    for text in [
        "-4-6",
        "less than -2 V",
        "160 to 130",
        "1 to 2k",
        "1,5",
        "4,7*",
        "(1,5 V)",
    ] {
        let error = parse_cell(text, Unit::Volt).unwrap_err();
        let help = error.help().unwrap_or_default();
        let remedies: Vec<&str> = help.split('`').skip(1).step_by(2).collect();
        assert!(!remedies.is_empty(), "{text}: {help}");
        for remedy in remedies {
            assert!(parse_cell(remedy, Unit::Volt).is_ok(), "{text}: {remedy}");
        }
    }
}
