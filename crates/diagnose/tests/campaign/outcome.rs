//! Where the ranking puts what is really wrong.

use circuit::Job;
use diagnose::{AmbiguityGroup, Hypothesis, Suspects};

use super::sets::{Broken, Case};

/// What came of one set.
#[derive(Clone, Debug)]
pub struct Outcome {
    /// Place of the suspect that holds the truth, from 0; behind all where none does.
    pub place: usize,
    /// Whether what the first suspect claims is so.
    right: bool,
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
    /// Whether it blames a part that what is foreign lies across, or sits in: no reading tells a
    /// resistor across a capacitor from its leakage.
    pub stands_for_foreign: bool,
    /// How many of several faults are in the first suspect.
    pub both: bool,
    /// The first three, in words.
    pub leaders: String,
}

impl Outcome {
    /// What came of a case whose fault shows in what was read, or does not.
    pub fn of(job: &Job, ranked: &Suspects, case: &Case, shows: bool) -> Self {
        let in_order = |suspect: &AmbiguityGroup| has(suspect, |f| *f == Hypothesis::NothingWrong);
        let holds = |suspect: &AmbiguityGroup| match (case.kind.as_str(), &case.slip) {
            ("order", _) => in_order(suspect),
            (_, Some(slip)) => has(suspect, |fault| {
                let reading = fault.reading().and_then(|index| job.readings.get(index));
                reading.is_some_and(|reading| reading.point == slip.reading.to_string())
            }),
            // What stands beside "nothing wrong" is any fault, too small to be seen.
            _ => {
                !in_order(suspect)
                    && case
                        .faults
                        .iter()
                        .any(|broken| has(suspect, |fault| is(job, fault, broken)))
            }
        };
        let place = ranked.hypotheses.iter().position(holds);
        let first = ranked.hypotheses.first();
        // It says that no fault shows in these readings, and whoever wrote one down was no fault.
        let none_shows = case.slip.is_none() && !shows;
        let member = |suspect: &AmbiguityGroup| {
            suspect.members.iter().any(|member| {
                case.faults.iter().all(|broken| {
                    let mut each = member.faults.iter();
                    each.any(|(fault, _)| is(job, fault, broken))
                })
            })
        };
        Outcome {
            place: place.unwrap_or(usize::MAX),
            right: match first.is_some_and(in_order) {
                true => none_shows,
                false => place == Some(0),
            },
            claimed: first.map_or(0.0, |first| first.probability),
            blames_a_part: first.is_some_and(|first| {
                !in_order(first) && has(first, |fault| fault.part().is_some())
            }),
            right_part: first.is_some_and(|first| {
                !in_order(first)
                    && has(first, |fault| {
                        let name = fault.part().map(|id| &job.circuit.part(id).designator);
                        let mut broken = case.faults.iter();
                        broken.any(|broken| name == Some(&broken.part))
                    })
            }),
            in_order: first.is_some_and(in_order),
            blames_a_reading: first
                .is_some_and(|first| has(first, |fault| fault.reading().is_some())),
            stands_for_foreign: first.is_some_and(|first| {
                let what = case.what.as_deref();
                what.is_some_and(|what| has(first, |fault| lies_across(job, fault, what)))
            }),
            both: first.is_some_and(member),
            leaders: leaders(job, ranked),
        }
    }

    pub fn is_among(&self, first: usize) -> bool {
        self.place < first
    }

    /// Whether what is claimed of the first suspect is so: that a fault or a slip is the one it names,
    /// or that no fault shows.
    pub fn is_right(&self) -> bool {
        self.right
    }
}

fn has(suspect: &AmbiguityGroup, is: impl Fn(&Hypothesis) -> bool) -> bool {
    let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
    faults.any(|(fault, _)| is(fault))
}

/// Whether a hypothesis is what was broken.
pub fn is(job: &Job, fault: &Hypothesis, broken: &Broken) -> bool {
    let Some(id) = fault.part() else {
        return false;
    };
    let name = &job.circuit.part(id).designator;
    *name == broken.part
        && fault.name() == broken.fault
        && (broken.terminal.is_none() || fault.terminal() == broken.terminal)
}

/// Whether what is foreign lies across two ends of a part, or is the tube that is blamed.
fn lies_across(job: &Job, fault: &Hypothesis, what: &str) -> bool {
    let Some(part) = fault.part().map(|id| job.circuit.part(id)) else {
        return false;
    };
    if let Some(tube) = what.strip_suffix(" of another type") {
        let socket = |name| circuit::socket(name).map(str::to_owned);
        let same_socket = socket(tube).is_some() && socket(tube) == socket(&part.designator);
        return part.designator == tube || same_socket;
    }
    let ends = what.split_once(" from ").map(|(_, ends)| ends);
    let Some((from, to)) = ends.and_then(|ends| ends.split_once(" to ")) else {
        return false;
    };
    let touches = |name: &str| {
        part.nodes.iter().any(|node| {
            let node = &job.circuit.nodes()[node.0];
            node.name == name || (name == "the reference" && node.is_reference)
        })
    };
    touches(from) && touches(to)
}

fn leaders(job: &Job, ranked: &Suspects) -> String {
    let leading = ranked.hypotheses.iter().take(3).filter_map(|suspect| {
        let member = suspect.members.first()?;
        let names = member.faults.iter().map(|(fault, size)| {
            let part = fault
                .part()
                .map(|id| job.circuit.part(id).designator.as_str());
            let reading = fault
                .reading()
                .map_or(String::new(), |index| format!("{}", index + 1));
            let size = size.map_or(String::new(), |size| format!(" {:.2e}", size.to));
            format!("{}{reading} {}{size}", part.unwrap_or(""), fault.name())
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
