//! Signal generators, and the line: `50mV ac 400Hz source=600R`, `117V ac 60Hz off=open`.

use circuit::{Generator, PartKind};
use units::Unit;

use super::supply::off;
use crate::netlist::values::{Doubted, Values};

/// `G1: 50mV ac 400Hz source=600R`.
pub(in crate::netlist) fn generator(values: &mut Values<'_, '_>) -> PartKind {
    const EXAMPLE: &str = "50mV ac 400Hz source=600R";
    values.flag("ac");
    let volts = values.need("voltage", Unit::Volt, EXAMPLE);
    let hertz = values.need("frequency", Unit::Hertz, EXAMPLE);
    let source = values.option("source", Unit::Ohm, Doubted::Large);
    PartKind::Generator(Generator {
        volts: values.zero_or_more(volts, "a generator's voltage"),
        hertz: values.above_zero(
            hertz,
            "a frequency",
            "a steady voltage is a supply: `PS1: 9V`",
        ),
        source: values.zero_or_more(source, "a source resistance"),
        off: off(values),
    })
}
