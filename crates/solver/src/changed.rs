//! A linear circuit with one conductance changed, without another factorization.
//!
//! A resistor that is open, joined or off its value, and a leak between two nodes, all change the
//! matrix by `Δg·w wᵀ`. With `z = A⁻¹w` (J. Sherman, W. J. Morrison, 1950)
//!
//! ```text
//! x′ = x − z·Δg·(wᵀx)/(1 + Δg·wᵀz)
//! A′⁻¹c = A⁻¹c − z·Δg·(wᵀA⁻¹c)/(1 + Δg·wᵀz)
//! ```

use circuit::Port;
use nalgebra::DVector;

use crate::error::SolveError;
use crate::port::LoadedPort;
use crate::solution::Solution;

/// `1 + Δg·wᵀz` nearer to zero than this costs too many digits: the conductance taken away is
/// nearly all that there is.
const LEAST_YIELDING: f64 = 1e-4;

/// A solved linear circuit with one conductance changed.
#[derive(Clone, Debug)]
pub struct Changed<'a> {
    solution: &'a Solution,
    /// `A⁻¹w`
    response: DVector<f64>,
    at: Port,
    /// `Δg/(1 + Δg·wᵀz)`
    strength: f64,
}

impl Solution {
    /// The circuit with so many siemens more between two nodes, or less. None where the circuit is
    /// not linear, or the change takes away nearly all that joins the two nodes; then it has to be
    /// solved anew.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response cannot be trusted.
    pub fn changed(&self, at: Port, siemens: f64) -> Result<Option<Changed<'_>>, SolveError> {
        if !self.is_linear() {
            return Ok(None);
        }
        let response = self.response(at)?;
        let ohms = self.across(at, &response);
        let yielding = 1.0 + siemens * ohms;
        if yielding.is_nan() || yielding.abs() < LEAST_YIELDING {
            return Ok(None);
        }
        Ok(Some(Changed {
            solution: self,
            response,
            at,
            strength: siemens / yielding,
        }))
    }

    fn response(&self, port: Port) -> Result<DVector<f64>, SolveError> {
        let c = self.equations.port_vector(port);
        let solved = self.factor.solve(&c);
        solved.map_err(|miss| miss.into_error(&self.equations))
    }

    fn across(&self, port: Port, vector: &DVector<f64>) -> f64 {
        let at =
            |node: circuit::NodeId| self.equations.node_rows[node.0].map_or(0.0, |row| vector[row]);
        at(port.plus) - at(port.minus)
    }
}

impl Changed<'_> {
    /// A port of the changed circuit.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response cannot be trusted.
    pub fn port(&self, port: Port) -> Result<LoadedPort, SolveError> {
        let own = self.solution.response(port)?;
        let felt = self.solution.across(port, &self.response);
        let before = self.solution.port_volts(self.at);
        let ohms = self.solution.across(port, &own);
        let through = self.solution.across(self.at, &own);
        Ok(LoadedPort {
            open_volts: self.solution.port_volts(port) - felt * self.strength * before,
            ohms: (ohms - felt * self.strength * through).max(0.0),
        })
    }
}
