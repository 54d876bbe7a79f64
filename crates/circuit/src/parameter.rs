//! The numbers of a part that may differ from what is written on it.

use crate::characteristic::{
    Bipolar, Characteristic, FieldEffect, GridCurrent, Junction, Pentagrid, Pentode, SoftKnee,
    Triode, VacuumDiode, Wear,
};

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
            DeviceParameter::ScreenShare => "screen share",
            DeviceParameter::GasCurrent => "gas current",
            DeviceParameter::KneeVolts => "knee volts",
            DeviceParameter::SlopeResistance => "slope resistance",
            DeviceParameter::Saturation => "saturation current",
            DeviceParameter::JunctionLeakage => "reverse leakage",
            DeviceParameter::CurrentGain => "current gain",
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
            Characteristic::Pentode(_) => &[
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
            Characteristic::Bipolar(_) => {
                &[P::CurrentGain, P::Saturation, P::Leakage, P::EarlyVoltage]
            }
            Characteristic::FieldEffect(_) => &[P::DrainCurrent, P::PinchOff],
        }
    }

    /// The same device with one number changed; unchanged if it has no such number.
    pub fn varied(&self, parameter: DeviceParameter, change: f64) -> Characteristic {
        let mut varied = *self;
        match &mut varied {
            Characteristic::VacuumDiode(diode) => diode.vary(parameter, change),
            Characteristic::Triode(tube) => tube.vary(parameter, change),
            Characteristic::Pentode(tube) => tube.vary(parameter, change),
            Characteristic::Pentagrid(tube) => tube.vary(parameter, change),
            Characteristic::Junction(junction) => junction.vary(parameter, change),
            Characteristic::SoftKnee(knee) => knee.vary(parameter, change),
            Characteristic::Bipolar(transistor) => transistor.vary(parameter, change),
            Characteristic::FieldEffect(transistor) => transistor.vary(parameter, change),
        }
        varied
    }
}

impl VacuumDiode {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::Emission => self.emission += change,
            DeviceParameter::ContactPotential => self.contact += change,
            _ => {}
        }
    }
}

impl Triode {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::AmplificationFactor => self.mu *= change.exp(),
            DeviceParameter::ContactPotential => self.contact += change,
            _ => vary_grid(&mut self.grid, &mut self.wear, parameter, change),
        }
    }
}

impl Pentode {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::AmplificationFactor => self.mu *= change.exp(),
            DeviceParameter::ContactPotential => self.contact += change,
            DeviceParameter::ScreenShare => self.screen_share *= change.exp(),
            _ => vary_grid(&mut self.grid, &mut self.wear, parameter, change),
        }
    }
}

impl Pentagrid {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::AmplificationFactor => self.mu *= change.exp(),
            DeviceParameter::ScreenShare => self.screen_share *= change.exp(),
            DeviceParameter::OscillatorCurrent => self.oscillator_amperes *= change.exp(),
            _ => vary_grid(&mut self.grid, &mut self.wear, parameter, change),
        }
    }
}

/// Changes one of the numbers that every tube with a grid has.
fn vary_grid(grid: &mut GridCurrent, wear: &mut Wear, parameter: DeviceParameter, change: f64) {
    match parameter {
        DeviceParameter::Emission => wear.emission += change,
        DeviceParameter::GasCurrent => wear.gas += change,
        DeviceParameter::GridOnset => grid.onset += change,
        DeviceParameter::GridPerveance => grid.perveance *= change.exp(),
        _ => {}
    }
}

impl Junction {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::Saturation => self.saturation *= change.exp(),
            DeviceParameter::JunctionLeakage => self.leak_ohms /= change.exp(),
            _ => {}
        }
    }
}

impl SoftKnee {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::KneeVolts => self.knee_volts += change,
            DeviceParameter::SlopeResistance => self.slope_ohms *= change.exp(),
            DeviceParameter::JunctionLeakage => self.leak_ohms /= change.exp(),
            _ => {}
        }
    }
}

impl Bipolar {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::CurrentGain => self.forward_gain *= change.exp(),
            DeviceParameter::Saturation => self.saturation *= change.exp(),
            DeviceParameter::Leakage => self.leakage *= change.exp(),
            DeviceParameter::EarlyVoltage => self.early_volts *= change.exp(),
            _ => {}
        }
    }
}

impl FieldEffect {
    fn vary(&mut self, parameter: DeviceParameter, change: f64) {
        match parameter {
            DeviceParameter::DrainCurrent => self.idss *= change.exp(),
            DeviceParameter::PinchOff => self.pinch_off += change,
            _ => {}
        }
    }
}
