//! Transistors: `2N404`, `pnp germanium hfe=60 icbo=2uA`, `npn silicon power hfe=40`, `n-jfet idss=8mA vp=-6V`.
//!
//! A described transistor has the numbers of a common one of its material and size but for those stated.

use std::ops::Range;

use circuit::{
    semiconductor, Bipolar, Characteristic, Device, DeviceClass, DeviceUnit, FieldEffect, PartKind,
    Polarity, SemiconductorKind, TubeType,
};
use units::Unit;

use super::Drawn;
use crate::netlist::types::{known, not_this_kind, take_type, Known};
use crate::netlist::values::{Doubted, Placed, Values};

/// Reverse gain and collector ohms of a small silicon transistor that no type number names: 0.1 V at 10 mA, 0.14 V at
/// 25 mA (common practice, no source; the pattern is a better switch than most of its time were).
const SMALL_SILICON: (f64, f64) = (0.5, 2.0);

/// What a line says beside a type.
struct Stated {
    /// NPN or PNP, and where that stands.
    junction: Option<(Polarity, Range<usize>)>,
    /// N or P channel, and where that stands.
    channel: Option<(Polarity, Range<usize>)>,
    silicon: bool,
    germanium: bool,
    /// Of some amperes.
    power: bool,
    hfe: Option<f64>,
    icbo: Option<Placed>,
    idss: Option<Placed>,
    pinch_off: Option<Placed>,
}

/// `Q1: 2N404`, `Q2: npn silicon hfe=100`, `Q3: n-jfet idss=8mA vp=-6V`.
pub(super) fn transistor(own: &[TubeType], values: &mut Values<'_, '_>) -> Drawn {
    let mut polarity = |n: &'static str, p: &'static str| {
        let found = values.flag(n).map(|bytes| (Polarity::N, bytes));
        found.or_else(|| values.flag(p).map(|bytes| (Polarity::P, bytes)))
    };
    let stated = Stated {
        junction: polarity("npn", "pnp"),
        channel: polarity("n-jfet", "p-jfet"),
        silicon: values.flag("silicon").is_some(),
        germanium: values.flag("germanium").is_some(),
        power: values.flag("power").is_some(),
        hfe: values.plain("hfe"),
        icbo: values.option("icbo", Unit::Ampere, Doubted::Neither),
        idss: values.option("idss", Unit::Ampere, Doubted::Neither),
        pinch_off: values.option("vp", Unit::Volt, Doubted::Neither),
    };
    let described = stated.junction.is_some() || stated.channel.is_some();
    let class = if stated.channel.is_some() {
        DeviceClass::FieldEffect
    } else {
        DeviceClass::Transistor
    };
    let Some(item) = take_type(values, own, described) else {
        return match (&stated.channel, &stated.junction) {
            (Some((polarity, _)), _) => described_field_effect(*polarity, &stated, values),
            (None, Some((polarity, _))) => described_bipolar(*polarity, &stated, values),
            (None, None) => {
                values.lacks("type", "2N404` or `npn silicon hfe=100");
                Drawn::Unknown(class)
            }
        };
    };
    match known(item.text, own) {
        Some(Known::Semiconductor(of)) => match of.kind {
            SemiconductorKind::Bipolar {
                transistor: typed,
                collector_ohms,
            } => {
                agrees(&stated.junction, typed.polarity, item.text, values);
                bipolar(item.text, (typed, collector_ohms), &stated, values)
            }
            SemiconductorKind::FieldEffect(typed) => {
                agrees(&stated.channel, typed.polarity, item.text, values);
                field_effect(item.text, typed, &stated, values)
            }
            _ => not_this_kind(&item, own, class, values),
        },
        _ => not_this_kind(&item, own, class, values),
    }
}

/// Reports a polarity beside a type number that has the other one.
fn agrees(
    stated: &Option<(Polarity, Range<usize>)>,
    polarity: Polarity,
    name: &str,
    values: &mut Values<'_, '_>,
) {
    let Some((_, bytes)) = stated.as_ref().filter(|(other, _)| *other != polarity) else {
        return;
    };
    let message = format!("{name} has the other polarity");
    values.reject(&bytes.clone(), message, "the type number alone is enough");
}

fn described_bipolar(polarity: Polarity, stated: &Stated, values: &mut Values<'_, '_>) -> Drawn {
    let example = match polarity {
        Polarity::N => "npn silicon hfe=100",
        Polarity::P => "pnp germanium hfe=60",
    };
    if !stated.silicon && !stated.germanium {
        values.lacks("material", example);
    } else if stated.hfe.is_none() {
        values.lacks("current gain", example);
    }
    let (pattern, material) = match (stated.germanium, stated.power) {
        (true, false) => ("2N404", "germanium"),
        (true, true) => ("AD149", "germanium power"),
        (false, false) => ("2N3904", "silicon"),
        (false, true) => ("2N3055", "silicon power"),
    };
    let found = semiconductor(pattern).map(|of| of.kind);
    let Some(SemiconductorKind::Bipolar {
        transistor: mut numbers,
        mut collector_ohms,
    }) = found
    else {
        return Drawn::Unknown(DeviceClass::Transistor);
    };
    if material == "silicon" {
        (numbers.reverse_gain, collector_ohms) = SMALL_SILICON;
    }
    let word = match polarity {
        Polarity::N => "npn",
        Polarity::P => "pnp",
    };
    numbers.polarity = polarity;
    let name = format!("{word} {material}");
    bipolar(&name, (numbers, collector_ohms), stated, values)
}

fn bipolar(
    name: &str,
    (mut numbers, collector_ohms): (Bipolar, f64),
    stated: &Stated,
    values: &mut Values<'_, '_>,
) -> Drawn {
    let of_the_other_sort = [&stated.idss, &stated.pinch_off];
    foreign(&of_the_other_sort, "a bipolar transistor", values);
    if let Some(gain) = stated.hfe {
        numbers.forward_gain = gain;
    }
    if let Some(icbo) = &stated.icbo {
        // ICBO = Is·(1/BR + 1/(BF + 1)) + Icx: what the junction does not leak by itself.
        let own =
            numbers.saturation * (1.0 / numbers.reverse_gain + 1.0 / (numbers.forward_gain + 1.0));
        numbers.leakage = icbo.value - own;
        if numbers.leakage < 0.0 {
            numbers.leakage = 0.0;
            let message = format!(
                "the junctions of this kind alone leak {}",
                units::engineering(own, Unit::Ampere, 2)
            );
            let help = "write a larger leakage, or leave `icbo=` out";
            values.reject(&icbo.bytes, message, help);
        }
    }
    let names = ["collector", "base", "emitter"];
    let unit = DeviceUnit {
        series_ohms: collector_ohms,
        ..DeviceUnit::new(Characteristic::Bipolar(numbers), &[0, 1, 2])
    };
    device(name, DeviceClass::Transistor, unit, names)
}

fn described_field_effect(
    polarity: Polarity,
    stated: &Stated,
    values: &mut Values<'_, '_>,
) -> Drawn {
    let (name, example) = match polarity {
        Polarity::N => ("n-jfet", "n-jfet idss=8mA vp=-6V"),
        Polarity::P => ("p-jfet", "p-jfet idss=8mA vp=6V"),
    };
    if stated.idss.is_none() {
        values.lacks("drain current at zero gate volts", example);
    } else if stated.pinch_off.is_none() {
        values.lacks("pinch-off voltage", example);
    }
    let Some(SemiconductorKind::FieldEffect(pattern)) = semiconductor("2N5457").map(|of| of.kind)
    else {
        return Drawn::Unknown(DeviceClass::FieldEffect);
    };
    let numbers = FieldEffect {
        polarity,
        ..pattern
    };
    field_effect(name, numbers, stated, values)
}

fn field_effect(
    name: &str,
    mut numbers: FieldEffect,
    stated: &Stated,
    values: &mut Values<'_, '_>,
) -> Drawn {
    foreign(&[&stated.icbo], "a field-effect transistor", values);
    if stated.idss.is_some() {
        let help = "write the current as printed, such as `idss=8mA`";
        numbers.idss = values.above_zero(stated.idss.clone(), "'idss'", help);
    }
    if let Some(stated) = &stated.pinch_off {
        // The data hold a P channel's with its sign turned.
        numbers.pinch_off = match numbers.polarity {
            Polarity::N => stated.value,
            Polarity::P => -stated.value,
        };
        if numbers.pinch_off >= 0.0 {
            numbers.pinch_off = -1.0;
            let (message, help) = match numbers.polarity {
                Polarity::N => ("an N channel is pinched off by a negative gate", "vp=-6V"),
                Polarity::P => ("a P channel is pinched off by a positive gate", "vp=6V"),
            };
            values.reject(&stated.bytes, message, format!("write `{help}`"));
        }
    }
    let names = ["drain", "gate", "source"];
    let unit = DeviceUnit::new(Characteristic::FieldEffect(numbers), &[0, 1, 2]);
    device(name, DeviceClass::FieldEffect, unit, names)
}

/// Reports numbers of the other sort of transistor.
fn foreign(stated: &[&Option<Placed>], what: &str, values: &mut Values<'_, '_>) {
    for placed in stated.iter().copied().flatten() {
        let message = format!("{what} has no such number");
        values.reject(&placed.bytes, message, "leave it out");
    }
}

fn device(name: &str, class: DeviceClass, unit: DeviceUnit, terminals: [&str; 3]) -> Drawn {
    Drawn::Part(PartKind::Device(Device::new(
        name,
        class,
        &terminals,
        vec![unit],
    )))
}
