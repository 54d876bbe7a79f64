//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows share one set of control positions, so one factorization serves them all.

use std::sync::{Arc, Mutex, PoisonError};

use circuit::{Circuit, Conditions, Job, ManualEntry, Quantity};
use solver::{solve_all, Solution, SolveError};

use crate::range_choice::choose_range;

type Solved = (Conditions, Result<Arc<Solution>, SolveError>);

/// Solutions made so far, shared by all who ask at the same time.
#[derive(Debug)]
pub struct States<'a> {
    circuit: &'a Circuit,
    manual: &'a [ManualEntry],
    solved: Mutex<Vec<Solved>>,
}

impl<'a> States<'a> {
    /// None made yet.
    pub fn new(job: &'a Job) -> Self {
        States {
            circuit: &job.circuit,
            manual: &job.manual,
            solved: Mutex::new(Vec::new()),
        }
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
            let solution = solve_all(self.circuit, wanted);
            let solution = solution.map(|states| Arc::new(self.shown(states, wanted)));
            solved.push((wanted.clone(), solution));
            solved.len() - 1
        });
        solved[index].1.clone()
    }

    /// Of several stable states the one that the manual's values are nearer to.
    fn shown(&self, mut states: Vec<Solution>, conditions: &Conditions) -> Solution {
        if states.len() == 1 {
            return states.swap_remove(0);
        }
        let misfit = |state: &Solution| {
            let own = self.manual.iter();
            let own = own.filter(|entry| entry.settings == conditions.settings);
            let own = own.filter(|entry| entry.quantity == Quantity::DcVolts);
            own.filter_map(|entry| misfit(state, entry)).sum::<f64>()
        };
        let misfits: Vec<f64> = states.iter().map(misfit).collect();
        let best = (0..states.len()).min_by(|a, b| misfits[*a].total_cmp(&misfits[*b]));
        states.swap_remove(best.unwrap_or(0))
    }
}

/// How far a state is from a printed value: 0 where they agree, towards 1 where they have nothing
/// to do with each other. A misprint counts no more than any other value that does not fit.
fn misfit(state: &Solution, entry: &ManualEntry) -> Option<f64> {
    let printed = entry.figure.value;
    let range = choose_range(&entry.meter, entry.range, printed).range;
    let volts = state
        .seen(entry.port?, 1.0 / entry.meter.input_ohms(range))
        .volts;
    let off = (volts - printed).abs();
    // A tenth of the value, or one unit of its last digit, is what sets differ by anyway.
    let alike = 0.1 * printed.abs() + entry.figure.resolution;
    Some(off / (off + alike))
}
