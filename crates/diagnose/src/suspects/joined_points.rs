//! Points that a short makes one.
//!
//! The error of the laws is a share of what a fault moves, and each point has its own. Two nodes with a short between
//! them show the same volts, however wrong the laws are: their readings share one error. Faults and probes come in; the
//! errors of the readings and the points that share them go out.

use circuit::NodeId;

use crate::suspects::bench_model::SizedFault;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::faulty::shorts;

/// Standard deviation that the laws leave of each reading, and for each reading the first one that shares it.
pub(crate) struct SharedErrors {
    pub(crate) volts: Vec<f64>,
    pub(crate) points: Vec<usize>,
}

impl SharedErrors {
    /// With these faults, from what each reading has by itself.
    pub(crate) fn of(evaluator: &Evaluator<'_>, faults: &[SizedFault], volts: Vec<f64>) -> Self {
        let mut shared = SharedErrors {
            volts,
            points: evaluator.points.clone(),
        };
        if faults.iter().any(|(fault, _)| fault.may_join_nodes()) {
            shared.join(evaluator, faults);
        }
        shared
    }

    fn join(&mut self, evaluator: &Evaluator<'_>, faults: &[SizedFault]) {
        let (bench, probes) = (&evaluator.bench, &evaluator.probes);
        for (state, conditions) in bench.states.iter().enumerate() {
            for pair in shorts(bench.circuit, conditions, faults) {
                let at = |node: NodeId| {
                    let places = (0..probes.len()).filter(move |place| {
                        let probe = &probes[*place];
                        probe.state == state && probe.port.plus == node
                    });
                    places.collect::<Vec<usize>>()
                };
                let [one, other] = pair.map(at);
                for (first, second) in one.iter().flat_map(|a| other.iter().map(move |b| (*a, *b)))
                {
                    if probes[first].port.minus == probes[second].port.minus {
                        self.share(first, second);
                    }
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
