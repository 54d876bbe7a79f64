//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows share one set of control positions, so one factorization serves them all.

use std::sync::{Arc, Mutex, PoisonError};

use circuit::{Circuit, Conditions, Job, ManualEntry, PartId, PartParameter, Quantity};
use solver::{solve_all, solve_varied, Solution, SolveError};

use crate::range_choice::choose_range;

type Solved = (Conditions, Result<Arc<Solution>, SolveError>);

/// Solutions made so far, shared by all who ask at the same time.
#[derive(Debug)]
pub struct States {
    job: Arc<Job>,
    varied: Option<Varied>,
    solved: Mutex<Vec<Solved>>,
}

/// The drawn circuit with other numbers, and the states of the drawn one, which it is near to.
#[derive(Debug)]
struct Varied {
    circuit: Circuit,
    drawn: Arc<States>,
}

impl States {
    /// Of the circuit as drawn; none made yet.
    pub fn new(job: &Arc<Job>) -> Self {
        States {
            job: Arc::clone(job),
            varied: None,
            solved: Mutex::new(Vec::new()),
        }
    }

    /// Of the same circuit with some numbers changed, each by an amount in its own unit.
    pub fn varied(
        drawn: &Arc<States>,
        changes: impl IntoIterator<Item = (PartId, PartParameter, f64)>,
    ) -> Self {
        States {
            job: Arc::clone(&drawn.job),
            varied: Some(Varied {
                circuit: drawn.circuit().varied(changes),
                drawn: Arc::clone(drawn),
            }),
            solved: Mutex::new(Vec::new()),
        }
    }

    /// The circuit that is solved.
    pub fn circuit(&self) -> &Circuit {
        match &self.varied {
            Some(varied) => &varied.circuit,
            None => &self.job.circuit,
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
            solved.push((wanted.clone(), self.solve(wanted).map(Arc::new)));
            solved.len() - 1
        });
        solved[index].1.clone()
    }

    fn solve(&self, wanted: &Conditions) -> Result<Solution, SolveError> {
        match &self.varied {
            Some(varied) => solve_varied(&varied.circuit, wanted, &*varied.drawn.at(wanted)?),
            None => Ok(shown(
                solve_all(&self.job.circuit, wanted)?,
                &self.job.manual,
                wanted,
            )),
        }
    }
}

/// Of several stable states the one that the manual's values are nearer to.
fn shown(mut states: Vec<Solution>, manual: &[ManualEntry], conditions: &Conditions) -> Solution {
    if states.len() == 1 {
        return states.swap_remove(0);
    }
    let misfit = |state: &Solution| {
        let own = manual.iter();
        let own = own.filter(|entry| entry.settings == conditions.settings);
        let own = own.filter(|entry| entry.quantity == Quantity::DcVolts);
        own.filter_map(|entry| misfit(state, entry)).sum::<f64>()
    };
    let misfits: Vec<f64> = states.iter().map(misfit).collect();
    let best = (0..states.len()).min_by(|a, b| misfits[*a].total_cmp(&misfits[*b]));
    states.swap_remove(best.unwrap_or(0))
}

/// How far a state is from a printed value: 0 where they agree, towards 1 where they have nothing
/// to do with each other. A misprint counts no more than any other value that does not fit.
fn misfit(state: &Solution, entry: &ManualEntry) -> Option<f64> {
    let printed = entry.figure.value;
    let range = choose_range(&entry.meter, entry.range, printed).range;
    let volts = state
        .port_reading(entry.port?, 1.0 / entry.meter.input_ohms(range))
        .volts;
    let off = (volts - printed).abs();
    // A tenth of the value, or one unit of its last digit, is what sets differ by anyway.
    let alike = 0.1 * printed.abs() + entry.figure.resolution;
    Some(off / (off + alike))
}
