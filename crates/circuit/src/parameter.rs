//! The numbers of a part that may differ from what is written on it.

use crate::characteristic::{
    Characteristic, Heptode, OscillatorTriode, Pentagrid, Triode, VacuumDiode,
};

/// One number of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PartParameter {
    /// Resistance in ohms: of a resistor, a potentiometer end to end, a choke's winding, a lamp.
    Resistance,
    /// Position of a wiper: a change of the logarithm of the travel below it over that above it.
    WiperPosition,
    /// Leakage resistance of a capacitor, in ohms.
    Leak,
    /// Open-circuit volts of a source, at the line voltage of the netlist.
    Volts,
    /// Own resistance of a source, in ohms.
    SourceResistance,
    /// Primary winding resistance in ohms.
    PrimaryResistance,
    /// Secondary winding resistance in ohms.
    SecondaryResistance,
    /// A number of a tube or semiconductor.
    Device(DeviceParameter),
}

/// One number of a tube or semiconductor, and what a change of it means.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DeviceParameter {
    /// Emission: a change by a share of full emission.
    Emission,
    /// Amplification factor: a change of its logarithm.
    AmplificationFactor,
    /// Contact potential: a change in volts of the grid or plate.
    ContactPotential,
    /// Volts of the grid at which it begins to draw current: a change in volts.
    GridOnset,
    /// Perveance of the current into a positive grid: a change of its logarithm.
    GridPerveance,
    /// Rectified oscillator current into the first grid: a change of its logarithm.
    OscillatorCurrent,
    /// Peak volts of an oscillator's grid: a change of their logarithm.
    OscillatorSwing,
    /// Screen current over plate current: a change of its logarithm.
    ScreenShare,
    /// Gas current out of the grid: a change in amperes.
    GasCurrent,
    /// Knee or breakdown voltage: a change in volts.
    KneeVolts,
    /// Slope resistance above the knee: a change of its logarithm.
    SlopeResistance,
    /// Saturation current: a change of its logarithm.
    Saturation,
    /// Leakage across a junction or a knee: a change of its logarithm.
    JunctionLeakage,
    /// Forward current gain: a change of its logarithm.
    CurrentGain,
    /// Reverse current gain: a change of its logarithm.
    ReverseGain,
    /// Collector leakage: a change of its logarithm.
    Leakage,
    /// Early voltage: a change of its logarithm.
    EarlyVoltage,
    /// Drain current at zero gate volts: a change of its logarithm.
    DrainCurrent,
    /// Pinch-off voltage: a change in volts.
    PinchOff,
    /// Series resistance: a change in ohms.
    SeriesResistance,
}

impl DeviceParameter {
    /// The name in output.
    pub fn name(self) -> &'static str {
        match self {
            DeviceParameter::Emission => "emission",
            DeviceParameter::AmplificationFactor => "amplification factor",
            DeviceParameter::ContactPotential => "contact potential",
            DeviceParameter::GridOnset => "start of grid current",
            DeviceParameter::GridPerveance => "grid current",
            DeviceParameter::OscillatorCurrent => "oscillator grid current",
            DeviceParameter::OscillatorSwing => "oscillator swing",
            DeviceParameter::ScreenShare => "screen share",
            DeviceParameter::GasCurrent => "gas current",
            DeviceParameter::KneeVolts => "knee volts",
            DeviceParameter::SlopeResistance => "slope resistance",
            DeviceParameter::Saturation => "saturation current",
            DeviceParameter::JunctionLeakage => "reverse leakage",
            DeviceParameter::CurrentGain => "current gain",
            DeviceParameter::ReverseGain => "reverse current gain",
            DeviceParameter::Leakage => "leakage",
            DeviceParameter::EarlyVoltage => "Early voltage",
            DeviceParameter::DrainCurrent => "drain current",
            DeviceParameter::PinchOff => "pinch-off",
            DeviceParameter::SeriesResistance => "series resistance",
        }
    }

    /// The step of a central difference, in the number's own unit: small against the curvature of
    /// the laws, large against rounding.
    pub fn step(self) -> f64 {
        match self {
            DeviceParameter::GasCurrent => 1e-9,
            _ => 1e-5,
        }
    }
}

impl PartParameter {
    /// The name in output.
    pub fn name(self) -> &'static str {
        match self {
            PartParameter::Resistance => "resistance",
            PartParameter::WiperPosition => "wiper position",
            PartParameter::Leak => "leakage resistance",
            PartParameter::Volts => "volts",
            PartParameter::SourceResistance => "source resistance",
            PartParameter::PrimaryResistance => "primary resistance",
            PartParameter::SecondaryResistance => "secondary resistance",
            PartParameter::Device(parameter) => parameter.name(),
        }
    }
}

impl Characteristic {
    /// The numbers that differ from sample to sample.
    pub fn parameters(&self) -> &'static [DeviceParameter] {
        use DeviceParameter as P;
        match self {
            Characteristic::VacuumDiode(_) => &[P::Emission, P::ContactPotential],
            Characteristic::Triode(_) => &[
                P::Emission,
                P::AmplificationFactor,
                P::ContactPotential,
                P::GridOnset,
                P::GridPerveance,
                P::GasCurrent,
            ],
            Characteristic::Oscillator(_) => &[
                P::Emission,
                P::AmplificationFactor,
                P::ContactPotential,
                P::GridOnset,
                P::GridPerveance,
                P::OscillatorSwing,
                P::GasCurrent,
            ],
            Characteristic::Pentode(_) | Characteristic::Heptode(_) => &[
                P::Emission,
                P::AmplificationFactor,
                P::ContactPotential,
                P::ScreenShare,
                P::GridOnset,
                P::GridPerveance,
                P::GasCurrent,
            ],
            Characteristic::Pentagrid(_) => &[
                P::Emission,
                P::AmplificationFactor,
                P::ScreenShare,
                P::GridOnset,
                P::GridPerveance,
                P::OscillatorCurrent,
                P::GasCurrent,
            ],
            Characteristic::Junction(_) => &[P::Saturation, P::JunctionLeakage],
            Characteristic::SoftKnee(_) => &[P::KneeVolts, P::SlopeResistance, P::JunctionLeakage],
            Characteristic::Bipolar(_) => &[
                P::CurrentGain,
                P::ReverseGain,
                P::Saturation,
                P::Leakage,
                P::EarlyVoltage,
            ],
            Characteristic::FieldEffect(_) => &[P::DrainCurrent, P::PinchOff],
        }
    }

    /// The same device with one number changed; unchanged if it has no such number.
    pub fn varied(&self, parameter: DeviceParameter, change: f64) -> Characteristic {
        let mut varied = *self;
        if let Some(number) = varied.number_mut(parameter) {
            match parameter.change() {
                Change::Amount => *number += change,
                Change::Logarithm => *number *= change.exp(),
                Change::OfConductance => *number /= change.exp(),
            }
        }
        varied
    }

    /// A number as the law holds it; none if the device has no such number.
    fn number_mut(&mut self, parameter: DeviceParameter) -> Option<&mut f64> {
        use Characteristic as C;
        use DeviceParameter as P;
        match (parameter, self) {
            (P::Emission, C::VacuumDiode(own)) => Some(&mut own.emission),
            (P::Emission, own) => Some(&mut own.grid_mut()?.1.emission),
            (P::GasCurrent, own) => Some(&mut own.grid_mut()?.1.gas),
            (P::GridOnset, own) => Some(&mut own.grid_mut()?.0.onset),
            (P::GridPerveance, own) => Some(&mut own.grid_mut()?.0.perveance),
            (number, C::Oscillator(OscillatorTriode { triode, swing, .. })) => match number {
                P::AmplificationFactor => Some(&mut triode.mu),
                P::ContactPotential => Some(&mut triode.contact),
                P::OscillatorSwing => Some(swing),
                _ => None,
            },
            (number, C::Pentode(pentode) | C::Heptode(Heptode { pentode, .. })) => match number {
                P::AmplificationFactor => Some(&mut pentode.mu),
                P::ContactPotential => Some(&mut pentode.contact),
                P::ScreenShare => Some(&mut pentode.screen_share),
                _ => None,
            },
            (P::AmplificationFactor, C::Triode(Triode { mu, .. }))
            | (P::AmplificationFactor, C::Pentagrid(Pentagrid { mu, .. })) => Some(mu),
            (P::ContactPotential, C::VacuumDiode(VacuumDiode { contact, .. }))
            | (P::ContactPotential, C::Triode(Triode { contact, .. })) => Some(contact),
            (P::ScreenShare, C::Pentagrid(own)) => Some(&mut own.screen_share),
            (P::OscillatorCurrent, C::Pentagrid(own)) => Some(&mut own.oscillator_amperes),
            (P::KneeVolts, C::SoftKnee(own)) => Some(&mut own.knee_volts),
            (P::SlopeResistance, C::SoftKnee(own)) => Some(&mut own.slope_ohms),
            (P::JunctionLeakage, C::SoftKnee(own)) => Some(&mut own.leak_ohms),
            (P::JunctionLeakage, C::Junction(own)) => Some(&mut own.leak_ohms),
            (P::Saturation, C::Junction(own)) => Some(&mut own.saturation),
            (P::Saturation, C::Bipolar(own)) => Some(&mut own.saturation),
            (P::CurrentGain, C::Bipolar(own)) => Some(&mut own.forward_gain),
            (P::ReverseGain, C::Bipolar(own)) => Some(&mut own.reverse_gain),
            (P::Leakage, C::Bipolar(own)) => Some(&mut own.leakage),
            (P::EarlyVoltage, C::Bipolar(own)) => Some(&mut own.early_volts),
            (P::DrainCurrent, C::FieldEffect(own)) => Some(&mut own.idss),
            (P::PinchOff, C::FieldEffect(own)) => Some(&mut own.pinch_off),
            _ => None,
        }
    }
}

/// How a change of a number is given.
enum Change {
    /// In its own unit.
    Amount,
    /// As a logarithm of it.
    Logarithm,
    /// As a logarithm of its inverse: leakage is a current, and the law holds the resistance.
    OfConductance,
}

impl DeviceParameter {
    fn change(self) -> Change {
        match self {
            DeviceParameter::Emission
            | DeviceParameter::ContactPotential
            | DeviceParameter::GridOnset
            | DeviceParameter::GasCurrent
            | DeviceParameter::KneeVolts
            | DeviceParameter::PinchOff
            | DeviceParameter::SeriesResistance => Change::Amount,
            DeviceParameter::JunctionLeakage => Change::OfConductance,
            DeviceParameter::AmplificationFactor
            | DeviceParameter::GridPerveance
            | DeviceParameter::OscillatorCurrent
            | DeviceParameter::OscillatorSwing
            | DeviceParameter::ScreenShare
            | DeviceParameter::SlopeResistance
            | DeviceParameter::Saturation
            | DeviceParameter::CurrentGain
            | DeviceParameter::ReverseGain
            | DeviceParameter::Leakage
            | DeviceParameter::EarlyVoltage
            | DeviceParameter::DrainCurrent => Change::Logarithm,
        }
    }
}
