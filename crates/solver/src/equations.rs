//! The equations of a circuit: numbering of the unknowns, and the matrix.
//!
//! Unknowns are the voltages of all nodes but the references, those of nodes inside devices, then
//! the current of each branch, flowing inside the branch from its plus to its minus end. With `G` the conductances, `B` the
//! incidence of the branches and `R` their resistances,
//!
//! ```text
//! [ G   B ] [ v ]   [ 0 ]
//! [ Bᵀ −R ] [ j ] = [ E ]
//! ```
//!
//! so this linear part is symmetric. Devices add their currents to the node rows.

use circuit::{conductive_groups, Circuit, Conditions, NodeId, Port, Through};
use nalgebra::{DMatrix, DVector};

use crate::device::{devices, Device, Series};
use crate::element::{elements, Element, ElementKind};
use crate::error::SolveError;
use crate::rows::Rows;
use crate::source_loop::without_loops;

/// Conductance that ties a node group which no direct current can reach to its reference, so
/// that it has a voltage at all: 1 pS, less than the insulation of any real chassis.
pub(crate) const STRAY_SIEMENS: f64 = 1e-12;

/// A circuit's equations under given conditions.
#[derive(Clone, Debug)]
pub struct Equations {
    pub(crate) node_names: Vec<String>,
    pub(crate) node_rows: Vec<Option<usize>>,
    /// Number of node rows; branches come after them.
    pub(crate) nodes: usize,
    pub(crate) elements: Vec<Element>,
    pub(crate) devices: Vec<Device>,
    pub(crate) series: Vec<Series>,
    pub(crate) floating: Vec<bool>,
    pub(crate) matrix: DMatrix<f64>,
    /// The same matrix, row by row and without zeros.
    pub(crate) rows: Rows,
    pub(crate) right: DVector<f64>,
}

impl Equations {
    /// Numbers the unknowns and fills the matrix.
    ///
    /// # Errors
    /// [`SolveError::NoReference`] for an island without a reference node,
    /// [`SolveError::SourceLoop`] for a loop of branches without resistance that holds a source.
    pub fn new(circuit: &Circuit, conditions: &Conditions) -> Result<Self, SolveError> {
        every_island_has_a_reference(circuit)?;
        let elements = without_loops(circuit, elements(circuit, conditions))?;

        let mut rows = 0;
        let node_rows: Vec<Option<usize>> = circuit
            .nodes()
            .iter()
            .map(|node| {
                (!node.is_reference).then(|| {
                    rows += 1;
                    rows - 1
                })
            })
            .collect();
        let (devices, series) = devices(circuit, &node_rows, rows);
        let rows = rows + series.len();
        let branches = elements
            .iter()
            .filter(|element| matches!(element.kind, ElementKind::Branch { .. }))
            .count();
        let size = rows + branches;
        let mut equations = Equations {
            node_names: circuit.nodes().iter().map(|n| n.name.clone()).collect(),
            node_rows,
            nodes: rows,
            elements,
            devices,
            series,
            floating: Vec::new(),
            matrix: DMatrix::zeros(size, size),
            rows: Rows::new(),
            right: DVector::zeros(size),
        };
        equations.fill(rows);
        for series in &equations.series {
            let siemens = 1.0 / series.ohms;
            conduct(
                &mut equations.matrix,
                series.outer,
                Some(series.inner),
                siemens,
            );
        }
        equations.tie_floating(circuit, conditions);
        equations.rows = Rows::of(&equations.matrix);
        Ok(equations)
    }

    /// Number of unknowns.
    pub fn size(&self) -> usize {
        self.right.len()
    }

    /// The name of the node of a row.
    pub(crate) fn name_of_row(&self, row: usize) -> String {
        self.node_rows
            .iter()
            .position(|at| *at == Some(row))
            .map_or_else(
                || "inside a part".to_owned(),
                |node| self.node_names[node].clone(),
            )
    }

    /// Every element, a branch with the row of its current.
    pub(crate) fn elements_with_rows(&self) -> impl Iterator<Item = (&Element, Option<usize>)> {
        let mut next = self.nodes;
        self.elements.iter().map(move |element| {
            let is_branch = matches!(element.kind, ElementKind::Branch { .. });
            let row = is_branch.then_some(next);
            next += usize::from(is_branch);
            (element, row)
        })
    }

    /// Whether no direct current can reach a node, so that its voltage means nothing.
    pub fn floats(&self, node: NodeId) -> bool {
        self.floating[node.0]
    }

    /// The port vector `c`: +1 at the probed node, −1 at the node it is measured against.
    pub(crate) fn port_vector(&self, port: Port) -> DVector<f64> {
        let mut vector = DVector::zeros(self.size());
        if let Some(row) = self.node_rows[port.plus.0] {
            vector[row] += 1.0;
        }
        if let Some(row) = self.node_rows[port.minus.0] {
            vector[row] -= 1.0;
        }
        vector
    }

    fn fill(&mut self, first_branch: usize) {
        let mut branch_row = first_branch;
        for element in &self.elements {
            let plus = self.node_rows[element.plus.0];
            let minus = self.node_rows[element.minus.0];
            match element.kind {
                ElementKind::Conductance { siemens } => {
                    conduct(&mut self.matrix, plus, minus, siemens);
                }
                ElementKind::Branch { volts, ohms } => {
                    for (row, sign) in [(plus, 1.0), (minus, -1.0)] {
                        if let Some(row) = row {
                            self.matrix[(row, branch_row)] += sign;
                            self.matrix[(branch_row, row)] += sign;
                        }
                    }
                    self.matrix[(branch_row, branch_row)] -= ohms;
                    self.right[branch_row] = volts;
                    branch_row += 1;
                }
            }
        }
    }

    /// Ties each group of nodes that no linear part joins to a reference, and marks those that no
    /// device joins to one either.
    fn tie_floating(&mut self, circuit: &Circuit, conditions: &Conditions) {
        let loose = ungrounded(circuit, conditions, Through::Linear);
        self.floating = ungrounded(circuit, conditions, Through::Devices)
            .into_iter()
            .map(|group| group.is_some())
            .collect();
        for (node, group) in loose.into_iter().enumerate() {
            if group == Some(node) {
                conduct(&mut self.matrix, self.node_rows[node], None, STRAY_SIEMENS);
            }
        }
    }
}

/// For each node its group, if no reference is in that group.
fn ungrounded(circuit: &Circuit, conditions: &Conditions, through: Through) -> Vec<Option<usize>> {
    let mut groups = conductive_groups(circuit, conditions, through);
    let mut grounded = vec![false; circuit.nodes().len()];
    for reference in circuit.references() {
        grounded[groups.root(reference.0)] = true;
    }
    (0..circuit.nodes().len())
        .map(|node| groups.root(node))
        .map(|group| (!grounded[group]).then_some(group))
        .collect()
}

/// Adds a conductance between two rows; a reference node has none.
pub(crate) fn conduct(
    matrix: &mut DMatrix<f64>,
    plus: Option<usize>,
    minus: Option<usize>,
    siemens: f64,
) {
    for row in [plus, minus].into_iter().flatten() {
        matrix[(row, row)] += siemens;
    }
    if let (Some(plus), Some(minus)) = (plus, minus) {
        matrix[(plus, minus)] -= siemens;
        matrix[(minus, plus)] -= siemens;
    }
}

fn every_island_has_a_reference(circuit: &Circuit) -> Result<(), SolveError> {
    let lost = circuit::islands(circuit)
        .into_iter()
        .find(|island| island.references.is_empty());
    match lost {
        None => Ok(()),
        Some(island) => Err(SolveError::NoReference {
            nodes: island
                .nodes
                .iter()
                .map(|node| circuit.node_name(*node).to_owned())
                .collect(),
            parts: island
                .parts
                .iter()
                .map(|part| circuit.part(*part).designator.clone())
                .collect(),
        }),
    }
}
