//! What meters read in an altered circuit: volts and resistance of its ports.

use circuit::{NodeId, Port};
use nalgebra::{DMatrix, DVector};

use super::change::Change;
use super::state::Altered;
use super::Alterable;
use crate::port::LoadedPort;
use crate::slopes::{Seen, HEAVY};

/// A port's two vectors, `J⁻¹c` and `J⁻ᵀc`, as far as the correction asks for them.
pub(super) struct Gathered {
    /// `VᵀJ⁻¹c` and `VᵀJ⁻ᵀc`
    pub(super) pushed: DVector<f64>,
    pub(super) pulled: DVector<f64>,
    /// `cᵀJ⁻¹c`
    ohms: f64,
}

impl<'a> Altered<'a> {
    /// Volts of a node above the reference of its island, with no meter on.
    pub fn node_volts(&self, node: NodeId) -> f64 {
        self.base.row(node).map_or(0.0, |row| self.x[row])
    }

    /// What a meter of this conductance in siemens shows on a port. None where the circuit has to
    /// be solved anew.
    pub fn seen(&self, port: Port, siemens: f64) -> Option<Seen> {
        let view = self.port(port, &self.gathered(port));
        if self.is_heavy(siemens, view) {
            let loaded = self.loaded(port, siemens)?;
            return Some(loaded.as_it_stands(port));
        }
        Some(view.seen(siemens))
    }

    /// The same with a meter on a port for good.
    pub(super) fn loaded(&self, port: Port, siemens: f64) -> Option<Altered<'a>> {
        let load = Change {
            strength: siemens,
            ..self.base.across(port)
        };
        Altered::settle(self.base, self.changes.with_load(load), &self.volts)
    }

    /// A port as the tangent sees it.
    pub(super) fn as_it_stands(&self, port: Port) -> Seen {
        let view = self.port(port, &self.gathered(port));
        Seen {
            volts: view.open_volts,
            ohms: view.ohms,
        }
    }

    /// Resistance in ohms between each node that a device touches and the reference, in the order
    /// of the nodes; those behind a broken lead stand at the end, each as large as the lead's.
    pub fn terminal_ohms(&self) -> Vec<f64> {
        let nodes = self.base.rows.iter().map(|row| {
            let c = Change {
                plus: Some(*row),
                minus: None,
                strength: 0.0,
                push: 0.0,
            };
            self.ohms(&self.gathered_at(&c))
        });
        let leads = self.changes.leads.iter().map(|lead| lead.ohms);
        nodes.chain(leads).collect()
    }

    fn ohms(&self, gathered: &Gathered) -> f64 {
        let corrected = &self.correction * &gathered.pushed;
        // Rounding may leave a hair below zero across an ideal source.
        (gathered.ohms - gathered.pulled.dot(&corrected)).max(0.0)
    }

    pub(super) fn is_heavy(&self, siemens: f64, view: LoadedPort) -> bool {
        !self.changes.devices.is_empty() && siemens * view.ohms > HEAVY
    }

    pub(super) fn port(&self, port: Port, gathered: &Gathered) -> LoadedPort {
        LoadedPort {
            open_volts: self.base.across(port).across(&self.x),
            ohms: self.ohms(gathered),
        }
    }

    pub(super) fn gathered(&self, port: Port) -> Gathered {
        self.gathered_at(&self.base.across(port))
    }

    fn gathered_at(&self, c: &Change) -> Gathered {
        let base = self.base;
        let entry = |of: &DMatrix<f64>, row: usize| {
            let at = |column: Option<usize>| column.map_or(0.0, |column| of[(row, column)]);
            at(c.plus) - at(c.minus)
        };
        let pick = |of: &DMatrix<f64>| {
            let at = |row: Option<usize>| row.map_or(0.0, |row| entry(of, row));
            let changes = self.changes.list.iter();
            let changes = changes.map(|change| at(change.plus) - at(change.minus));
            let nodes = self.moved.iter().map(|row| at(*row));
            let count = self.changes.list.len() + self.moved.len();
            DVector::from_iterator(count, changes.chain(nodes))
        };
        let at = |row: Option<usize>| row.map_or(0.0, |row| entry(&base.inverse, row));
        Gathered {
            pushed: pick(&base.inverse),
            pulled: pick(&base.transposed),
            ohms: at(c.plus) - at(c.minus),
        }
    }
}

impl Alterable<'_> {
    /// The port vector `c`.
    pub(super) fn across(&self, port: Port) -> Change {
        Change {
            plus: self.row(port.plus),
            minus: self.row(port.minus),
            strength: 0.0,
            push: 0.0,
        }
    }
}
