//! Reads a circuit with any meter at any port.

use std::sync::Arc;

use circuit::{Conditions, Job, Meter, Port, Setting};
use solver::{Condition, Load};

use crate::observation::{
    shared_out, Common, MeterSetup, ModelReading, NoObservation, Observation, Printed,
};
use crate::prior::Prior;
use crate::states::States;

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

    /// The model's reading of a port with a load in siemens, at the manual's line voltage.
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
        let drawn = self
            .states
            .at(&conditions)
            .map_err(NoObservation::Unsolved)?;
        let mut asked = settings.iter();
        if let Some(other) = asked.find_map(|setting| drawn.contradicts(circuit, setting)) {
            return Err(NoObservation::NoState(other));
        }
        let condition = Condition::of(circuit, &conditions, seen.model, &seen.sensitivities);
        condition.enough().map_err(NoObservation::NoState)?;
        Ok(seen)
    }

    /// The observation for a meter setup whose model reading is known.
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
        // A zero on a meter that lists no range is an infinite load.
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

/// The model's reading of a port with a load.
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
        .metered_to_fit(port, load)
        .map_err(NoObservation::NoState)?;
    let sensitivities = solution.sensitivities(states.circuit(), conditions, &state);
    Ok(ModelReading {
        model: state.volts,
        ohms: state.ohms,
        sensitivities,
    })
}
