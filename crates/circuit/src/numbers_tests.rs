use std::collections::BTreeSet;

use super::*;
use crate::capacitor::Dielectric;
use crate::catalogue::{semiconductors, tube_types, SemiconductorKind};
use crate::characteristic::{Characteristic, SoftKnee};
use crate::parameter::DeviceParameter;
use crate::part::{Contact, ContactKind, SupplyKind};
use crate::spread::SpreadBasis;

fn part(kind: PartKind) -> Part {
    Part::new("X1", kind, Vec::new())
}

/// A part of every kind that is not a device.
fn one_of_each() -> Vec<Part> {
    let kinds = vec![
        PartKind::Resistor(Resistor {
            ohms: 220e3,
            tolerance: Some(0.05),
        }),
        PartKind::Potentiometer(Potentiometer {
            ohms: 1e6,
            tolerance: None,
            setting: 0.5,
            is_stated: true,
            offset: 0.0,
            taps: vec![0.2],
        }),
        PartKind::Capacitor(Capacitor {
            farads: 8e-6,
            tolerance: None,
            leak: Some(2e6),
            dielectric: Dielectric::Electrolytic,
        }),
        PartKind::Inductor(Inductor {
            henries: Some(10.0),
            ohms: 250.0,
        }),
        PartKind::Transformer(Transformer {
            ratio: 3.0,
            primary_ohms: 400.0,
            secondary_ohms: 90.0,
        }),
        PartKind::Supply(Supply {
            kind: SupplyKind::Battery,
            volts: 90.0,
            tolerance: None,
            source: 30.0,
            follows_line: false,
            off: None,
        }),
        PartKind::Generator(Generator {
            volts: 0.1,
            hertz: 400.0,
            source: 600.0,
            off: None,
        }),
        PartKind::Lamp(Lamp {
            volts: 6.0,
            amperes: 0.5,
        }),
        PartKind::Contact(Contact {
            kind: ContactKind::Fuse,
            closed: true,
        }),
    ];
    kinds.into_iter().map(part).collect()
}

/// Names of the kinds of part, as their list declares them: nothing else tells how many there are.
fn declared() -> BTreeSet<&'static str> {
    let (_, rest) = include_str!("part.rs")
        .split_once("pub enum PartKind {")
        .unwrap();
    let (list, _) = rest.split_once("\n}").unwrap();
    let names = list.lines().filter_map(|line| line.trim().split_once('('));
    let names = names.map(|(name, _)| name);
    names
        .filter(|name| name.chars().all(char::is_alphanumeric))
        .collect()
}

#[test]
fn every_kind_that_is_no_device_has_its_sample() {
    let parts = one_of_each();
    let shown: Vec<String> = parts
        .iter()
        .map(|part| format!("{:?}", part.kind))
        .collect();
    let drawn = shown.iter().filter_map(|shown| shown.split_once('('));
    let mut drawn: BTreeSet<&str> = drawn.map(|(name, _)| name).collect();
    drawn.insert("Device");
    assert_eq!(drawn, declared());
}

/// What `check` says of assumed limits goes by the table of defaults, and so does the page on the method.
#[test]
fn every_assumed_spread_is_a_row_of_the_table_and_of_the_page_on_the_method() {
    let page = include_str!("../../../docs/method.md");
    for row in spread::DEFAULT_SPREADS {
        let line = format!("| {} | {} | {} |", row.what, row.limits, row.source);
        assert!(page.contains(&line), "docs/method.md lacks: {line}");
    }
    for part in one_of_each() {
        for number in part.numbers() {
            let what = number.spread.what;
            let known = spread::DEFAULT_SPREADS.iter().any(|row| row.what == what);
            assert!(known, "no default is called '{what}'");
        }
    }
}

/// The numbers of each part, by hand from its fields: the written value, and half of the distance
/// between its limits.
#[test]
fn a_part_has_the_numbers_of_its_kind() {
    let got: Vec<Vec<(f64, f64)>> = one_of_each()
        .iter()
        .map(|part| {
            let numbers = part.numbers();
            let pair = |number: PartNumber| {
                let written = number.nominal.written().unwrap_or(0.0);
                (written, number.spread.half_width)
            };
            numbers.map(pair).collect()
        })
        .collect();
    let want: [&[(f64, f64)]; 9] = [
        &[(220e3, 11e3)],
        // In the middle a wiper moves by a quarter of the logarithm: ±5 % of the travel.
        &[(1e6, 200e3), (0.0, 0.2)],
        &[(2e6, 1.4e6)],
        &[(250.0, 25.0)],
        &[(400.0, 40.0), (90.0, 9.0)],
        &[(90.0, 4.5), (30.0, 9.0)],
        &[(600.0, 180.0)],
        &[(12.0, 2.4)],
        &[],
    ];
    assert_eq!(got.len(), want.len());
    for (got, want) in got.iter().zip(want) {
        assert_eq!(got.len(), want.len(), "{got:?}");
        for (got, want) in got.iter().zip(want) {
            // One product of two decimal fractions each: a few units of the last digit.
            assert!((got.0 - want.0).abs() <= 1e-12 * want.0, "{got:?}");
            assert!((got.1 - want.1).abs() <= 1e-12 * want.0, "{got:?}");
        }
    }
}

/// The numbers that are read and those that are changed are two lists; this test keeps them equal.
#[test]
fn each_number_that_is_read_can_be_changed_alone() {
    for part in one_of_each() {
        for number in part.numbers() {
            // A wiper's position is not written; `track.rs` tests what its change does.
            let Some(before) = number.nominal.written() else {
                let varied = part.varied(number.parameter, 0.1);
                assert_ne!(varied, part, "{number:?}");
                continue;
            };
            let change = before / 8.0;
            let varied = part.varied(number.parameter, change);
            for other in varied.numbers() {
                let drawn = part.number(other.parameter).unwrap();
                let (Some(drawn), Some(now)) = (drawn.nominal.written(), other.nominal.written())
                else {
                    continue;
                };
                let moved = match other.parameter == number.parameter {
                    true => change,
                    false => 0.0,
                };
                // A quotient and a sum: a few units of the last digit.
                let miss = (now - drawn - moved).abs();
                assert!(miss <= 1e-12 * before, "{other:?}");
            }
        }
    }
}

#[test]
fn a_number_says_where_its_limits_come_from() {
    let parts = one_of_each();
    let of = |part: &Part, number| part.number(number).unwrap();
    let marked = of(&parts[0], PartParameter::Resistance);
    assert_eq!(marked.why, "stated in the netlist");
    assert_eq!(marked.spread.basis, SpreadBasis::Stated);
    let unmarked = of(&parts[1], PartParameter::Resistance);
    assert!(unmarked.why.contains("unmarked tolerance"), "{unmarked:?}");
    assert_eq!(unmarked.spread.basis, SpreadBasis::Assumed);
    assert_eq!(parts[0].number(PartParameter::Leak), None);
}

/// Every law of the catalogue, once for each type.
fn laws() -> Vec<Characteristic> {
    let tubes = tube_types().flat_map(|tube| &tube.units);
    let semiconductors = semiconductors().iter().filter_map(|own| match own.kind {
        SemiconductorKind::Diode { junction, .. } => Some(Characteristic::Junction(junction)),
        SemiconductorKind::Bipolar { transistor, .. } => Some(Characteristic::Bipolar(transistor)),
        SemiconductorKind::FieldEffect(transistor) => Some(Characteristic::FieldEffect(transistor)),
        // Made for the figures in a netlist.
        SemiconductorKind::Selenium(_) | SemiconductorKind::Zener(_) => None,
    });
    let made = Characteristic::SoftKnee(SoftKnee {
        knee_volts: 5.6,
        slope_ohms: 10.0,
        softness: 0.05,
        leak_ohms: 1e7,
    });
    let tubes = tubes.map(|unit| unit.characteristic);
    tubes.chain(semiconductors).chain([made]).collect()
}

/// A listed parameter that the law does not use would be varied without effect; one that the law
/// uses but that is not listed would never be varied.
#[test]
fn a_law_takes_the_numbers_that_it_names_and_no_others() {
    use DeviceParameter as P;
    let all = [
        P::Emission,
        P::AmplificationFactor,
        P::ContactPotential,
        P::GridOnset,
        P::GridPerveance,
        P::OscillatorCurrent,
        P::ScreenShare,
        P::GasCurrent,
        P::KneeVolts,
        P::SlopeResistance,
        P::Saturation,
        P::JunctionLeakage,
        P::CurrentGain,
        P::ReverseGain,
        P::Leakage,
        P::EarlyVoltage,
        P::DrainCurrent,
        P::PinchOff,
    ];
    for law in laws() {
        for number in all {
            let named = law.parameters().contains(&number);
            // A change of a millionth in each number's own unit: far above rounding, too small to
            // matter.
            let changed = law.varied(number, 1e-6) != law;
            assert_eq!(named, changed, "{number:?} of {law:?}");
        }
    }
}
