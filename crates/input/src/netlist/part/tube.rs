//! Tubes: a type, its condition, and whether a converter or triode oscillates.
//!
//! `12AX7`, `6AQ5 emission=60% gas=0.3uA`, `6BE6 dead`. Where its electrodes go is the business of
//! [`crate::netlist::socket`].

use std::ops::{Range, RangeInclusive};

use circuit::{Characteristic, DeviceClass, OscillatorTriode, TubeClass, TubeType, Wear};
use units::Unit;

use super::described::{is_described, triode};
use super::Drawn;
use crate::netlist::types::{class_words, known, not_this_kind, take_type, Known};
use crate::netlist::values::{Doubted, Placed, Values};

/// A gas current above this, in amperes, lacks its prefix (assumed, no source: a tester rejects a
/// power tube at a few microamperes).
const MOST_GAS: f64 = 1e-3;

/// Peak grid volts outside of these are none of a receiver's oscillator.
const LEAST_SWING: f64 = 0.1;
const MOST_SWING: f64 = 200.0;

/// Emission above this is no emission of any tube.
const MOST_EMISSION: f64 = 2.0;

/// What a line says of the condition of a tube.
struct Condition {
    emission: Option<Placed>,
    gas: Option<Placed>,
    swing: Option<Placed>,
    oscillates: Option<(bool, Range<usize>)>,
}

/// `V1A: 12AX7 emission=60%`, `V9: triode mu=20 rp=7.7k ip=9mA at 250V -8V`.
pub(super) fn tube(own: &[TubeType], values: &mut Values<'_, '_>) -> Drawn {
    let condition = condition(values);
    let word = values.flag("triode").is_some();
    let mut tube = if word && is_described(values) {
        triode(values)
    } else {
        let Some(item) = take_type(values, own, false) else {
            values.lacks("type", "12AX7");
            return Drawn::Unknown(DeviceClass::Tube);
        };
        match known(item.text, own) {
            // Its description has a fault of its own, which is said there.
            Some(Known::Tube(tube)) if tube.units.is_empty() => {
                values.faulty = true;
                return Drawn::Unknown(DeviceClass::Tube);
            }
            Some(Known::Tube(tube)) => tube.clone(),
            _ => return not_this_kind(&item, own, DeviceClass::Tube, values),
        }
    };
    apply(&condition, &mut tube, values);
    Drawn::Tube(Box::new(tube))
}

fn condition(values: &mut Values<'_, '_>) -> Condition {
    let emission = values.share_after("emission");
    let gas = values.option("gas", Unit::Ampere, Doubted::Neither);
    let swing = values.option("swing", Unit::Volt, Doubted::Neither);
    let mut within =
        |found: Option<Placed>, limits: RangeInclusive<f64>, message: &str, help: &str| {
            found.filter(|placed| {
                let fits = limits.contains(&placed.value);
                if !fits {
                    values.reject(&placed.bytes, message, help);
                }
                fits
            })
        };
    let message = "an emission lies between 0 % and 200 %";
    let help = "100 % is a good tube, 60 % a weak one";
    let emission = within(emission, 0.0..=MOST_EMISSION, message, help);
    let message = "a gas current lies between 0 and 1 mA";
    let help = "write it in microamperes, such as `gas=0.3uA`";
    let gas = within(gas, 0.0..=MOST_GAS, message, help);
    let message = "the peak volts of an oscillator's grid lie between 0.1 and 200 V";
    let help = "write about what its grid leak shows, such as `swing=9V`";
    let swing = within(swing, LEAST_SWING..=MOST_SWING, message, help);
    let dead = values.flag("dead");
    let runs = values.flag("oscillating");
    if let (Some(dead), Some(runs)) = (&dead, &runs) {
        let message = format!("{} cannot be both", values.subject.name);
        values.exclusive(dead, runs, message);
    }
    let dead = dead.map(|bytes| (false, bytes));
    Condition {
        emission,
        gas,
        swing,
        oscillates: dead.or_else(|| runs.map(|bytes| (true, bytes))),
    }
}

/// Puts the condition into every section that has such a number; reports what fits none of them.
fn apply(condition: &Condition, tube: &mut TubeType, values: &mut Values<'_, '_>) {
    let (mut weak, mut gassy, mut runs) = (false, false, false);
    let stated = condition.oscillates.as_ref().map(|(runs, _)| *runs);
    for unit in &mut tube.units {
        runs |= matches!(
            unit.characteristic,
            Characteristic::Triode(_)
                | Characteristic::Oscillator(_)
                | Characteristic::Pentagrid(_)
        );
        unit.characteristic = match (unit.characteristic, stated) {
            (law, Some(false)) => law.at_rest(),
            (Characteristic::Triode(triode), Some(true)) => {
                let swing = OscillatorTriode::USUAL_SWING;
                Characteristic::Oscillator(OscillatorTriode {
                    triode,
                    swing,
                    fed_at: None,
                })
            }
            (law, _) => law,
        };
        let (emission, wear) = match &mut unit.characteristic {
            Characteristic::VacuumDiode(diode) => (Some(&mut diode.emission), None),
            Characteristic::Triode(of) => (None, Some(&mut of.wear)),
            Characteristic::Oscillator(of) => {
                of.swing = condition.swing.as_ref().map_or(of.swing, |own| own.value);
                (None, Some(&mut of.triode.wear))
            }
            Characteristic::Pentode(of) => (None, Some(&mut of.wear)),
            Characteristic::Heptode(of) => (None, Some(&mut of.pentode.wear)),
            Characteristic::Pentagrid(of) => (None, Some(&mut of.wear)),
            _ => (None, None),
        };
        gassy |= wear.is_some();
        weak |= wear.is_some() || emission.is_some();
        let share = condition.emission.as_ref();
        let share = share.map(|share| share.value.max(Wear::COLD));
        if let (Some(emission), Some(share)) = (emission, share) {
            *emission = share;
        }
        if let Some(wear) = wear {
            wear.emission = share.unwrap_or(wear.emission);
            wear.gas = condition.gas.as_ref().map_or(wear.gas, |gas| gas.value);
        }
    }
    let kind = class_words(tube.class);
    let mut misfit = |bytes: Option<&Range<usize>>, fits: bool, why: &str| {
        if let (Some(bytes), false) = (bytes, fits) {
            let message = format!("this does not fit {}, a {kind}", tube.name);
            values.reject(bytes, message, why);
        }
    };
    let emission = condition.emission.as_ref().map(|share| &share.bytes);
    misfit(emission, weak, "only a heated cathode has an emission");
    let gas = condition.gas.as_ref().map(|gas| &gas.bytes);
    misfit(gas, gassy, "only a grid collects a gas current");
    let word = condition.oscillates.as_ref().map(|(_, bytes)| bytes);
    misfit(
        word,
        runs,
        "only a converter or a triode oscillates or is dead",
    );
    let mut units = tube.units.iter();
    let swings = units.any(|unit| matches!(unit.characteristic, Characteristic::Oscillator(_)));
    let swing = condition.swing.as_ref().map(|swing| &swing.bytes);
    let help = match stated {
        Some(false) => "leave out `dead` or the swing",
        _ => "write `oscillating` beside it, for a triode",
    };
    misfit(swing, swings, help);
}

/// Whether this tube regulates by a glow discharge.
pub(in crate::netlist) fn class_of(tube: &TubeType) -> DeviceClass {
    match tube.class {
        TubeClass::GlowRegulator => DeviceClass::Regulator,
        _ => DeviceClass::Tube,
    }
}
