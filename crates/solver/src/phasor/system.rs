//! The equations of a circuit at one frequency, entry by entry.
//!
//! A circuit, its operating point and a frequency come in; a complex matrix and right-hand side go out.

use circuit::{Circuit, Conditions, PartId, PartKind};
use nalgebra::{DMatrix, DVector};

use super::Phasor;
use crate::element::{elements_of, ElementKind};
use crate::solution::Solution;

/// Conductance from every node to its reference, so that none floats, as in the direct-current
/// solution.
const STRAY_SIEMENS: f64 = 1e-12;

/// Series resistance of parts that have none, so that two of them in parallel share a current.
const CONTACT_OHMS: f64 = 1e-9;

/// Two frequencies are the same within this share.
const SAME_FREQUENCY: f64 = 1e-6;

/// Equations being assembled.
#[derive(Clone, Debug)]
pub(super) struct System {
    /// Row of each node, those inside devices after the circuit's; none for a reference.
    pub(super) rows: Vec<Option<usize>>,
    nodes: usize,
    entries: Vec<(usize, usize, Phasor)>,
    right: Vec<(usize, Phasor)>,
    branches: usize,
    /// Whether a generator of the frequency is among them.
    pub(super) driven: bool,
}

impl System {
    /// The equations of a circuit at its operating point; none for a circuit without devices. Generators
    /// within a share of `hertz` drive it with their volts times `drive`.
    pub(super) fn new(
        circuit: &Circuit,
        conditions: &Conditions,
        (hertz, drive): (f64, f64),
        at_rest: Option<&Solution>,
    ) -> Self {
        let mut system = System::empty(circuit, at_rest);
        system.fill(circuit, conditions, (hertz, drive));
        if let Some(at_rest) = at_rest {
            system.devices(at_rest);
        }
        system
    }

    fn empty(circuit: &Circuit, at_rest: Option<&Solution>) -> Self {
        let inner = at_rest.map_or(0, |solution| solution.network.series.len());
        let mut nodes = 0;
        let mut rows = Vec::with_capacity(circuit.nodes().len() + inner);
        for node in circuit.nodes() {
            rows.push((!node.is_reference).then_some(nodes));
            nodes += usize::from(!node.is_reference);
        }
        for _ in 0..inner {
            rows.push(Some(nodes));
            nodes += 1;
        }
        System {
            rows,
            nodes,
            entries: Vec::new(),
            right: Vec::new(),
            branches: 0,
            driven: false,
        }
    }

    fn fill(&mut self, circuit: &Circuit, conditions: &Conditions, (hertz, drive): (f64, f64)) {
        let omega = std::f64::consts::TAU * hertz;
        for (index, part) in circuit.parts().iter().enumerate() {
            if conditions.is_out(PartId(index)) {
                continue;
            }
            let at = |terminal: usize| part.nodes[terminal].0;
            match &part.kind {
                PartKind::Capacitor(capacitor) => {
                    let leak = capacitor.leak.map_or(0.0, |ohms| 1.0 / ohms);
                    self.admittance(at(0), at(1), Phasor::new(leak, omega * capacitor.farads));
                }
                PartKind::Inductor(coil) => {
                    let reactance = omega * coil.henries.unwrap_or(0.0);
                    self.branch(at(0), at(1), Phasor::new(coil.ohms, reactance), 0.0);
                }
                PartKind::Transformer(transformer) => {
                    let ends = [at(0), at(1), at(2), at(3)];
                    self.transformer(ends, transformer);
                }
                PartKind::Generator(generator) => {
                    let same = (generator.hertz / hertz - 1.0).abs() < SAME_FREQUENCY;
                    let volts = if same { generator.volts * drive } else { 0.0 };
                    self.driven |= same;
                    self.branch(at(0), at(1), Phasor::new(generator.source, 0.0), volts);
                }
                // All others are as for direct current, without their direct volts; the slopes of
                // devices are stamped from the operating point.
                PartKind::Resistor(_)
                | PartKind::Potentiometer(_)
                | PartKind::Supply(_)
                | PartKind::Lamp(_)
                | PartKind::Contact(_)
                | PartKind::Device(_) => {
                    for element in elements_of(PartId(index), part, conditions) {
                        let (a, b) = (element.plus.0, element.minus.0);
                        match element.kind {
                            ElementKind::Conductance { siemens } => {
                                self.admittance(a, b, Phasor::new(siemens, 0.0));
                            }
                            ElementKind::Branch { ohms, .. } => {
                                self.branch(a, b, Phasor::new(ohms, 0.0), 0.0);
                            }
                        }
                    }
                }
            }
        }
    }

    /// The slopes of every device at rest, and its series resistances.
    fn devices(&mut self, at_rest: &Solution) {
        for series in &at_rest.network.series {
            let siemens = Phasor::new(1.0 / series.ohms, 0.0);
            self.admittance(series.outer, series.inner, siemens);
        }
        for (device, tangent) in at_rest.network.devices.iter().zip(&at_rest.tangents) {
            let row = |terminal: usize| device.nodes[terminal].and_then(|node| self.rows[node]);
            let terminals: Vec<(usize, usize)> = (0..device.nodes.len())
                .filter_map(|terminal| Some((terminal, row(terminal)?)))
                .collect();
            for (from, row) in &terminals {
                for (by, column) in &terminals {
                    let siemens = tangent.conductance[*from][*by];
                    self.entries
                        .push((*row, *column, Phasor::new(siemens, 0.0)));
                }
            }
        }
    }

    fn admittance(&mut self, a: usize, b: usize, siemens: Phasor) {
        let (a, b) = (self.rows[a], self.rows[b]);
        for (row, other) in [(a, b), (b, a)] {
            let Some(row) = row else { continue };
            self.entries.push((row, row, siemens));
            if let Some(other) = other {
                self.entries.push((row, other, -siemens));
            }
        }
    }

    /// A branch with its own current from `a` to `b`: `u_a − u_b − Z i = E`.
    fn branch(&mut self, a: usize, b: usize, ohms: Phasor, volts: f64) {
        let own = self.nodes + self.branches;
        self.branches += 1;
        let one = Phasor::new(1.0, 0.0);
        for (node, sign) in [(a, one), (b, -one)] {
            if let Some(row) = self.rows[node] {
                self.entries.push((row, own, sign));
                self.entries.push((own, row, sign));
            }
        }
        let ohms = ohms + Phasor::new(CONTACT_OHMS, 0.0);
        self.entries.push((own, own, -ohms));
        self.right.push((own, Phasor::new(volts, 0.0)));
    }

    fn transformer(&mut self, [p0, p1, s0, s1]: [usize; 4], of: &circuit::Transformer) {
        let n = of.ratio;
        let own = self.nodes + self.branches;
        self.branches += 1;
        for (node, current) in [(p0, 1.0), (p1, -1.0), (s0, -n), (s1, n)] {
            if let Some(row) = self.rows[node] {
                let factor = Phasor::new(current, 0.0);
                self.entries.push((row, own, factor));
                self.entries.push((own, row, factor));
            }
        }
        let ohms = of.primary_ohms + n * n * of.secondary_ohms + CONTACT_OHMS;
        self.entries.push((own, own, Phasor::new(-ohms, 0.0)));
    }

    /// What the equations are out of balance by at a state, weighted: `λᵀ(A x − b)`. The strays from every
    /// node to its reference are the same in all circuits and are left out.
    pub(super) fn imbalance(&self, weights: &DVector<Phasor>, state: &DVector<Phasor>) -> Phasor {
        let drawn = self.entries.iter();
        let drawn = drawn.map(|(row, column, value)| weights[*row] * value * state[*column]);
        let driving = self.right.iter().map(|(row, value)| weights[*row] * value);
        drawn.sum::<Phasor>() - driving.sum::<Phasor>()
    }

    /// Matrix and right-hand side.
    pub(super) fn equations(&self) -> (DMatrix<Phasor>, DVector<Phasor>) {
        let size = self.nodes + self.branches;
        let zero = Phasor::new(0.0, 0.0);
        let mut matrix = DMatrix::from_element(size, size, zero);
        for (row, column, value) in &self.entries {
            matrix[(*row, *column)] += *value;
        }
        for row in 0..self.nodes {
            matrix[(row, row)] += Phasor::new(STRAY_SIEMENS, 0.0);
        }
        let mut right = DVector::from_element(size, zero);
        for (row, value) in &self.right {
            right[*row] += *value;
        }
        (matrix, right)
    }
}
