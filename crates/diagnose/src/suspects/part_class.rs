//! Kinds of parts that fail each at its own rate.

/// A kind of part with a rate of its own.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PartClass {
    /// Fixed resistor.
    Resistor,
    /// Potentiometer.
    Potentiometer,
    /// Electrolytic capacitor.
    Electrolytic,
    /// Paper capacitor.
    Paper,
    /// Mica, ceramic or film capacitor.
    Mica,
    /// Choke or coil.
    Coil,
    /// Transformer.
    Transformer,
    /// Supply or battery.
    Supply,
    /// Lamp.
    Lamp,
    /// Switch or fuse.
    Contact,
    /// Tube.
    Tube,
    /// Diode or rectifier.
    Diode,
    /// Zener diode, glow tube or neon lamp.
    Regulator,
    /// Bipolar transistor.
    Transistor,
    /// Field-effect transistor.
    FieldEffect,
}
