//! `--explain POINT`: what the value of one point is judged by.

use std::path::PathBuf;

use circuit::{Job, ManualEntry, Quantity};
use input::nearest_few;
use report::{ExplainView, Report};
use translate::Comparison;

use crate::command::is_flagged;
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{work_on, Instead, ResolvedJob};
use crate::output_args::OutputArgs;

/// How many near labels to name.
const SUGGESTIONS: usize = 5;

pub(crate) struct Asked<'a> {
    pub(crate) jobs: &'a [PathBuf],
    pub(crate) instead: Instead<'a>,
    /// The manual's label.
    pub(crate) point: &'a str,
    pub(crate) output: &'a OutputArgs,
}

/// Tells it of every job; `work` compares what there is to compare. A reading of the point that is a
/// finding flags the run, as it does without `--explain`.
pub(crate) fn run(
    asked: &Asked<'_>,
    console: &mut Console,
    work: impl Fn(&ResolvedJob, &mut Console) -> Result<Comparison, Exit>,
) -> Exit {
    let worked = work_on(asked.jobs, &asked.instead, console, |ready, console| {
        let job = &ready.job;
        let entry = entry(job, asked.point).ok_or_else(|| unknown(job, asked.point, console))?;
        work(ready, console).map(|comparison| (entry, comparison))
    });
    let views = worked
        .done
        .iter()
        .map(|(ready, (entry, comparison))| ExplainView {
            job: &ready.job,
            comparison,
            entry: *entry,
            diagnostics: &ready.diagnostics,
        });
    let report = Report::explanation(views.collect());
    let found = |job: &Job, (entry, comparison): &(usize, Comparison)| {
        Exit::flagged(is_flagged(job, comparison, Some(*entry)))
    };
    worked.deliver(&report, asked.output, found, console)
}

/// The entry of this label: as written before another letter case, and direct volts, which can be
/// explained, before other quantities at the same pin.
pub(crate) fn entry(job: &Job, label: &str) -> Option<usize> {
    let label = label.trim();
    let find = |same: &dyn Fn(&str) -> bool| {
        let mut own: Vec<usize> = (0..job.manual.len())
            .filter(|index| same(job.manual[*index].point.trim()))
            .collect();
        own.sort_by_key(|index| job.manual[*index].quantity != Quantity::DcVolts);
        own.first().copied()
    };
    find(&|point| point == label).or_else(|| find(&|point| point.eq_ignore_ascii_case(label)))
}

/// Says that the manual has no such point, and which are near, or that it prints no value there.
pub(crate) fn unknown(job: &Job, label: &str, console: &mut Console) -> Exit {
    let same = |point: &str| point.trim().eq_ignore_ascii_case(label.trim());
    if let Some(blank) = job.unprinted.iter().find(|blank| same(&blank.point)) {
        console.complain(&format!(
            "error: {}: the manual prints no value at '{}' that could be carried over\n\
             help: 'fairvolt translate {0}' shows what the drawing gives there\n",
            job.folder, blank.point
        ));
        return Exit::BadInput;
    }
    let near = nearest(job, label);
    let help = match near.is_empty() {
        true => "the points are listed by 'fairvolt translate'".to_owned(),
        false => format!("nearest: {}", near.join(", ")),
    };
    console.complain(&format!(
        "error: {}: the manual has no point '{label}'\nhelp: {help}\n",
        job.folder
    ));
    Exit::BadInput
}

/// Labels and places that hold what was typed, or are a slip or two away; labels go out.
fn nearest<'a>(job: &'a Job, label: &str) -> Vec<&'a str> {
    let name = |entry: &'a ManualEntry| entry.point.as_str();
    let alike = |wanted: &str, entry: &'a ManualEntry| {
        let holds = |text: &str| text.to_lowercase().contains(wanted);
        wanted.len() >= 2 && (holds(&entry.point) || holds(&entry.at))
    };
    let near = nearest_few(label.trim(), &job.manual, name, alike).into_iter();
    near.take(SUGGESTIONS)
        .map(|(_, entry)| name(entry))
        .collect()
}
