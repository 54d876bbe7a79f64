//! Capacitors: `0.05uF 20% leak=500M`.

use circuit::{Capacitor, PartKind};
use units::Unit;

use crate::netlist::values::{Doubted, Values};

/// `C1: 0.05uF leak=500M`.
pub(in crate::netlist) fn capacitor(values: &mut Values<'_, '_>) -> PartKind {
    let farads = values.need("capacitance", Unit::Farad, "0.05uF");
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
    })
}
