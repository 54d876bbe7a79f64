//! One file a command.

pub(crate) mod by_name;
pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod curve;
pub(crate) mod devices;
pub(crate) mod explain;
pub(crate) mod imitate;
pub(crate) mod manual_page;
pub(crate) mod meters;
pub(crate) mod new;
pub(crate) mod suspects;
pub(crate) mod translate;
pub(crate) mod unload;
pub(crate) mod worksheet;

use std::path::PathBuf;

use ::translate::Comparison;
use circuit::Job;
use report::{Format, Report};

use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Worked;
use crate::output;
use crate::output_args::OutputArgs;

impl<T> Worked<T> {
    /// Writes one report of all jobs, and none where no job could be done. `found` says how a job that was
    /// done ends the run.
    pub(crate) fn deliver(
        &self,
        report: &Report<'_>,
        args: &OutputArgs,
        found: impl Fn(&Job, &T) -> Exit,
        console: &mut Console,
    ) -> Exit {
        if self.done.is_empty() {
            return self.exit;
        }
        let delivered = deliver(report, args.format(), args, &self.own, console);
        let each = self.done.iter().map(|(ready, own)| found(&ready.job, own));
        each.fold(self.exit.worse(delivered), Exit::worse)
    }
}

/// The readings of a command line as they have to be typed again for another command.
pub(crate) fn retyped(readings: &[PathBuf]) -> String {
    let files = readings.iter().map(|file| {
        let file = file.display().to_string();
        match file.contains(char::is_whitespace) {
            true => format!(" -r \"{file}\""),
            false => format!(" -r {file}"),
        }
    });
    files.collect()
}

/// Writes a report, or says why there is none.
pub(crate) fn deliver(
    report: &Report<'_>,
    format: Format,
    args: &OutputArgs,
    own: &[PathBuf],
    console: &mut Console,
) -> Exit {
    let error = match report.render(format, output::terminal(args, console)) {
        Ok(rendered) => return output::write(&rendered, args, own, console),
        Err(error) => error,
    };
    console.complain(&format!("error: {error}\n"));
    match error.help() {
        // An error that has a help text is a wrong request.
        Some(help) => {
            console.complain(&format!("help: {help}\n"));
            Exit::BadInput
        }
        None => Exit::NotWritten,
    }
}

/// Whether a reading of the set as it is now lies outside its band; of one point of the manual, if
/// one is named. What was read before a repair is on record and flags nothing.
pub(crate) fn is_flagged(job: &Job, comparison: &Comparison, entry: Option<usize>) -> bool {
    let replaced = circuit::replaced(&job.readings);
    comparison.readings.iter().any(|compared| {
        let asked = entry.is_none() || compared.entry == entry;
        asked && compared.judgement.is_finding() && !replaced.contains(&compared.reading)
    })
}
