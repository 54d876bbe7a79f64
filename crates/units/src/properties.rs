//! Properties that hold for every text and every number, tested with random ones.

use std::ops::Range;

use proptest::prelude::*;

use crate::{
    exact, parse_ohms_cell, parse_part_tolerance, parse_percent, Figure, Sensitivity, Tolerance,
    Unit, ValueError, ValueErrorKind,
};

fn any_unit() -> impl Strategy<Value = Unit> {
    (0..Unit::ALL.len()).prop_map(|index| Unit::ALL[index])
}

/// Numbers of either sign spread evenly over the decades from 1e-13 to 1e9.
fn any_size() -> impl Strategy<Value = f64> {
    let size = (-13.0f64..9.0).prop_map(|decade| 10f64.powf(decade));
    (size, any::<bool>()).prop_map(|(size, negative)| if negative { -size } else { size })
}

/// Texts made of the pieces of values, so that most of them reach deep into the parsers.
fn near_value() -> impl Strategy<Value = String> {
    let pieces = vec![
        "4",
        "7",
        "0",
        "000",
        ".",
        ",",
        "..",
        "…",
        "e",
        "E9",
        "-",
        "\u{2212}",
        "+",
        "±",
        "k",
        "K",
        "M",
        "m",
        "R",
        "Ω",
        "\u{2126}",
        "µ",
        "μ",
        "uu",
        "F",
        "V",
        "MFD",
        "%",
        "/V",
        " per volt",
        " ",
        "\u{a0}",
        "max ",
        "min",
        "inf",
        "∞",
        "OL",
        "NaN",
        "é",
        "İ",
        "漢",
    ];
    prop::collection::vec(prop::sample::select(pieces), 0..8).prop_map(|parts| parts.concat())
}

fn every_error(text: &str, unit: Unit) -> Vec<ValueError> {
    [
        Figure::parse(text, unit).err(),
        Tolerance::parse(text, unit).err(),
        parse_ohms_cell(text).err(),
        parse_percent(text).err(),
        parse_part_tolerance(text).err(),
        Sensitivity::parse(text).err(),
    ]
    .into_iter()
    .flatten()
    .collect()
}

fn inside(text: &str, span: &Range<usize>) -> bool {
    text.get(span.clone()).is_some()
}

fn check_errors(text: &str, unit: Unit) -> Result<(), TestCaseError> {
    for error in every_error(text, unit) {
        prop_assert!(inside(text, &error.span), "{text:?}: {error:?}");
        prop_assert!(!error.to_string().is_empty());
        prop_assert!(error.help() != Some(String::new()));
    }
    if let Ok(figure) = Figure::parse(text, unit) {
        prop_assert!(figure.value.is_finite());
        prop_assert!(figure.resolution.is_finite() && figure.resolution > 0.0);
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn printing_then_reading_is_the_identity(value in any_size(), unit in any_unit()) {
        let text = exact(value, unit);
        let read = Figure::parse(&text, unit).map(|figure| figure.value.to_bits());
        prop_assert_eq!(read, Ok(value.to_bits()), "{}", text);
    }

    #[test]
    fn every_finite_number_survives_printing(value in prop::num::f64::NORMAL | prop::num::f64::SUBNORMAL, unit in any_unit()) {
        let text = exact(value, unit);
        let read = Figure::parse(&text, unit).map(|figure| figure.value.to_bits());
        // The last printed digit of the very smallest numbers is below the range of a number.
        if value.abs() > 1e-290 {
            prop_assert_eq!(read, Ok(value.to_bits()), "{}", text);
        }
    }

    #[test]
    fn what_counts_as_a_value_is_what_some_unit_reads(text in near_value()) {
        let read = |unit: &Unit| match Figure::parse(&text, *unit) {
            Ok(_) => true,
            Err(error) => matches!(error.kind, ValueErrorKind::AmbiguousSuffix { .. }),
        };
        prop_assert_eq!(Figure::is_one(&text), Unit::ALL.iter().any(read), "{:?}", text);
    }

    #[test]
    fn arbitrary_text_never_panics(text in any::<String>(), unit in any_unit()) {
        check_errors(&text, unit)?;
    }

    #[test]
    fn text_like_a_value_never_panics(text in near_value(), unit in any_unit()) {
        check_errors(&text, unit)?;
    }

    #[test]
    fn tolerances_are_read_as_written(a in any_size(), b in any_size(), unit in any_unit()) {
        for tolerance in [
            Tolerance::Percent(a.abs()),
            Tolerance::Absolute(a.abs()),
            Tolerance::Limits { low: a.min(b), high: a.max(b) },
            Tolerance::AtMost(a),
            Tolerance::AtLeast(b),
        ] {
            let with_unit = |size| exact(size, unit);
            let text = match tolerance {
                Tolerance::Percent(percent) => format!("{percent}%"),
                Tolerance::Absolute(amount) => format!("±{}", with_unit(amount)),
                Tolerance::Limits { low, high } => format!("{low}..{high} {unit}"),
                Tolerance::AtMost(high) => format!("max {}", with_unit(high)),
                Tolerance::AtLeast(low) => format!("min {}", with_unit(low)),
            };
            prop_assert_eq!(Tolerance::parse(&text, unit), Ok(tolerance), "{}", text);
        }
    }

    #[test]
    fn limits_are_in_order(percent in 0.0f64..300.0, nominal in any_size()) {
        let (low, high) = Tolerance::Percent(percent).limits(nominal);
        prop_assert!(low <= high);
        prop_assert!(low <= Some(nominal) && Some(nominal) <= high);
    }

    #[test]
    fn sensitivities_survive_printing(size in any_size()) {
        let sensitivity = Sensitivity(size.abs());
        prop_assert_eq!(Sensitivity::parse(&sensitivity.to_string()), Ok(sensitivity));
    }
}
