//! One reading of the manual compared with the drawn circuit: the model's value through the manual's
//! meter, its derivatives by every number, and the error of the reading itself.
//!
//! A movement that reads high at one point of a range reads high at the next, in proportion to what it
//! shows: its magnet, its springs and the range's multiplier are the same. The rest (the scale, friction,
//! the eye) is independent for each reading.

use crate::accuracy::AccuracyError;
use crate::permitted_error::permitted_error;

use circuit::{Meter, MeterRange, Setting};
use solver::{Sensitivities, SolveError};

/// Share of the variance of a meter's error at full scale that all readings of the range have in common;
/// it falls with the square of the reading (common practice, no source). The effect of other shares is
/// in `benches/results.md`.
const SCALE_SHARE: f64 = 0.5;

/// The same where a range is off by the same volts all over (common practice, no source).
const ZERO_SHARE: f64 = 0.75;

/// A value and its printed resolution.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Printed {
    /// Volts.
    pub(crate) value: f64,
    /// One unit of the last digit, in volts.
    pub(crate) resolution: f64,
}

/// A meter on a range, and the control positions under which it was read.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MeterSetup<'a> {
    pub(crate) settings: &'a [Setting],
    pub(crate) meter: &'a Meter,
    pub(crate) range: MeterRange,
}

impl MeterSetup<'_> {
    /// The meter's load in siemens.
    pub(crate) fn siemens(&self) -> f64 {
        1.0 / self.meter.input_ohms(self.range)
    }
}

/// A port with a load on it.
#[derive(Clone, Debug)]
pub(crate) struct ModelReading {
    /// Volts.
    pub(crate) model: f64,
    /// Resistance in ohms seen at the port with the load on it.
    pub(crate) ohms: f64,
    pub(crate) sensitivities: Sensitivities,
}

/// One reading against the model.
#[derive(Clone, Debug)]
pub(crate) struct Observation {
    /// What is printed.
    pub(crate) printed: Printed,
    /// What the circuit as drawn reads through that meter, in volts.
    pub(crate) model: f64,
    /// Resistance in ohms seen at the port with that meter on it.
    pub(crate) ohms: f64,
    /// Volts for one standard deviation of each number.
    pub(crate) jacobian: Vec<f64>,
    /// Variance of rounding and meter, in V², without what readings of its range have in common.
    pub(crate) noise: f64,
    /// What readings of its range have in common.
    pub(crate) common: Option<Common>,
}

/// The error that the readings of one meter on one range have in common.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Common {
    /// Which range of which meter, by its place among those met.
    pub(crate) range: usize,
    /// Volts for one standard deviation of it.
    pub(crate) volts: f64,
}

/// Why there is no such reading.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum NoObservation {
    Unsolved(SolveError),
    Floating,
    NoState(SolveError),
    Accuracy(AccuracyError),
    NotFinite,
}

impl Observation {
    /// The same reading of a meter whose error at full scale is all in common to a range's readings.
    pub(crate) fn off_in_proportion(&self) -> Observation {
        let mut off = self.clone();
        if let Some(common) = &mut off.common {
            let whole = common.volts.powi(2) / SCALE_SHARE;
            off.noise = (self.whole_noise() - whole).max(self.rounding());
            common.volts = whole.sqrt().copysign(common.volts);
        }
        off
    }

    /// The same reading of a meter that is off by nearly the same volts all over a range, as a pointer is whose
    /// zero is not set.
    pub(crate) fn off_at_zero(&self) -> Observation {
        let mut off = self.clone();
        if let Some(common) = &mut off.common {
            let by_meter = (self.whole_noise() - self.rounding()).max(0.0);
            off.noise = self.rounding() + (1.0 - ZERO_SHARE) * by_meter;
            common.volts = (ZERO_SHARE * by_meter).sqrt();
        }
        off
    }

    /// Variance of the printed digits' rounding, in V².
    fn rounding(&self) -> f64 {
        self.printed.resolution.powi(2) / 12.0
    }

    /// Printed value less the model's own: `r = v − f(θ₀)`, in volts.
    pub(crate) fn residual(&self) -> f64 {
        self.printed.value - self.model
    }

    /// Variance of rounding and meter, in V².
    pub(crate) fn whole_noise(&self) -> f64 {
        self.noise + self.common.map_or(0.0, |common| common.volts.powi(2))
    }

    /// Variance through the parts, in V²: a diagonal entry of `H P Hᵀ`.
    pub(crate) fn own(&self) -> f64 {
        self.jacobian.iter().map(|slope| slope * slope).sum()
    }

    /// Logarithm of how likely the parts alone make the value, up to a constant.
    pub(crate) fn log_density(&self) -> f64 {
        let variance = self.own() + self.whole_noise();
        -0.5 * (self.residual().powi(2) / variance + variance.ln())
    }
}

/// Variance of a reading about what the meter should show: rounding of the printed digits and the
/// meter's permitted error, both rectangular (JCGM 100:2008, F.2.2.1 and F.2.4.2). The manual's
/// own tolerance is left out: it covers parts and meter, which are both here already (4.3.10).
fn noise(setup: &MeterSetup<'_>, printed: Printed) -> Result<f64, AccuracyError> {
    noise_of(setup.meter, setup.range, printed.value, printed.resolution)
}

/// Variance in V² of what is a reading's own error, and volts for one standard deviation of what it has in
/// common with others of its range. Together they are all that the meter may be off.
pub(crate) fn shared_out(
    setup: &MeterSetup<'_>,
    printed: Printed,
) -> Result<(f64, f64), AccuracyError> {
    let half_width = permitted_error(setup.meter, setup.range, printed.value)?.half_width;
    let full_scale = setup.range.full_scale;
    let common = (SCALE_SHARE / 3.0).sqrt() * half_width * printed.value / full_scale;
    Ok((noise(setup, printed)? - common * common, common))
}

/// The same in V² for any meter that shows these volts on this range, with digits of this
/// resolution.
///
/// # Errors
/// [`AccuracyError`] where the permitted error of the meter cannot be told.
pub fn noise_of(
    meter: &Meter,
    range: MeterRange,
    volts: f64,
    resolution: f64,
) -> Result<f64, AccuracyError> {
    let half_width = permitted_error(meter, range, volts)?.half_width;
    // W = δ²/12 + a²/3
    Ok(resolution.powi(2) / 12.0 + half_width.powi(2) / 3.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    #[test]
    fn rounding_and_meter_add_as_variances() {
        // 145 V on 250 V of 3 %: half-widths 0.5 V and 7.5 V, variances 1/12 and 18.75.
        let meter = meter_by_name("20k/V").unwrap();
        let setup = MeterSetup {
            settings: &[],
            meter: &meter,
            range: meter.range(250.0),
        };
        let printed = Printed {
            value: 145.0,
            resolution: 1.0,
        };
        let got = noise(&setup, printed).unwrap();
        // Four operations on numbers below 60.
        assert!((got - (1.0 / 12.0 + 18.75)).abs() < 1e-12, "{got}");
    }
}
