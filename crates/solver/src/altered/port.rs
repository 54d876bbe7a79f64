//! What meters read in an altered circuit: volts and resistance of its ports.

use circuit::{NodeId, Port};
use nalgebra::{DMatrix, DVector};

use super::change::Change;
use super::extended::{Tangent, Terminal};
use super::state::Altered;
use super::Alterable;
use crate::jacobian::PortReading;
use crate::port::{LoadedPort, Prepared};

/// A port whose resistance an alteration raises by more than this factor may hang on a junction at cut-off.
const RISEN: f64 = 10.0;

/// Share of such a port's volts that a meter may take by the tangent. A junction's resistance at no current is
/// `VT/I`, so at 10 V a meter that takes a thousandth asks for 0.4 of its cut-off current `I`.
const HEAVY_ON_JUNCTION: f64 = 1e-3;

/// Whether a current into a port is followed to the state, or a reading of the port back to the
/// currents that move it.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Sense {
    Forward,
    Backward,
}

/// A port's vector on the altered network with the devices linear: `Kc` or `Kᵀc`.
pub(super) struct LinearResponse {
    /// At the rows that devices touch.
    pub(super) kept: DVector<f64>,
    /// What the terminals whose slopes have moved answer to it.
    pub(super) answered: Vec<(Terminal, f64)>,
    /// `M CᵀJ⁻¹c`, or with both transposed.
    through: DVector<f64>,
}

impl<'a> Altered<'a> {
    /// Volts of a node above the reference of its island, with no meter on.
    pub fn node_volts(&self, node: NodeId) -> f64 {
        let network = &self.base.solution.network;
        network.node_volts(self.rows(), node.0)
    }

    /// What a meter of this conductance in siemens shows on a port. None where the circuit has to
    /// be solved anew.
    pub fn port_reading(&self, port: Port, siemens: f64) -> Option<PortReading> {
        let prepared = self.base.prepared(port);
        let view = self.view(&prepared, self.tangent()?);
        if self.is_heavy(siemens, view, &prepared) {
            return self.loaded(port, siemens)?.as_it_stands(port);
        }
        Some(view.port_reading(siemens))
    }

    /// The same with a meter on a port for good.
    pub(super) fn loaded(&self, port: Port, siemens: f64) -> Option<Altered<'a>> {
        let load = Change {
            ends: (port.plus, port.minus),
            siemens,
            amperes: 0.0,
        };
        Altered::settle(self.base, self.changes.with_load(load), &self.volts)
    }

    /// A port as the tangent sees it.
    pub(super) fn as_it_stands(&self, port: Port) -> Option<PortReading> {
        let view = self.view(&self.base.prepared(port), self.tangent()?);
        Some(PortReading {
            volts: view.open_volts,
            ohms: view.ohms,
        })
    }

    /// Resistance in ohms between each row that devices touch and the reference, in the order
    /// of the rows; those behind a broken lead stand at the end, each as large as the lead's. None where the circuit
    /// has to be solved anew.
    pub fn terminal_ohms(&self) -> Option<Vec<f64>> {
        let Tangent {
            moved, fed, slopes, ..
        } = self.tangent()?;
        let impedances = self.impedances();
        let kept = impedances.solved.nrows();
        let outer = |terminals: &[Terminal]| -> Vec<Option<usize>> {
            terminals.iter().map(|terminal| terminal.outer).collect()
        };
        let (moved, fed) = (outer(moved), outer(fed));
        let mut answered = DVector::zeros(moved.len());
        let rows = (0..kept).map(|row| {
            for (place, outer) in moved.iter().enumerate() {
                answered[place] = outer.map_or(0.0, |outer| impedances.at(outer, row));
            }
            let through = slopes * &answered;
            let transfers = fed.iter().zip(through.iter());
            let taken: f64 = transfers
                .map(|(outer, through)| {
                    outer.map_or(0.0, |outer| impedances.at(row, outer)) * through
                })
                .sum();
            impedances.at(row, row) - taken
        });
        let rows: Vec<f64> = rows.collect();
        let leads = self.changes.leads.iter().map(|lead| lead.ohms);
        Some(rows.into_iter().chain(leads).collect())
    }

    /// The rows of every device one of whose terminals hangs on more than `factor` times its `ohms` before, as
    /// [`Altered::terminal_ohms`] counts them, or behind a broken lead. Of a broken lead the row before it. None
    /// where `ohms` are not those of this circuit before its alteration.
    pub fn rows_of_risen_devices(&self, ohms: &[f64], factor: f64) -> Option<Vec<usize>> {
        if ohms.len() != self.impedances().solved.nrows() {
            return None;
        }
        let now = self.terminal_ohms()?;
        let risen = |row: usize| ohms.get(row).is_none_or(|then| now[row] > factor * then);
        let mut rows: Vec<usize> = Vec::new();
        for device in self.changes.devices.iter() {
            let own = device.terminals.iter().filter_map(|place| place.row);
            if own.clone().any(risen) {
                rows.extend(own.filter_map(|row| self.changes.outer_of(ohms.len(), row)));
            }
        }
        rows.sort_unstable();
        rows.dedup();
        Some(rows)
    }

    /// Whether the tangent is no guide to what this meter shows. A port that hangs on a junction alone since its
    /// path was broken gives no more than that lets through at cut-off: a meter that takes little by the tangent
    /// may ask for many times that current.
    pub(super) fn is_heavy(&self, siemens: f64, view: LoadedPort, port: &Prepared) -> bool {
        let hangs = view.ohms > RISEN * port.ohms && siemens * view.ohms > HEAVY_ON_JUNCTION;
        !self.changes.devices.is_empty() && (hangs || port.is_heavy(siemens, view))
    }

    /// A port by the tangent at the operating point.
    pub(super) fn view(&self, port: &Prepared, tangent: &Tangent) -> LoadedPort {
        let base = self.base;
        let forward = self.linear_response(port, tangent, Sense::Forward);
        let transfers = self.ports.iter().map(|own| base.transfer(port, own));
        let transfers = DVector::from_iterator(self.ports.len(), transfers);
        let through = self.through(port, Sense::Backward);
        let answered = forward.answered.iter();
        let answered: f64 = answered
            .map(|(terminal, amperes)| {
                let own = self.ports.iter().zip(through.iter());
                let taken = own.map(|(own, share)| at(&own.adjoint_response, *terminal) * share);
                amperes * (at(&port.adjoint_response, *terminal) - taken.sum::<f64>())
            })
            .sum();
        LoadedPort {
            open_volts: port.open_volts + transfers.dot(&self.currents)
                - port.adjoint_response.dot(&self.remainder),
            ohms: port.ohms - transfers.dot(&forward.through) - answered,
        }
    }

    /// `Kc` or `Kᵀc`.
    pub(super) fn linear_response(
        &self,
        port: &Prepared,
        tangent: &Tangent,
        sense: Sense,
    ) -> LinearResponse {
        let through = self.through(port, sense);
        let mut kept = vector(port, sense).clone();
        for (own, share) in self.ports.iter().zip(through.iter()) {
            kept.axpy(-share, vector(own, sense), 1.0);
        }
        let Tangent {
            moved,
            fed,
            slopes,
            weak,
        } = tangent;
        let (asked, answering) = match sense {
            Sense::Forward => (moved, fed),
            Sense::Backward => (fed, moved),
        };
        let asked = DVector::from_iterator(
            asked.len(),
            asked.iter().map(|terminal| at(&kept, *terminal)),
        );
        let far = sensed(slopes, sense, &asked);
        let mut answered: Vec<(Terminal, f64)> =
            answering.iter().copied().zip(far.iter().copied()).collect();
        answered.extend(weak.iter().map(|(row, column, change)| match sense {
            Sense::Forward => (*row, change * at(&kept, *column)),
            Sense::Backward => (*column, change * at(&kept, *row)),
        }));
        LinearResponse {
            answered,
            kept,
            through,
        }
    }

    fn through(&self, port: &Prepared, sense: Sense) -> DVector<f64> {
        let base = self.base;
        let each = self.ports.iter().map(|own| match sense {
            Sense::Forward => base.transfer(own, port),
            Sense::Backward => base.transfer(port, own),
        });
        let each = DVector::from_iterator(self.ports.len(), each);
        sensed(&self.middle, sense, &each)
    }
}

/// A matrix or its transpose times a vector.
fn sensed(matrix: &DMatrix<f64>, sense: Sense, vector: &DVector<f64>) -> DVector<f64> {
    match sense {
        Sense::Forward => matrix * vector,
        Sense::Backward => matrix.tr_mul(vector),
    }
}

fn vector(port: &Prepared, sense: Sense) -> &DVector<f64> {
    match sense {
        Sense::Forward => &port.response,
        Sense::Backward => &port.adjoint_response,
    }
}

fn at(vector: &DVector<f64>, terminal: Terminal) -> f64 {
    terminal.outer.map_or(0.0, |row| vector[row])
}

impl Alterable<'_> {
    /// `aᵀJ⁻¹b` of two ports of the solved circuit.
    pub(super) fn transfer(&self, a: &Prepared, b: &Prepared) -> f64 {
        let eliminated = &self.solution.eliminated;
        eliminated.across(&a.forwarded, &b.forwarded) + a.adjoint_response.dot(&b.tap.shares)
    }
}
