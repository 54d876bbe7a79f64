//! The circuit solved once for each set of conditions that the manual's rows ask for.
//!
//! Most rows have the same control positions, so one factorization serves them all.

use std::sync::{Arc, Mutex, PoisonError};

use circuit::{
    Circuit, Conditions, Job, ManualEntry, PartId, PartParameter, Port, Quantity, Setting,
    SettingValue,
};
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

    /// The solution under these conditions; a failure is stored and returned again.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no trustworthy solution under them.
    pub fn at(&self, wanted: &Conditions) -> Result<Arc<Solution>, SolveError> {
        // The second caller waits for the first: nothing is solved twice. A list left by a panic is still
        // valid, because entries are only ever added.
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

/// The one of several stable states that the manual's values show.
fn shown(mut states: Vec<Solution>, manual: &[ManualEntry], conditions: &Conditions) -> Solution {
    let seen = seen_in_manual(manual, conditions);
    let place = stable_state(&states, conditions, &seen);
    states.swap_remove(place)
}

/// Volts that were read, by the manual or at the bench.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// Where.
    pub port: Port,
    /// Conductance of the meter in siemens.
    pub siemens: f64,
    /// What it showed, in volts.
    pub volts: f64,
    /// One unit of the last digit, in volts.
    pub resolution: f64,
    /// How much it counts beside others.
    pub weight: f64,
}

/// The direct volts that the manual prints under some conditions.
pub fn seen_in_manual(manual: &[ManualEntry], conditions: &Conditions) -> Vec<Seen> {
    // Rails held at volts that were read are no conditions of the manual.
    let held = |setting: &&Setting| matches!(setting.value, SettingValue::Held(_));
    let stated = || conditions.settings.iter().filter(|own| !held(own));
    let own = manual.iter();
    let own = own.filter(|entry| entry.settings.iter().eq(stated()));
    let own = own.filter(|entry| entry.quantity == Quantity::DcVolts);
    own.filter_map(|entry| {
        let printed = entry.figure.value;
        let range = choose_range(&entry.meter, entry.range, printed).range;
        Some(Seen {
            port: entry.port?,
            siemens: 1.0 / entry.meter.input_ohms(range),
            volts: printed,
            resolution: entry.figure.resolution,
            weight: 1.0,
        })
    })
    .collect()
}

/// The place of the one of several stable states that the conditions ask for, or else of the one nearest to
/// what was seen; 0 of none.
pub fn stable_state(states: &[Solution], conditions: &Conditions, seen: &[Seen]) -> usize {
    if states.len() < 2 {
        return 0;
    }
    let mut settings = conditions.settings.iter();
    let asked = settings.find_map(|setting| match setting.value {
        SettingValue::Conducts(more) => Some((setting.part, more)),
        _ => None,
    });
    let distance = |state: &Solution| match asked {
        Some((part, true)) => -conducted(state, part),
        Some((part, false)) => conducted(state, part),
        None => seen.iter().map(|seen| misfit(state, seen)).sum(),
    };
    let distances: Vec<f64> = states.iter().map(distance).collect();
    let best = (0..states.len()).min_by(|a, b| distances[*a].total_cmp(&distances[*b]));
    best.unwrap_or(0)
}

/// The largest current in amperes into any terminal of a device.
fn conducted(state: &Solution, part: PartId) -> f64 {
    let units = state.device_amperes(part).into_iter().flatten();
    units.map(f64::abs).fold(0.0, f64::max)
}

/// Distance of a state from a reading: 0 where they agree, towards 1 where they are unrelated, times its
/// weight. A misprint counts no more than any other value that does not fit.
fn misfit(state: &Solution, seen: &Seen) -> f64 {
    let volts = state.port_reading(seen.port, seen.siemens).volts;
    let off = (volts - seen.volts).abs();
    // Sets differ by a tenth of the value, or one unit of its last digit, anyway.
    let alike = 0.1 * seen.volts.abs() + seen.resolution;
    seen.weight * off / (off + alike)
}
