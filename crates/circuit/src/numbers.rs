//! The numbers of a part: each with its written value, its tolerance, and the reason for that.
//!
//! This module defines which numbers a kind of part has. A part comes in; its numbers go out, to be
//! read or to be changed. Both lists name every kind and every field, so that a kind or a field
//! that is added does not compile until it is listed here.

use crate::capacitor::Capacitor;
use crate::device_numbers::device_number;
use crate::parameter::PartParameter;
use crate::part::{
    Generator, Inductor, Lamp, Part, PartKind, Potentiometer, Resistor, Supply, Transformer,
};
use crate::spread::{self, PartSpread, SpreadScale};

/// One number of a part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartNumber {
    /// Which number it is.
    pub parameter: PartParameter,
    /// The value that is written on the part.
    pub nominal: Nominal,
    /// How far it may be off.
    pub spread: PartSpread,
    /// The source of that spread.
    pub why: &'static str,
}

/// The written value of one number of a part, in the number's own unit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Nominal {
    /// The number itself is written.
    Marked(f64),
    /// It is computed from other numbers that are written.
    Reckoned(f64),
    /// It is not written: a tube or semiconductor has it by its type.
    ByType,
    /// It is set by hand, and may be set otherwise for some readings.
    BySetting,
}

impl Nominal {
    /// The number; none if it is not written.
    pub fn written(self) -> Option<f64> {
        match self {
            Nominal::Marked(number) | Nominal::Reckoned(number) => Some(number),
            Nominal::ByType | Nominal::BySetting => None,
        }
    }
}

/// A number of a part that is not a device, to be changed.
enum NumberMut<'a> {
    /// It is stored as it is.
    Plain(&'a mut f64),
    /// Ohms of a lamp, computed from its volts and these amperes.
    Filament { volts: f64, amperes: &'a mut f64 },
}

impl NumberMut<'_> {
    fn add(self, change: f64) {
        match self {
            NumberMut::Plain(number) => *number += change,
            NumberMut::Filament { volts, amperes } => {
                *amperes = volts / (volts / *amperes + change);
            }
        }
    }
}

impl Part {
    /// Every number that may differ from what is written, each once.
    pub fn numbers(&self) -> impl Iterator<Item = PartNumber> + '_ {
        let device = if let PartKind::Device(device) = &self.kind {
            Some(device)
        } else {
            None
        };
        let of_device = device
            .into_iter()
            .flat_map(|device| device.numbers().map(|number| device_number(device, number)));
        self.own_numbers().into_iter().flatten().chain(of_device)
    }

    /// One of its numbers; none if it does not have that number.
    pub fn number(&self, parameter: PartParameter) -> Option<PartNumber> {
        self.numbers().find(|number| number.parameter == parameter)
    }

    /// The numbers of a part that is not a device.
    fn own_numbers(&self) -> [Option<PartNumber>; 2] {
        use Nominal::{BySetting, Marked, Reckoned};
        use PartParameter as P;
        use SpreadScale::{Ohms, Travel, Volts};
        let number = |parameter, nominal: Nominal, spread: (PartSpread, &'static str)| {
            Some(PartNumber {
                parameter,
                nominal,
                spread: spread.0,
                why: spread.1,
            })
        };
        let written = |parameter, default: spread::DefaultSpread, value, stated| {
            number(parameter, Marked(value), default.of(value, stated, Ohms))
        };
        match &self.kind {
            PartKind::Resistor(Resistor { ohms, tolerance }) => [
                written(P::Resistance, spread::RESISTOR, *ohms, *tolerance),
                None,
            ],
            PartKind::Potentiometer(Potentiometer {
                ohms,
                tolerance,
                setting: _,
                is_stated,
                offset: _,
                taps: _,
            }) => [
                written(P::Resistance, spread::RESISTOR, *ohms, *tolerance),
                number(
                    P::WiperPosition,
                    BySetting,
                    match is_stated {
                        true => spread::WIPER.by(Travel),
                        false => spread::WIPER_ANYWHERE.by(Travel),
                    },
                ),
            ],
            PartKind::Capacitor(Capacitor {
                leak,
                farads: _,
                tolerance: _,
                dielectric: _,
            }) => [
                leak.and_then(|ohms| written(P::Leak, spread::LEAK, ohms, None)),
                None,
            ],
            PartKind::Inductor(Inductor { ohms, henries: _ }) => {
                [written(P::Resistance, spread::WINDING, *ohms, None), None]
            }
            PartKind::Transformer(Transformer {
                primary_ohms: primary,
                secondary_ohms: secondary,
                ratio: _,
            }) => [
                written(P::PrimaryResistance, spread::WINDING, *primary, None),
                written(P::SecondaryResistance, spread::WINDING, *secondary, None),
            ],
            PartKind::Supply(Supply {
                volts,
                tolerance,
                source,
                kind: _,
                follows_line: _,
                off: _,
            }) => [
                number(
                    P::Volts,
                    Marked(*volts),
                    spread::SUPPLY.of(*volts, *tolerance, Volts),
                ),
                written(P::SourceResistance, spread::SOURCE, *source, None),
            ],
            PartKind::Generator(Generator {
                source,
                volts: _,
                hertz: _,
                off: _,
            }) => [
                written(P::SourceResistance, spread::SOURCE, *source, None),
                None,
            ],
            PartKind::Lamp(lamp) => {
                let ohms = lamp.ohms();
                let spread = spread::LAMP.of(ohms, None, Ohms);
                [number(P::Resistance, Reckoned(ohms), spread), None]
            }
            PartKind::Contact(_) | PartKind::Device(_) => [None, None],
        }
    }

    /// The same numbers, to be changed.
    fn own_numbers_mut(&mut self) -> [Option<(PartParameter, NumberMut<'_>)>; 2] {
        use NumberMut::{Filament, Plain};
        use PartParameter as P;
        match &mut self.kind {
            PartKind::Potentiometer(Potentiometer { ohms, offset, .. }) => [
                Some((P::Resistance, Plain(ohms))),
                Some((P::WiperPosition, Plain(offset))),
            ],
            PartKind::Resistor(Resistor { ohms, .. })
            | PartKind::Inductor(Inductor { ohms, .. }) => {
                [Some((P::Resistance, Plain(ohms))), None]
            }
            PartKind::Capacitor(Capacitor { leak, .. }) => {
                [leak.as_mut().map(|ohms| (P::Leak, Plain(ohms))), None]
            }
            PartKind::Transformer(two) => [
                Some((P::PrimaryResistance, Plain(&mut two.primary_ohms))),
                Some((P::SecondaryResistance, Plain(&mut two.secondary_ohms))),
            ],
            PartKind::Supply(supply) => [
                Some((P::Volts, Plain(&mut supply.volts))),
                Some((P::SourceResistance, Plain(&mut supply.source))),
            ],
            PartKind::Generator(generator) => [
                Some((P::SourceResistance, Plain(&mut generator.source))),
                None,
            ],
            PartKind::Lamp(Lamp { volts, amperes }) => {
                let volts = *volts;
                [Some((P::Resistance, Filament { volts, amperes })), None]
            }
            PartKind::Contact(_) | PartKind::Device(_) => [None, None],
        }
    }

    /// Changes one number in place, as [`Part::varied`].
    pub(crate) fn vary(&mut self, parameter: PartParameter, change: f64) {
        if let (PartKind::Device(device), PartParameter::Device(number)) =
            (&mut self.kind, parameter)
        {
            return device.vary(number, change);
        }
        let mut own = self.own_numbers_mut().into_iter().flatten();
        if let Some((_, number)) = own.find(|(own, _)| *own == parameter) {
            number.add(change);
        }
    }
}

/// The limits of one number of a part; limits of zero width for a number that it does not have.
pub fn spread_of(part: &Part, parameter: PartParameter) -> PartSpread {
    part.number(parameter)
        .map_or(PartSpread::NONE, |number| number.spread)
}

#[cfg(test)]
#[path = "numbers_tests.rs"]
mod tests;
