//! Figures that are read, and figures that are refused.

use super::*;

fn ohms(text: &str) -> Result<Figure, ValueError> {
    Figure::parse(text, Unit::Ohm)
}

fn help(text: &str, place: Unit) -> String {
    Figure::parse(text, place)
        .unwrap_err()
        .help()
        .unwrap_or_default()
}

/// Both sides are rounded once from the same decimal number, so they are the same number bit for bit.
#[track_caller]
fn reads(text: &str, place: Unit, value: f64, resolution: f64) {
    let figure = Figure::parse(text, place).unwrap_or_else(|error| panic!("{text}: {error}"));
    assert_eq!(
        figure.value.to_bits(),
        value.to_bits(),
        "{text}: {}",
        figure.value
    );
    assert_eq!(
        figure.resolution.to_bits(),
        resolution.to_bits(),
        "{text}: {}",
        figure.resolution
    );
    assert_eq!((figure.unit, figure.text.as_str()), (place, text.trim()));
}

/// Examples of the letter code of IEC 60062 as listed at https://wikiclassic.com/wiki/IEC_62:1952;
/// the resolutions follow from the digits.
#[test]
fn letter_codes_of_iec_60062() {
    for (text, value, resolution) in [
        ("R47", 0.47, 0.01),
        ("4R7", 4.7, 0.1),
        ("470R", 470.0, 1.0),
        ("4K7", 4.7e3, 100.0),
        ("47K3", 47.3e3, 100.0),
        ("4M7", 4.7e6, 1e5),
    ] {
        reads(text, Unit::Ohm, value, resolution);
    }
}

#[test]
fn resistances() {
    for (text, value, resolution) in [
        ("220k", 220e3, 1e3),
        ("4.7 kΩ", 4.7e3, 100.0),
        ("4.7k\u{2126}", 4.7e3, 100.0),
        ("2M2", 2.2e6, 1e5),
        ("4k7", 4.7e3, 100.0),
        ("4k7 ohms", 4.7e3, 100.0),
        ("0R1", 0.1, 0.1),
        ("47R", 47.0, 1.0),
        ("1.5MEG", 1.5e6, 1e5),
        ("2 meg ohms", 2e6, 1e6),
        ("1e3", 1e3, 1e3),
        ("1.50E+3 Ω", 1500.0, 10.0),
        ("0", 0.0, 1.0),
        (" 20 G ", 20e9, 1e9),
    ] {
        reads(text, Unit::Ohm, value, resolution);
    }
}

#[test]
fn volts_amperes_and_capacitors() {
    for (text, place, value, resolution) in [
        ("1.5 V", Unit::Volt, 1.5, 0.1),
        ("150", Unit::Volt, 150.0, 1.0),
        ("1.50", Unit::Volt, 1.5, 0.01),
        ("-0.8", Unit::Volt, -0.8, 0.1),
        ("\u{2212}0.8 volts", Unit::Volt, -0.8, 0.1),
        ("-0", Unit::Volt, 0.0, 1.0),
        ("250mV", Unit::Volt, 0.25, 1e-3),
        ("3V3", Unit::Volt, 3.3, 0.1),
        ("12 mA", Unit::Ampere, 0.012, 1e-3),
        ("0.3uA", Unit::Ampere, 0.3e-6, 1e-7),
        ("0.05uF", Unit::Farad, 0.05e-6, 1e-8),
        ("0.05 \u{b5}F", Unit::Farad, 0.05e-6, 1e-8),
        (".05 \u{3bc}F", Unit::Farad, 0.05e-6, 1e-8),
        ("8 MFD", Unit::Farad, 8e-6, 1e-6),
        ("250 MMF", Unit::Farad, 250e-12, 1e-12),
        ("50 µµF", Unit::Farad, 50e-12, 1e-12),
        ("4n7F", Unit::Farad, 4.7e-9, 1e-10),
        ("p47", Unit::Farad, 0.47e-12, 1e-14),
        ("10 HY", Unit::Henry, 10.0, 1.0),
        ("455 kc", Unit::Hertz, 455e3, 1e3),
        ("400Hz", Unit::Hertz, 400.0, 1.0),
        ("0.5W", Unit::Watt, 0.5, 0.1),
    ] {
        reads(text, place, value, resolution);
    }
}

#[test]
fn commas_are_refused_with_what_to_write() {
    assert_eq!(help("4,7k", Unit::Ohm), "write `4.7k`");
    assert_eq!(help(",5", Unit::Volt), "write `0.5`");
    assert_eq!(help("20,000", Unit::Ohm), "write `20000`");
    assert_eq!(help("1,234,567 Ω", Unit::Ohm), "write `1234567 Ω`");
    assert_eq!(help("1,234.5", Unit::Volt), "write `1234.5`");
    assert_eq!(help("1.234,5", Unit::Volt), "write `1234.5`");
    assert_eq!(help("1,500", Unit::Volt), "write `1.500` or `1500`");
    assert_eq!(help("20,000k", Unit::Ohm), "write `20.000k` or `20000k`");
    assert_eq!(ohms(" 4,7k").unwrap_err().span, 1..4);
    assert_eq!(ohms("4,").unwrap_err().kind, Kind::NotANumber);
}

#[test]
fn tolerance_letters_run_on_are_refused() {
    assert_eq!(help("4K7K", Unit::Ohm), "write `4k7 10%`");
    assert_eq!(help("47KJ", Unit::Ohm), "write `47k 5%`");
    assert_eq!(help("4k7F", Unit::Ohm), "write `4k7 1%`");
    assert_eq!(help("R47M", Unit::Ohm), "write `R47 20%`");
    assert_eq!(help("100nK", Unit::Farad), "write `100n 10%`");
    assert_eq!(ohms("4K7K").unwrap_err().span, 3..4);
}

#[test]
fn unfitting_units_and_words_are_refused() {
    let volts = ohms("R47")
        .and(Figure::parse("R47", Unit::Volt))
        .unwrap_err();
    let (found, expected) = (Unit::Ohm, Unit::Volt);
    assert_eq!(volts.kind, Kind::WrongUnit { found, expected });
    assert_eq!(
        Figure::parse("10% ", Unit::Volt).unwrap_err().to_string(),
        "volts were expected here, but this is a percentage"
    );
    assert!(matches!(
        ohms("20k/V").unwrap_err().kind,
        Kind::SensitivityOutOfPlace { .. }
    ));
    assert_eq!(help("47 PF", Unit::Farad), "did you mean `pF`?");
    assert_eq!(help("8 mf", Unit::Farad), "write `uF` or `mF`");
    let word = "frogs".to_string();
    let unknown = Kind::UnknownSuffix {
        word,
        nearest: None,
    };
    assert_eq!(ohms("3 frogs").unwrap_err().kind, unknown);
    assert_eq!(ohms("V1").unwrap_err().kind, Kind::NotANumber);
    assert_eq!(
        Figure::parse("V1", Unit::Volt).unwrap_err().kind,
        Kind::NotANumber
    );
}

#[test]
fn numbers_that_are_none_too_many_or_out_of_range() {
    assert_eq!(ohms("  ").unwrap_err().kind, Kind::Empty);
    for text in ["NaN", "nan Ω", "-", ".", "1.2.3", "k", "e5", "ohms"] {
        assert_eq!(ohms(text).unwrap_err().kind, Kind::NotANumber, "{text}");
    }
    assert!(matches!(
        ohms("inf").unwrap_err().kind,
        Kind::NoReading { .. }
    ));
    for text in ["1 2", "4.7k 10%", "130..160", "20 000", "4.7k5"] {
        assert_eq!(ohms(text).unwrap_err().kind, Kind::TwoNumbers, "{text}");
    }
    assert_eq!(ohms("20 000").unwrap_err().span, 3..6);
    for text in ["1e309", "1e99999999999999999999", "9e308k", "0e400"] {
        assert_eq!(ohms(text).unwrap_err().kind, Kind::TooLarge, "{text}");
    }
    assert_eq!(ohms("1e-400").unwrap_err().kind, Kind::TooSmall);
}
