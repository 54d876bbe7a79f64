//! How readings on an altered circuit follow its numbers.

use circuit::{NodeId, PartParameter, Port};
use nalgebra::{DMatrix, DVector};

use super::extended::Tangent;
use super::port::Sense;
use super::state::{diagonal, Altered};
use crate::jacobian::Jacobian;
use crate::numbers::ParameterId;
use crate::port::Prepared;
use crate::sensitivity::{Adjoint, Leaving};

/// `J′⁻¹c` or `J′⁻ᵀc`, in whole.
struct Response {
    /// At all rows.
    rows: DVector<f64>,
    /// At the rows that devices touch, then at those behind broken leads.
    at_devices: DVector<f64>,
    /// What the changes draw.
    drawn: DVector<f64>,
}

/// Every device number: its column, and the currents it moves.
type Laws = Vec<(usize, Vec<(usize, f64)>)>;

impl Altered<'_> {
    /// What a meter of its conductance in siemens shows on each port, and how that follows every
    /// number of the circuit. None where the circuit has to be solved anew.
    pub fn jacobian(&self, probes: &[(Port, f64)]) -> Option<Jacobian> {
        let count = self.base.numbers().len();
        let mut slopes = Jacobian {
            readings: Vec::with_capacity(probes.len()),
            numbers: self.base.numbers().to_vec(),
            by_number: DMatrix::zeros(probes.len(), count),
        };
        let laws = self.laws();
        let tangent = self.closely()?;
        for (row, (port, siemens)) in probes.iter().enumerate() {
            let prepared = self.base.prepared(*port);
            let view = self.view(&prepared, tangent);
            let sensitivities = if self.is_heavy(*siemens, view, &prepared) {
                let loaded = self.loaded(*port, *siemens)?;
                slopes.readings.push(loaded.as_it_stands(*port)?);
                loaded.sensitivities((&prepared, loaded.closely()?), 0.0, &loaded.laws())
            } else {
                slopes.readings.push(view.port_reading(*siemens));
                self.sensitivities((&prepared, tangent), *siemens, &laws)
            };
            for (column, value) in sensitivities.into_iter().enumerate() {
                slopes.by_number[(row, column)] = -value;
            }
        }
        Some(slopes)
    }

    /// `λᵀ∂F/∂θ` by every number, with a meter of this conductance in siemens by the tangent:
    /// `λ_m = λ/(1 + gR)`, `x_m = x − g·y·z`.
    fn sensitivities(
        &self,
        (port, tangent): (&Prepared, &Tangent),
        siemens: f64,
        laws: &Laws,
    ) -> Vec<f64> {
        let view = self.view(port, tangent);
        let return_difference = 1.0 + siemens * view.ohms;
        let backward = self.response(port, tangent, Sense::Backward);
        let at_devices = &backward.at_devices / return_difference;
        let mut rows = self.rows().clone();
        let current = -siemens * view.open_volts / return_difference;
        if siemens > 0.0 {
            rows += self.response(port, tangent, Sense::Forward).rows * current;
        }
        let mut adjoint = Adjoint {
            rows,
            adjoint: backward.rows / return_difference,
            ties: Vec::new(),
            adjoint_ties: Vec::new(),
        };
        if self.base.terms.any_tie {
            let asked = siemens * view.ohms / return_difference - 1.0;
            let drawn = backward.drawn / return_difference;
            self.add_ties(
                &mut adjoint,
                (port.port, current, asked),
                &at_devices,
                &drawn,
            );
        }
        let mut values = vec![0.0; self.base.numbers().len()];
        let kept = self.base.terms.terms.iter();
        let kept = kept.filter(|term| !self.changes.parts.contains(&term.part));
        for term in kept.chain(&self.changes.terms) {
            values[term.column] += term.sensitivity(&adjoint);
        }
        for (column, entries) in laws {
            let each = entries.iter();
            values[*column] += each
                .map(|(row, slope)| at_devices[*row] * slope)
                .sum::<f64>();
        }
        values
    }

    /// A port's vector through the altered circuit.
    fn response(&self, port: &Prepared, tangent: &Tangent, sense: Sense) -> Response {
        let solution = &self.base.solution;
        let linear = self.linear_response(port, tangent, sense);
        let mut kept = linear.kept;
        let mut answered = DVector::zeros(kept.len());
        for (terminal, amperes) in &linear.answered {
            if let Some(outer) = terminal.outer {
                answered[outer] += amperes;
            }
        }
        let impedances = self.impedances();
        kept -= match sense {
            Sense::Forward => impedances.times(&answered),
            Sense::Backward => impedances.turned_times(&answered),
        };
        // ℓ = −D y, y = y₀ + Tᵀu + P ℓ, with P among the rows that are eliminated.
        let count = self.ports.len();
        let siemens = diagonal(&self.changes.list);
        let across = |own: &Prepared, other: &DVector<f64>| {
            solution.eliminated.across(&own.forwarded, other)
        };
        let open = self
            .ports
            .iter()
            .map(|own| across(own, &port.forwarded) + own.tap.shares.dot(&kept));
        let open = DVector::from_iterator(count, open);
        let inner = DMatrix::from_fn(count, count, |i, j| {
            across(&self.ports[i], &self.ports[j].forwarded)
        });
        let return_difference = DMatrix::identity(count, count) + &siemens * inner;
        let drawn = -(&siemens * open);
        let drawn = if count == 0 {
            drawn
        } else {
            return_difference.lu().solve(&drawn).unwrap_or(drawn)
        };
        let mut forwarded = port.forwarded.clone();
        for (own, amperes) in self.ports.iter().zip(drawn.iter()) {
            forwarded.axpy(*amperes, &own.forwarded, 1.0);
        }
        let behind = self.changes.leads.iter().enumerate().map(|(place, lead)| {
            let own = linear.answered.iter();
            let own = own.filter(|(terminal, _)| terminal.lead == Some(place));
            let outer = lead.outer.row.map_or(0.0, |row| kept[row]);
            outer - lead.ohms * own.map(|(_, amperes)| amperes).sum::<f64>()
        });
        let at_devices = kept.iter().copied().chain(behind);
        Response {
            at_devices: DVector::from_iterator(self.volts.len(), at_devices),
            rows: solution.eliminated.backward(&forwarded, &kept),
            drawn,
        }
    }

    /// The currents of ties and their adjoint, with a meter on a port that takes `−current` and
    /// whose adjoint is `asked`.
    fn add_ties(
        &self,
        adjoint: &mut Adjoint,
        (port, current, asked): (Port, f64, f64),
        at_devices: &DVector<f64>,
        drawn: &DVector<f64>,
    ) {
        let network = &self.base.solution.network;
        let mut out = Leaving::through_resistances(network, &adjoint.rows, &adjoint.adjoint);
        for device in self.changes.devices.iter() {
            out.add_device(device, &self.volts, at_devices);
        }
        let kept = self.base.solution.kept.len();
        for (place, lead) in self.changes.leads.iter().enumerate() {
            // What flows behind a broken lead flows out of the node before it.
            let at = |of: &DVector<f64>, outer: f64| (outer - of[kept + place]) / lead.ohms;
            let row = |of: &DVector<f64>| lead.outer.row.map_or(0.0, |row| of[row]);
            out.currents[lead.node] += at(&self.volts, row(&self.volts));
            out.adjoint[lead.node] += at(at_devices, row(at_devices));
        }
        let mut put = |ends: (NodeId, NodeId), amperes: f64, back: f64| {
            for (node, sign) in [(ends.0, 1.0), (ends.1, -1.0)] {
                out.currents[node.0] += sign * amperes;
                out.adjoint[node.0] += sign * back;
            }
        };
        for (place, change) in self.changes.list.iter().enumerate() {
            put(change.ends, -self.currents[place], -drawn[place]);
        }
        put((port.plus, port.minus), -current, asked);
        adjoint.ties = network.tie_currents(&mut out.currents);
        adjoint.adjoint_ties = network.tie_currents(&mut out.adjoint);
    }

    fn laws(&self) -> Laws {
        let mut found = Vec::new();
        for device in self.changes.devices.iter() {
            for (parameter, slopes) in device.by_number(&self.volts) {
                let id = ParameterId {
                    part: device.part,
                    parameter: PartParameter::Device(parameter),
                };
                let Some(column) = self.base.terms.numbers.place(id) else {
                    continue;
                };
                let entries = device.rows().map(|(terminal, row)| (row, slopes[terminal]));
                found.push((column, entries.collect()));
            }
        }
        found
    }
}
