//! Characteristics of tubes and semiconductors: the parameters of their laws.
//!
//! Data only. The laws, with their sources, are in the solver; the origin of the numbers is in the
//! catalogue. Units are volts, amperes and ohms; perveances are in A/V^x.

pub use crate::tube_characteristic::{
    GridCurrent, Heptode, OscillatorTriode, Pentagrid, Pentode, RemoteSection, Triode, VacuumDiode,
    Wear,
};

/// The currents between a device's terminals, as a family of laws and its parameters.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Characteristic {
    /// Plate, cathode.
    VacuumDiode(VacuumDiode),
    /// Plate, grid, cathode.
    Triode(Triode),
    /// Plate, grid, cathode.
    Oscillator(OscillatorTriode),
    /// Plate, screen, grid, cathode.
    Pentode(Pentode),
    /// Plate, screen, grid, injection grid, cathode.
    Heptode(Heptode),
    /// Plate, screen, oscillator grid, signal grid, cathode.
    Pentagrid(Pentagrid),
    /// Anode, cathode.
    Junction(Junction),
    /// Anode, cathode.
    SoftKnee(SoftKnee),
    /// Collector, base, emitter.
    Bipolar(Bipolar),
    /// Drain, gate, source.
    FieldEffect(FieldEffect),
}

/// Semiconductor junction; a series resistance is a part of its own.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Junction {
    /// Saturation current in amperes.
    pub saturation: f64,
    /// Ideality times thermal voltage, `n·V_T`, in volts.
    pub slope_volts: f64,
    /// Leakage resistance across it in ohms.
    pub leak_ohms: f64,
}

/// An element that conducts above a knee along a straight line: a selenium stack, a Zener diode
/// in breakdown, a lit glow tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SoftKnee {
    /// Knee in volts.
    pub knee_volts: f64,
    /// Slope above it in ohms.
    pub slope_ohms: f64,
    /// Width of the bend in volts.
    pub softness: f64,
    /// Leakage resistance across it in ohms.
    pub leak_ohms: f64,
}

/// Bipolar transistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bipolar {
    /// Polarity.
    pub polarity: Polarity,
    /// Transport saturation current in amperes.
    pub saturation: f64,
    /// Forward current gain.
    pub forward_gain: f64,
    /// Reverse current gain.
    pub reverse_gain: f64,
    /// Collector leakage beyond the junction's own, in amperes.
    pub leakage: f64,
    /// Early voltage in volts.
    pub early_volts: f64,
}

/// Junction field-effect transistor.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct FieldEffect {
    /// Polarity of the channel.
    pub polarity: Polarity,
    /// Drain current at zero gate volts, in amperes.
    pub idss: f64,
    /// Pinch-off voltage of an N channel's gate (negative), in volts; a P channel's with its sign
    /// reversed.
    pub pinch_off: f64,
    /// Channel-length modulation in 1/V.
    pub lambda: f64,
    /// Saturation current of the gate junction in amperes.
    pub gate_saturation: f64,
}

/// NPN or N channel; PNP or P channel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// NPN, N channel.
    N,
    /// PNP, P channel.
    P,
}

impl Characteristic {
    /// Grid current and condition of a tube with a grid; none of other devices.
    pub(crate) fn grid_mut(&mut self) -> Option<(&mut GridCurrent, &mut Wear)> {
        match self {
            Characteristic::Triode(Triode { grid, wear, .. })
            | Characteristic::Pentode(Pentode { grid, wear, .. })
            | Characteristic::Pentagrid(Pentagrid { grid, wear, .. }) => Some((grid, wear)),
            Characteristic::Oscillator(OscillatorTriode { triode, .. }) => {
                Some((&mut triode.grid, &mut triode.wear))
            }
            Characteristic::Heptode(Heptode { pentode, .. }) => {
                Some((&mut pentode.grid, &mut pentode.wear))
            }
            Characteristic::VacuumDiode(_)
            | Characteristic::Junction(_)
            | Characteristic::SoftKnee(_)
            | Characteristic::Bipolar(_)
            | Characteristic::FieldEffect(_) => None,
        }
    }

    /// Whether an oscillation biases one of its grids.
    pub fn oscillates(&self) -> bool {
        match self {
            Characteristic::Oscillator(_) => true,
            Characteristic::Pentagrid(tube) => tube.oscillates,
            _ => false,
        }
    }

    /// The same device with its oscillator stopped; any other as it is.
    pub fn at_rest(&self) -> Characteristic {
        match *self {
            Characteristic::Oscillator(own) => Characteristic::Triode(own.triode),
            Characteristic::Pentagrid(own) => Characteristic::Pentagrid(Pentagrid {
                oscillates: false,
                ..own
            }),
            other => other,
        }
    }

    /// The same device with an oscillator that follows the volts that feed it, as it runs as stated at these; any
    /// other as it is.
    pub fn fed_at(mut self, volts: Option<f64>) -> Characteristic {
        match &mut self {
            Characteristic::Oscillator(own) => own.fed_at = volts,
            Characteristic::Pentagrid(own) => own.fed_at = volts,
            _ => {}
        }
        self
    }

    /// The volts of [`Characteristic::fed_at`].
    pub fn feeding_volts(&self) -> Option<f64> {
        match self {
            Characteristic::Oscillator(own) => own.fed_at,
            Characteristic::Pentagrid(own) => own.fed_at,
            _ => None,
        }
    }

    /// Its emission as a share of a good tube's; none of a device without a heated cathode.
    pub fn emission(&self) -> Option<f64> {
        match *self {
            Characteristic::VacuumDiode(diode) => Some(diode.emission),
            mut law => law.grid_mut().map(|(_, wear)| wear.emission),
        }
    }

    /// Number of terminals.
    pub fn terminals(&self) -> usize {
        self.terminal_names().len()
    }

    /// Names of the terminals, in their order.
    pub fn terminal_names(&self) -> &'static [&'static str] {
        match self {
            Characteristic::VacuumDiode(_) => &["plate", "cathode"],
            Characteristic::Triode(_) | Characteristic::Oscillator(_) => {
                &["plate", "grid", "cathode"]
            }
            Characteristic::Pentode(_) => &["plate", "screen", "grid", "cathode"],
            Characteristic::Heptode(_) => &["plate", "screen", "grid", "injection grid", "cathode"],
            Characteristic::Pentagrid(_) => &[
                "plate",
                "screen",
                "oscillator grid",
                "signal grid",
                "cathode",
            ],
            Characteristic::Junction(_) | Characteristic::SoftKnee(_) => &["anode", "cathode"],
            Characteristic::Bipolar(_) => &["collector", "base", "emitter"],
            Characteristic::FieldEffect(_) => &["drain", "gate", "source"],
        }
    }

    /// Whether the device itself limits its current: a tube by its emission and space charge. A
    /// semiconductor or a lit discharge takes what the circuit gives.
    pub fn limits_its_current(&self) -> bool {
        match self {
            Characteristic::VacuumDiode(_)
            | Characteristic::Triode(_)
            | Characteristic::Oscillator(_)
            | Characteristic::Pentode(_)
            | Characteristic::Heptode(_)
            | Characteristic::Pentagrid(_) => true,
            Characteristic::Junction(_)
            | Characteristic::SoftKnee(_)
            | Characteristic::Bipolar(_)
            | Characteristic::FieldEffect(_) => false,
        }
    }

    /// The knee in volts of a device that has one.
    pub fn knee_volts(&self) -> Option<f64> {
        match self {
            Characteristic::SoftKnee(knee) => Some(knee.knee_volts),
            _ => None,
        }
    }
}
