//! What each kind of part takes from the items of its line: one file a family.

mod capacitor;
mod contact;
mod described;
mod diode;
mod generator;
mod lamp;
mod regulator;
mod resistor;
mod supply;
mod thermistor;
mod transistor;
mod tube;
mod varistor;
mod winding;

pub(super) use capacitor::dielectric;
pub(super) use diode::diode;
pub(super) use tube::class_of;
pub(super) use winding::{warn_of_no_resistance, PURPOSES};

use circuit::{DeviceClass, PartKind, Rating, TubeType};

use super::class::Class;
use super::values::Values;

/// What the values of a line state.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Drawn {
    /// A part whose terminals follow from its kind.
    Part(PartKind),
    /// A tube, whose terminals follow from its base and from how the line names them.
    Tube(Box<TubeType>),
    /// A device whose type could not be told, which was reported.
    Unknown(DeviceClass),
}

/// Reads the values of a part of this class, and tells whether nothing was wrong with them. Faults
/// are reported; there is always something drawn. What the part may bear goes with it. Types of the job, `own`, come before those of
/// the catalogue.
pub(super) fn read(
    class: Class,
    own: &[TubeType],
    mut values: Values<'_, '_>,
) -> (Drawn, bool, Rating) {
    for name in class.names() {
        values.flag(name);
    }
    let drawn = match class {
        Class::Resistor => Drawn::Part(resistor::fixed(&mut values)),
        Class::Potentiometer => Drawn::Part(resistor::potentiometer(&mut values)),
        Class::Capacitor => Drawn::Part(capacitor::capacitor(&mut values)),
        Class::Inductor => Drawn::Part(winding::inductor(&mut values)),
        Class::Transformer => Drawn::Part(winding::transformer(&mut values)),
        Class::Supply(kind) => Drawn::Part(supply::supply(kind, &mut values)),
        Class::Generator => Drawn::Part(generator::generator(&mut values)),
        Class::Lamp => Drawn::Part(lamp::lamp(&mut values)),
        Class::Contact(kind) => Drawn::Part(contact::contact(kind, &mut values)),
        Class::Tube => tube::tube(own, &mut values),
        Class::Diode => diode::diode(own, &mut values),
        Class::Regulator => regulator::regulator(own, &mut values),
        Class::NeonLamp => Drawn::Part(lamp::neon(&mut values)),
        Class::Transistor => transistor::transistor(own, &mut values),
        Class::Varistor => Drawn::Part(varistor::varistor(&mut values)),
    };
    let rating = values.rating;
    let sound = values.finish();
    (drawn, sound, rating)
}
