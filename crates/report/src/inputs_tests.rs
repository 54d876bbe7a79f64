//! Tests of `inputs`.

use super::*;
use circuit::{PartKind, Supply, SupplyKind};

fn supply(volts: f64, source: f64) -> Part {
    let kind = SupplyKind::Supply;
    Part::new(
        "PS1",
        PartKind::Supply(Supply {
            kind,
            volts,
            tolerance: None,
            source,
            follows_line: false,
            off: None,
        }),
        Vec::new(),
    )
}

#[test]
fn parts_are_called_by_what_is_written_on_them() {
    let part = supply(285.0, 200.0);
    assert_eq!(part_words(&part, PartParameter::Volts), "PS1 285 V");
    let words = part_words(&part, PartParameter::SourceResistance);
    assert_eq!(words, "PS1 own resistance 200 Ω");
}

#[test]
fn limits_and_slopes_are_in_sensible_units() {
    // 1 % of 220 kΩ is 2.2 kΩ; ln 2 is 0.693.
    let percent = Scale::Percent { nominal: 220e3 };
    assert_eq!(percent.limits(22e3), "±10 %");
    assert!((percent.step().0 - 2200.0).abs() < 1e-9);
    assert_eq!(Scale::Logarithm.limits(2f64.ln()), "factor 2");
    assert_eq!(Scale::Amperes.limits(1e-7), "±0.1 µA");
    assert_eq!(Scale::Share.limits(0.3), "±30 %");
    assert_eq!(Scale::Volts.limits(7.5), "±7.5 V");
    assert!(matches!(percent_of(Some(0.0), Scale::Ohms), Scale::Ohms));
}
