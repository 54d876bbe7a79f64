//! How often the right fault stood where, counted and printed.

use diagnose::{Fault, Hypothesis, Suspect, Suspects};

/// Where one planted fault came out.
#[derive(Clone, Copy)]
pub struct Outcome {
    /// Place of the suspect that holds the fault, from 0.
    pub place: usize,
    /// Whether that suspect is also the one that says that nothing may be wrong.
    pub unseen: bool,
    /// Whether a fault of the right part leads.
    pub right_part: bool,
}

/// Counts of outcomes.
#[derive(Clone, Copy, Default)]
pub struct Tally {
    sets: usize,
    among: [usize; 3],
    right_part: usize,
    unseen: usize,
}

/// The columns' places.
const AMONG: [usize; 3] = [1, 3, 5];

impl Outcome {
    pub fn of(ranked: &Suspects, planted: &Hypothesis) -> Self {
        let place = place(ranked, planted);
        let at = ranked.hypotheses.get(place);
        let first = ranked.hypotheses.first();
        let part = |suspect: &Suspect| {
            let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
            faults.any(|(fault, _)| fault.part == planted.part)
        };
        Outcome {
            place,
            unseen: at.is_some_and(may_be_in_order),
            right_part: first.is_some_and(|first| part(first) && !may_be_in_order(first)),
        }
    }

    pub fn is_among(&self, first: usize) -> bool {
        self.place < first && !self.unseen
    }
}

impl Tally {
    pub fn add(&mut self, outcome: &Outcome) {
        self.sets += 1;
        for (count, first) in self.among.iter_mut().zip(AMONG) {
            *count += usize::from(outcome.is_among(first));
        }
        self.right_part += usize::from(outcome.right_part);
        self.unseen += usize::from(outcome.unseen);
    }

    pub fn heading() {
        println!(
            "{:<30} {:>6} {:>6} {:>6} {:>6} {:>6} {:>6}",
            "fault", "sets", "first", "of 3", "of 5", "part", "unseen"
        );
    }

    pub fn print(&self, name: &str) {
        let share = |count: usize| 100.0 * count as f64 / self.sets.max(1) as f64;
        println!(
            "{name:<30} {:>6} {:>5.1}% {:>5.1}% {:>5.1}% {:>5.1}% {:>5.1}%",
            self.sets,
            share(self.among[0]),
            share(self.among[1]),
            share(self.among[2]),
            share(self.right_part),
            share(self.unseen)
        );
    }
}

/// Whether a suspect says that the set may as well be in order.
pub fn may_be_in_order(suspect: &Suspect) -> bool {
    let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
    faults.any(|(hypothesis, _)| hypothesis.fault == Fault::NothingWrong)
}

/// Where the suspect that holds the fault stands.
pub fn place(ranked: &Suspects, wanted: &Hypothesis) -> usize {
    let holds = |suspect: &Suspect| {
        let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
        faults.any(|(fault, _)| fault == wanted)
    };
    let mut each = ranked.hypotheses.iter();
    each.position(holds).unwrap_or(usize::MAX)
}
