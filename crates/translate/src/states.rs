//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows share one set of control positions, so one factorization serves them all.

use circuit::{Circuit, Conditions, Setting};
use solver::{solve, Solution, SolveError};

/// Solutions made so far.
pub(crate) struct States<'a> {
    circuit: &'a Circuit,
    solved: Vec<(Conditions, Result<Solution, SolveError>)>,
}

impl<'a> States<'a> {
    pub(crate) fn new(circuit: &'a Circuit) -> Self {
        States {
            circuit,
            solved: Vec::new(),
        }
    }

    /// The solution under these control positions and this line factor.
    pub(crate) fn at(
        &mut self,
        settings: &[Setting],
        line_factor: f64,
    ) -> Result<&Solution, SolveError> {
        let wanted = Conditions {
            settings: settings.to_vec(),
            line_factor,
        };
        let known = self.solved.iter().position(|(known, _)| *known == wanted);
        let index = known.unwrap_or_else(|| {
            let solution = solve(self.circuit, &wanted);
            self.solved.push((wanted, solution));
            self.solved.len() - 1
        });
        self.solved[index].1.as_ref().map_err(Clone::clone)
    }
}
