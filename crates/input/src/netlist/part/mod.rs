//! What each kind of part takes from the items of its line: one file a family.

mod capacitor;
mod contact;
mod generator;
mod lamp;
mod resistor;
mod supply;
mod winding;

use circuit::PartKind;

use super::class::Class;
use super::values::Values;

/// Reads the values of a part of this class, and tells whether nothing was wrong with them. Faults
/// are reported; there is always a part.
pub(super) fn read(class: Class, mut values: Values<'_, '_>) -> (PartKind, bool) {
    for name in class.names() {
        values.flag(name);
    }
    let kind = match class {
        Class::Resistor => resistor::fixed(&mut values),
        Class::Potentiometer => resistor::potentiometer(&mut values),
        Class::Capacitor => capacitor::capacitor(&mut values),
        Class::Inductor => winding::inductor(&mut values),
        Class::Transformer => winding::transformer(&mut values),
        Class::Supply(kind) => supply::supply(kind, &mut values),
        Class::Generator => generator::generator(&mut values),
        Class::Lamp => lamp::lamp(&mut values),
        Class::Contact(kind) => contact::contact(kind, &mut values),
    };
    let sound = values.finish();
    (kind, sound)
}
