//! The suspects in a few lines, for the sheet that goes to the bench.

use circuit::Job;
use diagnose::Suspects;

use crate::figures;

use super::next::next_lines;
use super::table::shown;
use super::verdict::verdict;
use super::words::suspect_words;

/// Suspects on a sheet, at most.
const MOST: usize = 6;

/// What a sheet says of its suspects.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct SuspectLines {
    /// What can be said, in a sentence or two.
    pub said: Vec<String>,
    /// One line a suspect, the likeliest first: `57 %  C6 20 nF, …`.
    pub ranking: Vec<String>,
    /// Where to probe next, two lines a place.
    pub next: Vec<String>,
}

/// The suspects by the readings so far.
pub(crate) fn suspect_lines(job: &Job, suspects: &Suspects) -> SuspectLines {
    let line = |(_, suspect): (usize, &diagnose::Suspect)| {
        let member = suspect.members.first()?;
        let more = match suspect.members.len() - 1 {
            0 => String::new(),
            1 => ", or one more that no reading tells from it".to_owned(),
            many => format!(", or {many} more that no reading tells from it"),
        };
        Some(format!(
            "{}\u{a0}% {}{more}",
            figures::probability(suspect.probability),
            suspect_words(job, member)
        ))
    };
    SuspectLines {
        said: verdict(job, suspects),
        ranking: shown(suspects).take(MOST).filter_map(line).collect(),
        next: next_lines(job, suspects),
    }
}
