//! Points that a short makes one, and grids that hang on their cathodes.
//!
//! The error of the laws is a share of what a fault moves, and each point has its own. Two nodes with a short between
//! them show the same volts, however wrong the laws are, and a grid that conducts stands near its cathode: their
//! readings share one error. Faults and probes come in; the errors of the readings and the points that share them go
//! out.

use circuit::{Circuit, NodeId};

use crate::suspects::bench_model::{Probe, SizedFault};
use crate::suspects::evaluation::Evaluator;
use crate::suspects::faulty::shorts;

/// Volts of a grid below its cathode from which on it conducts (common practice, no source).
const CONDUCTS: f64 = 0.5;

/// Readings of grids and of their cathodes, against the same node in the same state.
pub(crate) fn grids_and_cathodes(circuit: &Circuit, probes: &[Probe]) -> Vec<[usize; 2]> {
    let pairs = circuit.parts().iter().flat_map(|part| {
        let cathode = part
            .kind
            .terminals()
            .iter()
            .position(|name| *name == "cathode");
        let cathode = cathode.and_then(|at| part.nodes.get(at).copied());
        let grids: Vec<NodeId> = part.grids().collect();
        grids
            .into_iter()
            .filter_map(move |grid| Some([grid, cathode?]))
    });
    let mut found: Vec<[usize; 2]> = Vec::new();
    for [grid, cathode] in pairs {
        for (one, other) in both_at(probes, [grid, cathode]) {
            if !found.contains(&[one, other]) {
                found.push([one, other]);
            }
        }
    }
    found
}

/// Readings of two nodes against the same third one in the same state.
fn both_at(probes: &[Probe], nodes: [NodeId; 2]) -> Vec<(usize, usize)> {
    let at = |node: NodeId| -> Vec<usize> {
        let places = 0..probes.len();
        places
            .filter(|place| probes[*place].port.plus == node)
            .collect()
    };
    let [one, other] = nodes.map(at);
    let both = one.iter().flat_map(|a| other.iter().map(move |b| (*a, *b)));
    let same = both.filter(|(a, b)| {
        let (a, b) = (&probes[*a], &probes[*b]);
        a.state == b.state && a.port.minus == b.port.minus
    });
    same.collect()
}

/// Standard deviation that the laws leave of each reading, and for each reading the first one that shares it.
pub(crate) struct SharedErrors {
    pub(crate) volts: Vec<f64>,
    pub(crate) points: Vec<usize>,
}

impl SharedErrors {
    /// With these faults and what the meters then show, from what each reading has by itself.
    pub(crate) fn of(
        evaluator: &Evaluator<'_>,
        faults: &[SizedFault],
        shown: &[f64],
        volts: Vec<f64>,
    ) -> Self {
        let mut shared = SharedErrors {
            volts,
            points: evaluator.points.clone(),
        };
        if faults.iter().any(|(fault, _)| fault.may_join_nodes()) {
            shared.join(evaluator, faults);
        }
        for [grid, cathode] in &evaluator.grids_and_cathodes {
            if shown[*grid] > shown[*cathode] - CONDUCTS {
                shared.share(*grid, *cathode);
            }
        }
        shared
    }

    fn join(&mut self, evaluator: &Evaluator<'_>, faults: &[SizedFault]) {
        let (bench, probes) = (&evaluator.bench, &evaluator.probes);
        for (state, conditions) in bench.states.iter().enumerate() {
            for pair in shorts(bench.circuit, conditions, faults) {
                let both = both_at(probes, pair).into_iter();
                for (first, second) in both.filter(|(first, _)| probes[*first].state == state) {
                    self.share(first, second);
                }
            }
        }
    }

    /// Gives two readings one error, the larger of both.
    fn share(&mut self, first: usize, second: usize) {
        let [a, b] = [first, second].map(|place| self.volts[place]);
        let larger = if a.abs() > b.abs() { a } else { b };
        let (into, from) = (self.points[first], self.points[second]);
        for place in 0..self.points.len() {
            if self.points[place] == from {
                self.points[place] = into;
            }
        }
        self.volts[first] = larger;
        self.volts[second] = larger;
    }
}
