//! What to do after a comparison, and which points are still to be read.

use circuit::ManualEntry;
use translate::Verdict;

use crate::heading::{points as labelled, typed};
use crate::labels::each_once;
use crate::places::is_same_place;
use crate::views::CompareView;

use super::label;
use super::sets::SetReadings;

/// What to do next: which command, which point.
pub(super) fn next(view: &CompareView<'_>, sets: &[SetReadings<'_>]) -> String {
    let (job, more) = (view.job, view.asked.more);
    let folder = typed(&job.folder);
    let points = |verdicts: &[Verdict], all: bool| -> Vec<String> {
        let own = sets.iter().flat_map(|set| {
            let own = verdicts.iter().flat_map(|verdict| set.with(*verdict));
            own.filter(|(compared, _)| all || compared.quantity.is_none())
        });
        each_once(own.map(|taken| label(job, taken)))
    };
    let failing = points(&[Verdict::Fail, Verdict::ConditionalFail], true);
    if !failing.is_empty() {
        let which = sets
            .iter()
            .find(|set| set.fails())
            .map_or("", |set| set.set);
        let of_set = match sets.len() > 1 && !which.is_empty() {
            true => format!(" --set {}", typed(which)),
            false => String::new(),
        };
        return format!(
            "'fairvolt suspects {folder}{more}{of_set}' says which part would explain {}.",
            labelled(&failing)
        );
    }
    if let Some(first) = points(&[Verdict::TooCoarse, Verdict::ConditionalPass], false).first() {
        let first = first.replace('\u{a0}', " ");
        return format!(
            "'fairvolt compare {folder}{more} --explain {}' says what makes point {first} uncertain.",
            typed(&first)
        );
    }
    match unread(view).next() {
        Some(entry) => format!(
            "read the other points, point {} first; 'fairvolt worksheet {folder}{more}' prints the sheet.",
            entry.point
        ),
        // Of other quantities than direct volts there is no account to send on to.
        None => match points(&[Verdict::TooCoarse, Verdict::ConditionalPass], true).is_empty() {
            true => "nothing; every point that can be judged was read and is in order.".to_owned(),
            false => "nothing; every point that can be judged was read, and none fails.".to_owned(),
        },
    }
}

/// Entries that could be judged and were not read, under no name of their place.
pub(super) fn unread<'a>(view: &CompareView<'a>) -> impl Iterator<Item = &'a ManualEntry> {
    let (job, comparison) = (view.job, view.comparison);
    let read = comparison
        .readings
        .iter()
        .filter_map(|c| job.manual.get(c.entry?));
    let read: Vec<&ManualEntry> = read.collect();
    let points = comparison.translation.points.iter();
    let judged = points.filter(|point| point.outcome.is_ok());
    judged
        .filter_map(|point| job.manual.get(point.entry))
        .filter(move |entry| !read.iter().any(|one| is_same_place(*one, *entry)))
}
