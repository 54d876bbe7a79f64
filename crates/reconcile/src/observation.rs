//! One reading of the manual as the drawn circuit sees it: the model's own value through the
//! manual's meter, how it follows every number, and how far the reading itself may be off.
//!
//! A movement that reads high at one point of a range reads high at the next, in proportion to what it
//! shows: its magnet, its springs and the range's multiplier are the same. The rest (how the scale
//! is drawn, friction, the eye) is each reading's own.

use crate::accuracy::AccuracyError;
use crate::permitted_error::permitted_error;
use crate::states::States;
use std::sync::Arc;

use circuit::{Conditions, Job, Meter, MeterRange, Port, Setting};
use solver::{Condition, Load, ParameterSensitivity, SolveError};

use crate::prior::Prior;

/// How much of the variance of a meter's error at full scale all readings of that range have in common;
/// lower down the scale as much less as the square of the reading (common practice, no source). What
/// other shares bring is in `benches/results.md`.
const SCALE_SHARE: f64 = 0.5;

/// A value and how finely it was printed.
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
    pub(crate) sensitivities: Vec<ParameterSensitivity>,
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

/// Reads a circuit with any meter at any port.
#[derive(Clone, Debug)]
pub(crate) struct Reader {
    pub(crate) states: Arc<States>,
    pub(crate) prior: Prior,
    /// The meters and full scales met.
    ranges: Vec<(Meter, f64)>,
}

impl Reader {
    pub(crate) fn new(job: &Arc<Job>) -> Self {
        Reader {
            states: Arc::new(States::new(job)),
            prior: Prior::new(job),
            ranges: Vec::new(),
        }
    }

    /// What a load in siemens makes of a port, under the manual's line voltage.
    pub(crate) fn model_reading(
        &self,
        port: Port,
        settings: &[Setting],
        siemens: f64,
    ) -> Result<ModelReading, NoObservation> {
        let conditions = Conditions {
            settings: settings.to_vec(),
            line_factor: 1.0,
        };
        let load = Load {
            siemens,
            amperes: 0.0,
        };
        let seen = model_reading(&self.states, port, &conditions, load)?;
        let circuit = self.states.circuit();
        let condition = Condition::of(circuit, &conditions, seen.model, &seen.sensitivities);
        condition.enough().map_err(NoObservation::NoState)?;
        Ok(seen)
    }

    /// The reading of a probe that has been seen.
    pub(crate) fn row(
        &mut self,
        setup: &MeterSetup<'_>,
        printed: Printed,
        seen: &ModelReading,
    ) -> Result<Observation, NoObservation> {
        let (own, common) = shared_out(setup, printed).map_err(NoObservation::Accuracy)?;
        let range = self.range(setup);
        let row = Observation {
            printed,
            model: seen.model,
            ohms: seen.ohms,
            jacobian: self.prior.scaled(&seen.sensitivities),
            noise: own,
            common: (common.abs() > 0.0).then_some(Common {
                range,
                volts: common,
            }),
        };
        // A zero on a meter that lists no range is a load without bounds.
        let finite = row.residual().is_finite() && row.own().is_finite();
        if finite && row.noise.is_finite() && row.noise > 0.0 {
            Ok(row)
        } else {
            Err(NoObservation::NotFinite)
        }
    }
}

impl Reader {
    fn range(&mut self, setup: &MeterSetup<'_>) -> usize {
        let full_scale = setup.range.full_scale;
        let known = self.ranges.iter().position(|(meter, own)| {
            meter == setup.meter && (own - full_scale).abs() <= 1e-9 * full_scale
        });
        known.unwrap_or_else(|| {
            self.ranges.push((setup.meter.clone(), full_scale));
            self.ranges.len() - 1
        })
    }
}

/// What a load makes of a port.
pub(crate) fn model_reading(
    states: &States,
    port: Port,
    conditions: &Conditions,
    load: Load,
) -> Result<ModelReading, NoObservation> {
    let solution = states.at(conditions).map_err(NoObservation::Unsolved)?;
    if solution.floats(port) {
        return Err(NoObservation::Floating);
    }
    let state = solution
        .metered(port, load, None)
        .map_err(NoObservation::NoState)?;
    let sensitivities = solution.sensitivities(states.circuit(), conditions, &state);
    Ok(ModelReading {
        model: state.volts,
        ohms: state.ohms,
        sensitivities,
    })
}

impl Observation {
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
fn shared_out(setup: &MeterSetup<'_>, printed: Printed) -> Result<(f64, f64), AccuracyError> {
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
