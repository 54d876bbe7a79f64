//! What the laws of tubes and semiconductors leave open of each reading.
//!
//! Probes come in, with what they show under a fault and in order; standard deviations in volts go out. The laws were
//! fitted to parts at work, and say less of one that a fault has driven out of its usual state.

use circuit::{Circuit, NodeId, PartKind};

use crate::suspects::bench_model::{Probe, Response};
use crate::suspects::faulty::swinging_nodes;

/// Share of what a fault moves by which the laws of tubes and semiconductors may be off (common
/// practice, no source; resistors have no such error).
const USUAL: f64 = 0.05;

/// The same where only what a tube lets through at cut-off still sets the volts, of which data sheets print next
/// to nothing (common practice, no source) …
const CUT_OFF: f64 = 0.3;

/// … which is so where the port's resistance is so many times that in order, and the volts have moved away from
/// zero: a cathode without its resistor rises until the tube is cut off.
const CUT_OFF_OHMS: f64 = 100.0;

/// The same at the grid and the plate of an oscillator: how far its swing follows what feeds it is known coarsely
/// (common practice, no source).
const OSCILLATOR: f64 = 0.3;

/// How far the laws of a circuit's devices may be off.
pub(crate) struct DeviceLaws {
    /// Whether it has devices.
    any: bool,
    /// Grids that oscillate, and plates of triodes that do.
    swinging: Vec<NodeId>,
}

impl DeviceLaws {
    pub(crate) fn of(circuit: &Circuit) -> Self {
        let mut parts = circuit.parts().iter();
        DeviceLaws {
            any: parts.any(|part| matches!(part.kind, PartKind::Device(_))),
            swinging: swinging_nodes(circuit),
        }
    }

    /// Volts left open of a point at work whose volts a fault moves by so many.
    pub(crate) fn at_work(&self, moved: f64) -> f64 {
        self.share(USUAL) * moved
    }

    /// Volts left open at each probe, by what it shows now and in order.
    pub(crate) fn at(&self, probes: &[Probe], response: &Response, order: &Response) -> Vec<f64> {
        let of = |(place, probe): (usize, &Probe)| {
            let (now, then) = (response.volts[place], order.volts[place]);
            let freed = response.ohms[place] > CUT_OFF_OHMS * order.ohms[place];
            let share = match freed && now.abs() > then.abs() {
                true => CUT_OFF,
                false if self.swinging.contains(&probe.port.plus) => OSCILLATOR,
                false => USUAL,
            };
            self.share(share) * (now - then)
        };
        probes.iter().enumerate().map(of).collect()
    }

    fn share(&self, share: f64) -> f64 {
        match self.any {
            true => share,
            false => 0.0,
        }
    }
}
