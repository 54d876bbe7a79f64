//! Alternating volts at one frequency: the circuit as phasors, linearised at its operating point.
//!
//! A circuit under given conditions and a frequency come in; the volts between two nodes and the
//! impedance there go out. Modified nodal analysis (C.-W. Ho, A. E. Ruehli, P. A. Brennan, IEEE Trans.
//! Circuits and Systems 22(6), 1975, pp. 504-509) with complex admittances:
//!
//! ```text
//! capacitor  Y = 1/R_leak + jωC          coil  Z = R + jωL
//! transformer  u₁ − R₁i₁ = n (u₂ + n R₂ i₁),  i₂ = −n i₁
//! ```
//!
//! Tubes and semiconductors are their slopes at rest. Supplies are their source resistance, and so
//! are generators of another frequency. Transformers have perfect coupling and draw no magnetising
//! current; capacitances inside devices are left out.

use circuit::{Circuit, Conditions, NodeId, PartKind, Port};
use nalgebra::{Complex, DMatrix, DVector, Dyn, LU};

use crate::element::{elements_of, ElementKind};
use crate::error::SolveError;
use crate::solution::{solve, Solution};

/// A complex number of volts, ohms or siemens.
pub type Phasor = Complex<f64>;

/// From every node to its reference, so that none floats: as in the direct-current solution.
const STRAY_SIEMENS: f64 = 1e-12;

/// Series resistance of what has none, so that two such parts side by side can share a current.
const CONTACT_OHMS: f64 = 1e-9;

/// Two frequencies are the same within this share.
const SAME_FREQUENCY: f64 = 1e-6;

/// A circuit at one frequency.
#[derive(Clone, Debug)]
pub struct Phasors {
    rows: Vec<Option<usize>>,
    size: usize,
    factors: LU<Phasor, Dyn, Dyn>,
    solution: DVector<Phasor>,
    driven: bool,
}

/// Two nodes at one frequency.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PhasorPort {
    /// Volts with no meter, root mean square.
    pub volts: Phasor,
    /// Impedance in ohms.
    pub ohms: Phasor,
}

impl PhasorPort {
    /// Volts with a load of this admittance in siemens.
    pub fn under(&self, siemens: Phasor) -> Phasor {
        // V = E/(1 + Z Y)
        self.volts / (Phasor::new(1.0, 0.0) + self.ohms * siemens)
    }
}

impl Phasors {
    /// Linearises a circuit at its operating point and solves it at a frequency in hertz. Generators of
    /// the frequency drive it, with their volts times `drive`.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no trustworthy solution.
    pub fn new(
        circuit: &Circuit,
        conditions: &Conditions,
        hertz: f64,
        drive: f64,
    ) -> Result<Self, SolveError> {
        let curvatures = |part: &circuit::Part| matches!(part.kind, PartKind::Device(_));
        let at_rest = match circuit.parts().iter().any(curvatures) {
            true => Some(solve(circuit, conditions)?),
            false => {
                crate::grounding::every_island_has_a_reference(circuit)?;
                None
            }
        };
        let mut system = System::new(circuit, at_rest.as_ref());
        system.fill(
            circuit,
            conditions,
            std::f64::consts::TAU * hertz,
            (hertz, drive),
        );
        if let Some(at_rest) = &at_rest {
            system.devices(at_rest);
        }
        let (matrix, right) = system.equations();
        let factors = matrix.lu();
        let unsolved = || SolveError::Singular {
            node: circuit
                .nodes()
                .first()
                .map_or(String::new(), |n| n.name.clone()),
        };
        let solution = factors.solve(&right).ok_or_else(unsolved)?;
        if solution
            .iter()
            .any(|one| !one.re.is_finite() || !one.im.is_finite())
        {
            return Err(unsolved());
        }
        Ok(Phasors {
            rows: system.rows,
            size: right.len(),
            factors,
            solution,
            driven: system.driven,
        })
    }

    /// Whether any generator of this frequency is drawn.
    pub fn is_driven(&self) -> bool {
        self.driven
    }

    /// Volts and impedance between two nodes.
    pub fn port(&self, port: Port) -> PhasorPort {
        let mut asked = DVector::from_element(self.size, Phasor::new(0.0, 0.0));
        for (node, sign) in [(port.plus, 1.0), (port.minus, -1.0)] {
            if let Some(row) = self.row(node) {
                asked[row] += Phasor::new(sign, 0.0);
            }
        }
        let read = |vector: &DVector<Phasor>| {
            let at = |node| {
                self.row(node)
                    .map_or(Phasor::new(0.0, 0.0), |row| vector[row])
            };
            at(port.plus) - at(port.minus)
        };
        let ohms = self.factors.solve(&asked).map(|response| read(&response));
        PhasorPort {
            volts: read(&self.solution),
            ohms: ohms.unwrap_or(Phasor::new(0.0, 0.0)),
        }
    }

    fn row(&self, node: NodeId) -> Option<usize> {
        self.rows.get(node.0).copied().flatten()
    }
}

/// Equations being written down.
struct System {
    /// Row of each node, those inside devices behind the circuit's; none for a reference.
    rows: Vec<Option<usize>>,
    nodes: usize,
    entries: Vec<(usize, usize, Phasor)>,
    right: Vec<(usize, Phasor)>,
    branches: usize,
    driven: bool,
}

impl System {
    fn new(circuit: &Circuit, at_rest: Option<&Solution>) -> Self {
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

    fn fill(
        &mut self,
        circuit: &Circuit,
        conditions: &Conditions,
        omega: f64,
        (hertz, drive): (f64, f64),
    ) {
        for (index, part) in circuit.parts().iter().enumerate() {
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
                _ => {
                    for element in elements_of(circuit::PartId(index), part, conditions) {
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

    fn equations(&self) -> (DMatrix<Phasor>, DVector<Phasor>) {
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
