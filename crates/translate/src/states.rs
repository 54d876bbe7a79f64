//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows share one set of control positions, so one factorization serves them all.

use std::sync::{Arc, Mutex, PoisonError};

use circuit::{Circuit, Conditions, Port, Setting};
use solver::{solve, Solution, SolveError};

use crate::anchor::Side;

type Solved = (Conditions, Result<Arc<Solution>, SolveError>);

/// Solutions made so far, shared by all who ask at the same time.
#[derive(Debug)]
pub struct States<'a> {
    circuit: &'a Circuit,
    solved: Mutex<Vec<Solved>>,
}

impl<'a> States<'a> {
    /// None made yet.
    pub fn new(circuit: &'a Circuit) -> Self {
        States {
            circuit,
            solved: Mutex::new(Vec::new()),
        }
    }

    /// A port under these control positions and this line factor.
    pub(crate) fn side(
        &self,
        settings: &[Setting],
        line_factor: f64,
        port: Port,
    ) -> Result<Side, SolveError> {
        let conditions = Conditions {
            settings: settings.to_vec(),
            line_factor,
        };
        let solution = self.at(&conditions)?;
        Ok(Side::new(solution, conditions, port))
    }

    /// The solution under these conditions; a failure is kept and told again.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no trustworthy solution under them.
    pub fn at(&self, wanted: &Conditions) -> Result<Arc<Solution>, SolveError> {
        // Whoever comes second waits for the first: nothing is solved twice. A list that a panic
        // left behind is whole all the same, for it is only ever added to.
        let mut solved = self.solved.lock().unwrap_or_else(PoisonError::into_inner);
        let known = solved.iter().position(|(known, _)| known == wanted);
        let index = known.unwrap_or_else(|| {
            let solution = solve(self.circuit, wanted).map(Arc::new);
            solved.push((wanted.clone(), solution));
            solved.len() - 1
        });
        solved[index].1.clone()
    }
}
