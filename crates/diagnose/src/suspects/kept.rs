//! Lists of looks that are taken again and again, with all that no fault changes there.
//!
//! The bench in order comes in; probes prepared for any alteration, and what the drawing lacks at
//! each port, go out. What a fault does is not known here.

use std::sync::{Arc, PoisonError};

use circuit::{Alteration, Port};
use solver::{PortReading, Probes};

use crate::suspects::bench_model::{BenchModel, Probe, Response};

/// Looks, and what of them no fault changes.
#[derive(Debug)]
pub(crate) struct Kept {
    probes: Vec<Probe>,
    /// The places of the looks of each state, with the probes there.
    pub(crate) by_state: Vec<(usize, Vec<usize>, Probes)>,
    lacks: Vec<Option<Lacking>>,
}

/// So many lists of looks are kept, the last first.
const KEPT: usize = 4;

/// What the drawing lacks at a look's port.
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
    /// What the drawing lacks at a look's port.
    pub(crate) fn lack(&self, probe: &Probe) -> Option<Lacking> {
        let (place, lack) = self.second.lack(probe.port)?;
        Some(Lacking {
            place,
            at: lack.at,
            amperes: lack.amperes,
            volts: lack.volts,
            in_order: self.in_order_at(probe)?,
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

    /// Some looks with all that no fault changes; those asked for before are found again.
    pub(crate) fn kept(&self, probes: &[Probe]) -> Arc<Kept> {
        let known = self.kept.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(found) = known.iter().find(|kept| kept.probes == probes) {
            return Arc::clone(found);
        }
        drop(known);
        let by_state = self.by_state(probes).into_iter().map(|(state, places)| {
            let prepared = self.in_order[state].probes(&loads(probes, &places));
            (state, places, prepared)
        });
        let made = Arc::new(Kept {
            by_state: by_state.collect(),
            lacks: probes.iter().map(|probe| self.lack(probe)).collect(),
            probes: probes.to_vec(),
        });
        let mut kept = self.kept.write().unwrap_or_else(PoisonError::into_inner);
        kept.insert(0, Arc::clone(&made));
        kept.truncate(KEPT);
        made
    }

    /// What the drawing lacks, in volts at each of some looks.
    pub(crate) fn lacking(&self, probes: &[Probe], response: &Response) -> Vec<f64> {
        let kept = self.kept(probes);
        let each = kept.lacks.iter().enumerate();
        each.map(|(row, lacking)| {
            let now = (response.volts[row], response.ohms[row]);
            lacking.map_or(0.0, |own| own.at * own.effect(now))
        })
        .collect()
    }
}

/// The ports of some of these looks, with the conductance of each one's meter.
pub(crate) fn loads(probes: &[Probe], places: &[usize]) -> Vec<(Port, f64)> {
    let each = places.iter().map(|place| probes[*place]);
    each.map(|probe| (probe.port, probe.siemens)).collect()
}
