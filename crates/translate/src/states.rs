//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows share one set of control positions, so one factorization serves them all.

use std::sync::Arc;

use circuit::{Circuit, Conditions, Port, Setting};
use solver::{solve, Solution, SolveError};

use crate::anchor::Side;

/// Solutions made so far.
#[derive(Debug)]
pub struct States<'a> {
    circuit: &'a Circuit,
    solved: Vec<(Conditions, Result<Arc<Solution>, SolveError>)>,
}

impl<'a> States<'a> {
    /// None made yet.
    pub fn new(circuit: &'a Circuit) -> Self {
        States {
            circuit,
            solved: Vec::new(),
        }
    }

    /// A port under these control positions and this line factor.
    pub(crate) fn side(
        &mut self,
        settings: &[Setting],
        line_factor: f64,
        port: Port,
    ) -> Result<Side, SolveError> {
        let conditions = Conditions {
            settings: settings.to_vec(),
            line_factor,
        };
        let solution = self.at(&conditions)?;
        Side::new(solution, conditions, port)
    }

    /// The solution under these conditions; a failure is kept and told again.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no trustworthy solution under them.
    pub fn at(&mut self, wanted: &Conditions) -> Result<Arc<Solution>, SolveError> {
        let known = self.solved.iter().position(|(known, _)| known == wanted);
        let index = known.unwrap_or_else(|| {
            let solution = solve(self.circuit, wanted).map(Arc::new);
            self.solved.push((wanted.clone(), solution));
            self.solved.len() - 1
        });
        self.solved[index].1.clone()
    }
}
