//! The readings of each set as it is now, by verdict.
//!
//! A compared job comes in; for each set the readings that no later one replaces go out, the worst
//! first, and how many there are of each kind.

use circuit::Job;
use translate::{Comparison, Verdict};

use crate::document::{Block, Headline};
use crate::inputs::Rested;
use crate::readings::{taken, worst_first, Taken};

use super::counted_words;

/// The readings of one set that hold for it now.
pub(crate) struct SetReadings<'a> {
    /// The set; empty where not noted.
    pub set: &'a str,
    /// The date that all of them share; empty without one.
    pub date: &'a str,
    readings: Vec<Taken<'a>>,
}

/// How many readings there are of each kind.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) struct Counts {
    /// Fails.
    pub fail: usize,
    /// Conditional ones, and those too coarse to decide.
    pub doubtful: usize,
    /// Passes.
    pub in_order: usize,
    /// Those that nothing can be said of.
    pub not_judged: usize,
}

/// The sets that readings of the manual's points belong to, as first met with.
pub(crate) fn sets<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<SetReadings<'a>> {
    let replaced = circuit::replaced(&job.readings);
    let mut sets: Vec<SetReadings<'a>> = Vec::new();
    let now = taken(job, comparison).filter(|(c, _)| {
        (c.entry.is_some() || c.quantity.is_some()) && !replaced.contains(&c.reading)
    });
    for taken in now {
        let (set, date) = (taken.1.set.as_str(), taken.1.date.as_str());
        match sets.iter_mut().find(|known| known.set == set) {
            Some(known) => {
                if known.date != date {
                    known.date = "";
                }
                known.readings.push(taken);
            }
            None => sets.push(SetReadings {
                set,
                date,
                readings: vec![taken],
            }),
        }
    }
    for set in &mut sets {
        worst_first(&mut set.readings);
    }
    sets
}

impl<'a> SetReadings<'a> {
    /// Its readings of this verdict; those that pass in the manual's order, others the worst first.
    pub(crate) fn with(&self, wanted: Verdict) -> impl Iterator<Item = Taken<'a>> + '_ {
        let mut own: Vec<Taken<'a>> = self
            .readings
            .iter()
            .copied()
            .filter(|(compared, _)| compared.judgement.verdict == wanted)
            .collect();
        if matches!(wanted, Verdict::Pass | Verdict::NotJudged) {
            own.sort_by_key(|(compared, _)| compared.entry);
        }
        own.into_iter()
    }

    /// How many there are of each kind.
    pub(crate) fn counts(&self) -> Counts {
        let mut counts = Counts::default();
        for (compared, _) in &self.readings {
            *match compared.judgement.verdict {
                Verdict::Fail => &mut counts.fail,
                Verdict::Pass => &mut counts.in_order,
                Verdict::NotJudged => &mut counts.not_judged,
                Verdict::ConditionalFail | Verdict::ConditionalPass | Verdict::TooCoarse => {
                    &mut counts.doubtful
                }
            } += 1;
        }
        counts
    }

    /// Whether any lies outside its limits.
    pub(crate) fn fails(&self) -> bool {
        let mut readings = self.readings.iter();
        readings.any(|(compared, _)| compared.judgement.is_finding())
    }

    /// Whether all were taken with one meter.
    pub(crate) fn has_one_meter(&self) -> bool {
        let mut names = self.readings.iter().map(|(_, reading)| &reading.meter.name);
        let first = names.next();
        names.all(|name| Some(name) == first)
    }

    /// `Set 4: 4 FAIL, 2 doubtful, 22 in order`.
    pub(crate) fn words(&self) -> String {
        let (words, _) = counted_words(self.counts());
        match crate::readings::caption(self.set, self.date) {
            caption if caption.is_empty() => words,
            caption => format!("{caption}: {words}"),
        }
    }

    /// The same, its bad words to stand out.
    pub(crate) fn headline(&self) -> Block {
        let (_, tones) = counted_words(self.counts());
        let text = self.words();
        Block::Headline(Headline { text, tones })
    }
}

/// What makes a reading most uncertain.
pub(super) fn largest_input(
    job: &Job,
    comparison: &Comparison,
    (compared, reading): Taken<'_>,
) -> Option<String> {
    let entry = compared.entry?;
    let side = compared.expected.as_ref()?;
    let outcome = comparison.translation.points.get(entry)?;
    let carried = outcome.outcome.as_ref().ok()?;
    let rested = Rested {
        job,
        entry: job.manual.get(entry)?,
        manual_range: carried.manual.range,
        side,
        reading: Some(reading),
    };
    Some(rested.words(side.budget.lines.first()?.input))
}
