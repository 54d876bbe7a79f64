//! A solved circuit with a few parts altered, without another elimination.
//!
//! A part that is open, joined or off its value, a leak, a lost connection, a worn tube: each
//! changes a conductance or two, or a law. A changed conductance is a load on its own two nodes:
//! with `C` the port vectors of the changes, `D` their siemens and `e` the amperes that come with
//! them, and `J` the Jacobian of the solved circuit,
//!
//! ```text
//! q = e − D Cᵀv        R = CᵀJ⁻¹C        M = (1 + D R)⁻¹ D
//! J′⁻¹ = J⁻¹ − J⁻¹C M CᵀJ⁻¹
//! ```
//!
//! (M. A. Woodbury, "Inverting modified matrices", 1950; from memory), and the operating point is
//! found among the rows that devices touch ([`crate::deviation`]). Hundreds of alterations are so
//! tried on one elimination.

mod change;
mod extended;
mod jacobian;
mod port;
mod probes;
mod state;

use std::collections::HashMap;
use std::sync::{Arc, OnceLock, PoisonError, RwLock};

use circuit::{Circuit, Conditions, NodeId, PartId, Port};
use nalgebra::DVector;

use crate::device::Device;
use crate::element::Element;
use crate::newton::{self, FallBacks};
use crate::numbers::ParameterId;
use crate::port::Prepared;
use crate::reduced::{Problem, Reduced};
use crate::solution::Solution;
use crate::terms::Terms;
use crate::ties::Place;

pub use probes::Probes;
pub use state::Altered;

/// A solved circuit, ready to be altered again and again.
#[derive(Debug)]
pub struct Alterable<'a> {
    circuit: &'a Circuit,
    conditions: Conditions,
    solution: Solution,
    terms: Terms,
    /// The elements of each part that stand in the network, by their place there.
    elements: Vec<Vec<(Element, usize)>>,
    /// Ports prepared so far, shared by all who ask at the same time.
    ports: RwLock<HashMap<Port, Arc<Prepared>>>,
    /// See [`Alterable::dark`].
    dark: OnceLock<Option<DVector<f64>>>,
}

impl Solution {
    /// The circuit that was solved, ready to be altered.
    pub fn alterable<'a>(self, circuit: &'a Circuit, conditions: &Conditions) -> Alterable<'a> {
        let mut elements = vec![Vec::new(); circuit.parts().len()];
        for (place, element) in self.network.elements.iter().enumerate() {
            elements[element.part.0].push((*element, place));
        }
        Alterable {
            circuit,
            conditions: conditions.clone(),
            terms: self.terms(circuit, conditions).clone(),
            solution: self,
            elements,
            ports: RwLock::new(HashMap::new()),
            dark: OnceLock::new(),
        }
    }
}

impl Alterable<'_> {
    /// The circuit as it was solved.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// The circuit's numbers, in the order of the columns of [`Altered::jacobian`].
    pub fn numbers(&self) -> &[ParameterId] {
        &self.terms.numbers.ids
    }

    /// The devices of a part, one a unit, in the order of its units.
    fn units(&self, part: PartId) -> impl Iterator<Item = usize> + '_ {
        let devices = &self.solution.reduced.devices;
        (0..devices.len()).filter(move |place| devices[*place].part == part)
    }

    /// Where a node stands that some device touches.
    fn touched_by_device(&self, node: NodeId) -> Option<Place> {
        let devices = self.solution.reduced.devices.iter();
        let mut terminals = devices.flat_map(|device| device.nodes.iter().zip(&device.terminals));
        let found = terminals.find(|(own, _)| **own == Some(node.0));
        found.map(|(_, place)| *place)
    }

    /// Volts of the rows that devices touch before any glow discharge has struck; none where they are not found.
    fn dark(&self) -> Option<&DVector<f64>> {
        let found = self.dark.get_or_init(|| {
            let solution = &self.solution;
            let reduced = Reduced {
                devices: solution.reduced.devices.iter().map(Device::dark).collect(),
                ..solution.reduced.clone()
            };
            let problem = Problem::new(&reduced, None);
            let (network, start) = (&solution.network, &solution.kept);
            let state = newton::solve(&problem, network, start, FallBacks::Tried);
            state.ok().map(|state| state.x)
        });
        found.as_ref()
    }

    fn prepared(&self, port: Port) -> Arc<Prepared> {
        let known = self.ports.read().unwrap_or_else(PoisonError::into_inner);
        if let Some(prepared) = known.get(&port) {
            return Arc::clone(prepared);
        }
        drop(known);
        let prepared = self.solution.prepare(port);
        let mut known = self.ports.write().unwrap_or_else(PoisonError::into_inner);
        Arc::clone(known.entry(port).or_insert(prepared))
    }

    /// A port between two nodes.
    fn between(&self, (plus, minus): (NodeId, NodeId)) -> Arc<Prepared> {
        self.prepared(Port { plus, minus })
    }
}
