//! Where the ranking puts what is really wrong.

use circuit::Job;
use diagnose::{Fault, Hypothesis, Suspect, Suspects};

use crate::sets::{Broken, Case};

/// What came of one set.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Place of the suspect that holds the truth, from 0; behind all where none does.
    pub place: usize,
    /// Whether that suspect also says that nothing may be wrong.
    pub unseen: bool,
    /// What the first suspect claims.
    pub claimed: f64,
    /// Whether the first suspect is a fault of a part, or of several.
    pub blames_a_part: bool,
    /// Whether it names the right part.
    pub right_part: bool,
    /// Whether it says that the set is in order.
    pub in_order: bool,
    /// Whether it says that a reading is wrong.
    pub blames_a_reading: bool,
    /// How many of several faults are in the first suspect.
    pub both: bool,
    /// The first three, in words.
    pub leaders: String,
}

impl Outcome {
    pub fn of(job: &Job, ranked: &Suspects, case: &Case) -> Self {
        let holds = |suspect: &Suspect| match (case.kind.as_str(), &case.slip) {
            ("order", _) => has(suspect, |fault| fault.fault == Fault::NothingWrong),
            (_, Some(slip)) => has(suspect, |fault| {
                let reading = fault.reading.and_then(|index| job.readings.get(index));
                reading.is_some_and(|reading| reading.point == slip.reading.to_string())
            }),
            _ => case
                .faults
                .iter()
                .any(|broken| has(suspect, |fault| is(job, fault, broken))),
        };
        let place = ranked.hypotheses.iter().position(holds);
        let at = place.and_then(|place| ranked.hypotheses.get(place));
        let first = ranked.hypotheses.first();
        let in_order = |suspect: &Suspect| has(suspect, |f| f.fault == Fault::NothingWrong);
        let member = |suspect: &Suspect| {
            suspect.members.iter().any(|member| {
                case.faults.iter().all(|broken| {
                    let mut each = member.faults.iter();
                    each.any(|(fault, _)| is(job, fault, broken))
                })
            })
        };
        Outcome {
            place: place.unwrap_or(usize::MAX),
            unseen: at.is_some_and(in_order) && case.kind != "order",
            claimed: first.map_or(0.0, |first| first.probability),
            blames_a_part: first
                .is_some_and(|first| !in_order(first) && has(first, |fault| fault.part.is_some())),
            right_part: first.is_some_and(|first| {
                !in_order(first)
                    && has(first, |fault| {
                        let name = fault.part.map(|id| &job.circuit.part(id).designator);
                        let mut broken = case.faults.iter();
                        broken.any(|broken| name == Some(&broken.part))
                    })
            }),
            in_order: first.is_some_and(in_order),
            blames_a_reading: first
                .is_some_and(|first| has(first, |fault| fault.fault == Fault::ReadingWrong)),
            both: first.is_some_and(member),
            leaders: leaders(job, ranked),
        }
    }

    pub fn is_among(&self, first: usize) -> bool {
        self.place < first && !self.unseen
    }

    /// Whether what is claimed of the first suspect is so.
    pub fn is_right(&self) -> bool {
        self.place == 0
    }
}

fn has(suspect: &Suspect, is: impl Fn(&Hypothesis) -> bool) -> bool {
    let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
    faults.any(|(fault, _)| is(fault))
}

/// Whether a hypothesis is what was broken.
fn is(job: &Job, fault: &Hypothesis, broken: &Broken) -> bool {
    let Some(id) = fault.part else {
        return false;
    };
    let name = &job.circuit.part(id).designator;
    *name == broken.part
        && fault.fault.name() == broken.fault
        && (broken.terminal.is_none() || fault.electrode == broken.terminal)
}

fn leaders(job: &Job, ranked: &Suspects) -> String {
    let leading = ranked.hypotheses.iter().take(3).filter_map(|suspect| {
        let member = suspect.members.first()?;
        let names = member.faults.iter().map(|(fault, size)| {
            let part = fault
                .part
                .map(|id| job.circuit.part(id).designator.as_str());
            let reading = fault
                .reading
                .map_or(String::new(), |index| format!("{}", index + 1));
            let size = size.map_or(String::new(), |size| format!(" {:.2e}", size.to));
            format!(
                "{}{reading} {}{size}",
                part.unwrap_or(""),
                fault.fault.name()
            )
        });
        let names = names.collect::<Vec<_>>().join(" + ");
        let share = 100.0 * suspect.probability;
        Some(format!(
            "{names} {share:.0}% (ln {:.1}, prior {:.1e})",
            member.log_likelihood, member.prior
        ))
    });
    leading.collect::<Vec<_>>().join("; ")
}
