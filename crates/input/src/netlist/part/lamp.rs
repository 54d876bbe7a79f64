//! Filament lamps: `lamp 6.3V 150mA`.

use circuit::{Lamp, PartKind};
use units::Unit;

use crate::netlist::values::Values;

/// `DS1: lamp 6.3V 150mA`.
pub(in crate::netlist) fn lamp(values: &mut Values<'_, '_>) -> PartKind {
    const HELP: &str = "write the lamp's rating, such as `6.3V 150mA`";
    let volts = values.need("rated voltage", Unit::Volt, "lamp 6.3V 150mA");
    let amperes = values.need("rated current", Unit::Ampere, "lamp 6.3V 150mA");
    PartKind::Lamp(Lamp {
        volts: values.above_zero(volts, "a lamp's voltage", HELP),
        amperes: values.above_zero(amperes, "a lamp's current", HELP),
    })
}
