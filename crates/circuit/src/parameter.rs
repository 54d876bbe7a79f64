//! The numbers of a part that may differ from what is written on it.

use crate::characteristic::Characteristic;

/// One number of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum PartParameter {
    /// Resistance in ohms: of a resistor, a potentiometer end to end, a choke's winding, a lamp.
    Resistance,
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
    /// Contact potential: a change in volts of the grid or plate.
    ContactPotential,
    /// Gas current out of the grid: a change in amperes.
    GasCurrent,
    /// Knee or breakdown: a change in volts.
    KneeVolts,
    /// Saturation current: a change of its logarithm.
    Saturation,
    /// Forward current gain: a change of its logarithm.
    CurrentGain,
    /// Collector leakage: a change of its logarithm.
    Leakage,
    /// Drain current at zero gate volts: a change of its logarithm.
    DrainCurrent,
    /// Pinch-off: a change in volts.
    PinchOff,
    /// Series resistance in ohms.
    SeriesResistance,
}

impl DeviceParameter {
    /// The name in output.
    pub fn name(self) -> &'static str {
        match self {
            DeviceParameter::Emission => "emission",
            DeviceParameter::ContactPotential => "contact potential",
            DeviceParameter::GasCurrent => "gas current",
            DeviceParameter::KneeVolts => "knee volts",
            DeviceParameter::Saturation => "saturation current",
            DeviceParameter::CurrentGain => "current gain",
            DeviceParameter::Leakage => "leakage",
            DeviceParameter::DrainCurrent => "drain current",
            DeviceParameter::PinchOff => "pinch-off",
            DeviceParameter::SeriesResistance => "series resistance",
        }
    }

    /// A step for a central difference: small against the curvature of the laws, large against
    /// rounding.
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
            Characteristic::Triode(_) | Characteristic::Pentode(_) => {
                &[P::Emission, P::ContactPotential, P::GasCurrent]
            }
            Characteristic::Pentagrid(_) => &[P::Emission, P::GasCurrent],
            Characteristic::Junction(_) => &[P::Saturation],
            Characteristic::SoftKnee(_) => &[P::KneeVolts],
            Characteristic::Bipolar(_) => &[P::CurrentGain, P::Saturation, P::Leakage],
            Characteristic::FieldEffect(_) => &[P::DrainCurrent, P::PinchOff],
        }
    }

    /// The same device with one number changed; unchanged if it has no such number.
    pub fn varied(&self, parameter: DeviceParameter, change: f64) -> Characteristic {
        use DeviceParameter as P;
        let mut varied = *self;
        match (&mut varied, parameter) {
            (Characteristic::VacuumDiode(diode), P::Emission) => diode.emission += change,
            (Characteristic::VacuumDiode(diode), P::ContactPotential) => diode.contact += change,
            (Characteristic::Triode(tube), P::Emission) => tube.wear.emission += change,
            (Characteristic::Triode(tube), P::ContactPotential) => tube.contact += change,
            (Characteristic::Triode(tube), P::GasCurrent) => tube.wear.gas += change,
            (Characteristic::Pentode(tube), P::Emission) => tube.wear.emission += change,
            (Characteristic::Pentode(tube), P::ContactPotential) => tube.contact += change,
            (Characteristic::Pentode(tube), P::GasCurrent) => tube.wear.gas += change,
            (Characteristic::Pentagrid(tube), P::Emission) => tube.wear.emission += change,
            (Characteristic::Pentagrid(tube), P::GasCurrent) => tube.wear.gas += change,
            (Characteristic::Junction(junction), P::Saturation) => {
                junction.saturation *= change.exp();
            }
            (Characteristic::SoftKnee(knee), P::KneeVolts) => knee.knee_volts += change,
            (Characteristic::Bipolar(transistor), P::CurrentGain) => {
                transistor.forward_gain *= change.exp();
            }
            (Characteristic::Bipolar(transistor), P::Saturation) => {
                transistor.saturation *= change.exp();
            }
            (Characteristic::Bipolar(transistor), P::Leakage) => {
                transistor.leakage *= change.exp();
            }
            (Characteristic::FieldEffect(transistor), P::DrainCurrent) => {
                transistor.idss *= change.exp();
            }
            (Characteristic::FieldEffect(transistor), P::PinchOff) => {
                transistor.pinch_off += change;
            }
            _ => {}
        }
        varied
    }
}
