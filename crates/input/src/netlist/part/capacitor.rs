//! Capacitors: `0.05uF 20% leak=500M`.

use circuit::{Capacitor, Dielectric, PartKind};
use units::Unit;

use crate::netlist::values::{Doubted, Placed, Values};

/// `C1: 0.05uF leak=500M`.
pub(in crate::netlist) fn capacitor(values: &mut Values<'_, '_>) -> PartKind {
    let farads = values.need("capacitance", Unit::Farad, "0.05uF");
    doubt_bare(values, farads.as_ref());
    values.ratings();
    let help = "write the capacitance as printed, such as `0.05uF`";
    let farads = values.above_zero(farads, "a capacitance", help);
    let leak = values.option("leak", Unit::Ohm, Doubted::Neither);
    let leaks = leak.is_some();
    let help = "a shorted capacitor is a closed switch; without leakage leave `leak=` out";
    let leak = values.above_zero(leak, "a leakage resistance", help);
    PartKind::Capacitor(Capacitor {
        farads,
        tolerance: values.tolerance(),
        leak: leaks.then_some(leak),
        dielectric: dielectric(values, farads),
    })
}

/// What the line says that it is made of, or else what is usual for its size and working volts.
pub(in crate::netlist) fn dielectric(values: &Values<'_, '_>, farads: f64) -> Dielectric {
    let made_of = [
        ("electrolytic dry", Dielectric::Electrolytic),
        ("paper oil", Dielectric::Paper),
        ("mica ceramic disc film mylar polyester", Dielectric::Mica),
    ];
    let says = |(words, _): &&(&str, _)| words.split(' ').any(|word| values.says(word));
    let stated = made_of.iter().find(says).map(|(_, stated)| *stated);
    stated.unwrap_or_else(|| Dielectric::usual(farads, values.rating.volts))
}

/// A capacitance without a unit is in farads, and hardly meant to be.
fn doubt_bare(values: &mut Values<'_, '_>, farads: Option<&Placed>) {
    let Some(placed) = farads else { return };
    let mut items = values.items.iter();
    let Some(item) = items.find(|item| item.bytes == placed.bytes) else {
        return;
    };
    // Above a farad the size is doubted already.
    if item.text.parse::<f64>().is_err() || placed.value > 1.0 {
        return;
    }
    let text = item.text;
    let message = format!("the capacitance {text} has no unit, so it is {text} F");
    let help = format!("old sheets mean microfarads below 1: write `{text}uF`");
    values
        .findings
        .doubt(&placed.bytes, message, "farads", help);
}
