//! The numbers of a tube or semiconductor: which it has by its laws, how far each may be off, and how it is changed.
//!
//! A number of a part that is none of these is `numbers`' business.

use crate::catalogue::semiconductor;
use crate::characteristic::Characteristic;
use crate::device::{Device, DeviceClass, DeviceUnit};
use crate::numbers::{Nominal, PartNumber};
use crate::parameter::{DeviceParameter, PartParameter};
use crate::spread;
use crate::spread::SpreadScale;

impl Device {
    /// Its numbers, each once: units that have the same one share it.
    pub(crate) fn numbers(&self) -> impl Iterator<Item = DeviceParameter> + '_ {
        let units = self.units.iter().enumerate();
        let of_laws = units.flat_map(|(index, unit)| {
            let before = &self.units[..index];
            let has =
                |earlier: &DeviceUnit, number| earlier.characteristic.parameters().contains(number);
            let own = unit.characteristic.parameters().iter();
            own.filter(move |number| !before.iter().any(|earlier| has(earlier, number)))
        });
        let in_series = self.units.iter().any(|unit| unit.series_ohms > 0.0);
        let in_series = in_series.then_some(DeviceParameter::SeriesResistance);
        of_laws.copied().chain(in_series)
    }

    pub(crate) fn vary(&mut self, number: DeviceParameter, change: f64) {
        for unit in &mut self.units {
            match number {
                DeviceParameter::SeriesResistance if unit.series_ohms > 0.0 => {
                    unit.series_ohms += change;
                }
                _ => unit.characteristic = unit.characteristic.varied(number, change),
            }
        }
    }

    /// Its knee in volts; 0 without one.
    fn knee_volts(&self) -> f64 {
        let mut units = self.units.iter();
        let knee = units.find_map(|unit| unit.characteristic.knee_volts());
        knee.unwrap_or(0.0)
    }
}

pub(crate) fn device_number(device: &Device, number: DeviceParameter) -> PartNumber {
    use SpreadScale::{Amperes, Logarithm, Ohms, Share, Volts};
    let (spread, why) = match number {
        DeviceParameter::Emission => spread::EMISSION.of(1.0, None, Share),
        DeviceParameter::AmplificationFactor => spread::AMPLIFICATION.by(Logarithm),
        DeviceParameter::ContactPotential => {
            let mut units = device.units.iter();
            let is_diode = |law: &Characteristic| matches!(law, Characteristic::VacuumDiode(_));
            match units.any(|unit| is_diode(&unit.characteristic)) {
                true => spread::DIODE_CONTACT.by(Volts),
                false => spread::CONTACT.by(Volts),
            }
        }
        DeviceParameter::GridOnset => spread::GRID_ONSET.by(Volts),
        DeviceParameter::GridPerveance => spread::GRID_PERVEANCE.by(Logarithm),
        DeviceParameter::OscillatorCurrent => spread::OSCILLATOR.by(Logarithm),
        DeviceParameter::OscillatorSwing => spread::SWING.by(Logarithm),
        DeviceParameter::ScreenShare => spread::SCREEN_SHARE.by(Logarithm),
        DeviceParameter::GasCurrent => spread::GAS.by(Amperes),
        DeviceParameter::KneeVolts => spread::KNEE.of(device.knee_volts(), device.tolerance, Volts),
        DeviceParameter::SlopeResistance => spread::SLOPE.by(Logarithm),
        // A small transistor and a large one differ more than two of one type.
        DeviceParameter::Saturation
            if device.class == DeviceClass::Transistor
                && semiconductor(&device.type_name).is_none() =>
        {
            spread::SATURATION_OF_A_KIND.by(Logarithm)
        }
        DeviceParameter::Saturation => spread::SATURATION.by(Logarithm),
        DeviceParameter::JunctionLeakage => spread::JUNCTION_LEAK.by(Logarithm),
        DeviceParameter::CurrentGain => spread::GAIN.by(Logarithm),
        DeviceParameter::ReverseGain => spread::REVERSE_GAIN.by(Logarithm),
        DeviceParameter::Leakage => spread::COLLECTOR_LEAK.by(Logarithm),
        DeviceParameter::EarlyVoltage => spread::EARLY.by(Logarithm),
        DeviceParameter::DrainCurrent => spread::DRAIN.by(Logarithm),
        DeviceParameter::PinchOff => spread::PINCH_OFF.by(Volts),
        DeviceParameter::SeriesResistance => {
            let ohms = device.units.iter().map(|unit| unit.series_ohms).sum();
            match device.class {
                DeviceClass::Transistor => spread::COLLECTOR.of(ohms, None, Ohms),
                _ => spread::SOURCE.of(ohms, None, Ohms),
            }
        }
    };
    PartNumber {
        parameter: PartParameter::Device(number),
        nominal: Nominal::ByType,
        spread,
        why,
    }
}
