//! Sets of probes that are asked for again and again, with all that no fault changes there.
//!
//! The bench in order comes in; probes prepared for any alteration, and what the drawing lacks at
//! each port, go out. What a fault does is not known here.

use std::sync::{Arc, PoisonError};

use circuit::{Alteration, Port};
use solver::{PortReading, Probes};

use crate::suspects::bench_model::{BenchModel, Probe, Response};

/// Probes, and what no fault changes there.
#[derive(Debug)]
pub(crate) struct ProbeSet {
    probes: Vec<Probe>,
    /// The places of the probes of each state, prepared for any alteration.
    pub(crate) by_state: Vec<(usize, Vec<usize>, Probes)>,
    lacks: Vec<Option<Lacking>>,
}

/// So many sets are kept, the last first.
const MOST_SETS: usize = 4;

/// What the drawing lacks at a probe's port.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Lacking {
    pub(crate) place: usize,
    /// Its likeliest, in standard deviations of `amperes` or `volts`.
    at: f64,
    amperes: f64,
    volts: f64,
    in_order: PortReading,
}

impl Lacking {
    /// The volts that one standard deviation of it makes. It follows the port down where a fault lowers
    /// its resistance or its volts, and does not grow with them: what a drawing lacks is mostly a load or a
    /// part of another value, which draws nothing where no volts arrive. A current that would make more
    /// volts than the port has in order may come from elsewhere, and does not follow the port's volts.
    pub(crate) fn effect(&self, (volts, ohms): (f64, f64)) -> f64 {
        let then = self.in_order;
        let ohms = if then.ohms > 0.0 {
            ohms.min(then.ohms)
        } else {
            then.ohms
        };
        let share = match then.volts.abs() > 0.0 {
            true => (volts / then.volts).abs().min(1.0),
            false => 1.0,
        };
        let fed_by_port = (self.amperes * then.ohms).abs() < then.volts.abs();
        let amperes = self.amperes * if fed_by_port { share } else { 1.0 };
        amperes * ohms + self.volts * share
    }
}

impl BenchModel<'_> {
    /// What the drawing lacks at a probe's port.
    pub(crate) fn lack(&self, probe: &Probe) -> Option<Lacking> {
        let (place, lack) = self.second.lack(probe.port)?;
        let in_order = self.in_order_at(probe)?;
        Some(Lacking {
            place,
            at: lack.at,
            amperes: lack.amperes_behind(in_order.volts, in_order.ohms),
            volts: lack.volts,
            in_order,
        })
    }

    /// What a probe sees in order.
    fn in_order_at(&self, probe: &Probe) -> Option<PortReading> {
        let key = (probe.port, probe.siemens.to_bits(), probe.state);
        let lock = || self.healthy.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(known) = lock().get(&key) {
            return Some(*known);
        }
        let base = self.in_order.get(probe.state)?;
        let altered = base.altered(&Alteration::none(&self.states[probe.state]));
        let quick = altered.and_then(|own| own.port_reading(probe.port, probe.siemens));
        let seen = quick.unwrap_or_else(|| base.solution().port_reading(probe.port, probe.siemens));
        lock().insert(key, seen);
        Some(seen)
    }

    /// Some probes with all that no fault changes; those asked for before are found again.
    pub(crate) fn probe_set(&self, probes: &[Probe]) -> Arc<ProbeSet> {
        let known = self
            .probe_sets
            .read()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known.iter().find(|set| set.probes == probes) {
            return Arc::clone(found);
        }
        drop(known);
        let by_state = self.by_state(probes).into_iter().map(|(state, places)| {
            let prepared = self.in_order[state].probes(&loads(probes, &places));
            (state, places, prepared)
        });
        let made = Arc::new(ProbeSet {
            by_state: by_state.collect(),
            lacks: probes.iter().map(|probe| self.lack(probe)).collect(),
            probes: probes.to_vec(),
        });
        let mut sets = self
            .probe_sets
            .write()
            .unwrap_or_else(PoisonError::into_inner);
        sets.insert(0, Arc::clone(&made));
        sets.truncate(MOST_SETS);
        made
    }

    /// What the drawing lacks, in volts at each of some probes.
    pub(crate) fn lacking(&self, probes: &[Probe], response: &Response) -> Vec<f64> {
        let set = self.probe_set(probes);
        let each = set.lacks.iter().enumerate();
        each.map(|(row, lacking)| {
            let now = (response.volts[row], response.ohms[row]);
            lacking.map_or(0.0, |own| own.at * own.effect(now))
        })
        .collect()
    }
}

/// The ports of some of these probes, with the conductance of each one's meter.
pub(crate) fn loads(probes: &[Probe], places: &[usize]) -> Vec<(Port, f64)> {
    let each = places.iter().map(|place| probes[*place]);
    each.map(|probe| (probe.port, probe.siemens)).collect()
}
