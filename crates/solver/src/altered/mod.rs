//! A solved circuit with a few parts altered, without another factorization.
//!
//! A part that is open, joined or off its value, a leak, a lost connection, a worn tube: each
//! changes the equations in one or two places. With `J` the Jacobian of the solved circuit, those
//! changes as `W D Wᵀ`, and `V = [W Pᵀ]` with `P` the choice of the devices' nodes, the altered
//! circuit's Jacobian at its own operating point is
//!
//! ```text
//! J′ = J + W D Wᵀ + Pᵀ(G′ − G)P        J′⁻¹ = J⁻¹ − J⁻¹V Q VᵀJ⁻¹
//! ```
//!
//! (M. A. Woodbury, "Inverting modified matrices", 1950; from memory), and the operating point is
//! found among the devices' nodes alone ([`crate::reduced`]). `J⁻¹` is written out once; after that
//! hundreds of alterations are tried without touching the circuit's own matrix again.

mod change;
mod port;
mod slopes;
mod state;

use circuit::{Circuit, Conditions, PartId};
use nalgebra::{DMatrix, DVector};

use crate::adjoint::ParameterId;
use crate::device::Device;
use crate::element::Element;
use crate::error::SolveError;
use crate::reduced::{currents, reduced};
use crate::sensitivity::{linear_terms, Numbers, Term};
use crate::solution::Solution;

pub use state::Altered;

/// A solved circuit, ready to be altered again and again.
#[derive(Debug)]
pub struct Alterable<'a> {
    circuit: &'a Circuit,
    conditions: Conditions,
    solution: Solution,
    /// `J⁻¹`
    inverse: DMatrix<f64>,
    /// `J⁻ᵀ`
    transposed: DMatrix<f64>,
    /// Rows of the nodes that devices touch.
    rows: Vec<usize>,
    /// The devices, their terminals counted within `rows`.
    devices: Vec<Device>,
    /// `G`
    slopes: DMatrix<f64>,
    /// `J⁻¹b`
    driven: DVector<f64>,
    /// `J⁻¹Pᵀ`
    pushed: DMatrix<f64>,
    /// `Z = P J⁻¹Pᵀ`
    impedances: DMatrix<f64>,
    /// Volts of those nodes as solved.
    volts: DVector<f64>,
    /// The elements of each part that stand in the equations, a branch with its row.
    elements: Vec<Vec<(Element, Option<usize>)>>,
    numbers: Numbers,
    /// Terms of everything but the devices' laws.
    terms: Vec<Term>,
}

impl Solution {
    /// The circuit that was solved, ready to be altered.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if its Jacobian cannot be inverted.
    pub fn alterable<'a>(
        self,
        circuit: &'a Circuit,
        conditions: &Conditions,
    ) -> Result<Alterable<'a>, SolveError> {
        let equations = &self.equations;
        let size = equations.size();
        let solve = |right: &DVector<f64>| {
            let solved = self.factor.solve(right);
            solved.map_err(|miss| miss.into_error(equations))
        };
        let mut inverse = DMatrix::zeros(size, size);
        for column in 0..size {
            let mut unit = DVector::zeros(size);
            unit[column] = 1.0;
            inverse.set_column(column, &solve(&unit)?);
        }
        let transposed = inverse.transpose();
        let (rows, devices) = reduced(&equations.devices);
        let volts = self.x.select_rows(rows.iter());
        let (_, slopes) = currents(&devices, &volts);
        let pushed = inverse.select_columns(rows.iter());
        let mut numbers = Numbers::default();
        let terms = linear_terms(equations, circuit, conditions, &mut numbers);
        for device in &devices {
            for parameter in device.characteristic.parameters() {
                numbers.column(device.part, circuit::PartParameter::Device(*parameter));
            }
        }
        let mut elements = vec![Vec::new(); circuit.parts().len()];
        for (element, row) in equations.elements_with_rows() {
            elements[element.part.0].push((*element, row));
        }
        Ok(Alterable {
            driven: &inverse * &equations.right,
            impedances: pushed.select_rows(rows.iter()),
            circuit,
            conditions: conditions.clone(),
            solution: self,
            inverse,
            transposed,
            rows,
            devices,
            slopes,
            pushed,
            volts,
            elements,
            numbers,
            terms,
        })
    }
}

impl Alterable<'_> {
    /// The circuit as it was solved.
    pub fn solution(&self) -> &Solution {
        &self.solution
    }

    /// The circuit's numbers, in the order of the columns of [`Altered::slopes`].
    pub fn numbers(&self) -> &[ParameterId] {
        &self.numbers.ids
    }

    /// The devices of a part, one a unit, in the order of its units.
    fn units(&self, part: PartId) -> impl Iterator<Item = usize> + '_ {
        let of = move |place: &usize| self.devices[*place].part == part;
        (0..self.devices.len()).filter(of)
    }
}
