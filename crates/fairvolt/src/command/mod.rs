//! One file a command.

pub(crate) mod by_name;
pub(crate) mod check;
pub(crate) mod compare;
pub(crate) mod completions;
pub(crate) mod curve;
pub(crate) mod devices;
pub(crate) mod explain;
mod flagged;
pub(crate) mod imitate;
pub(crate) mod manual_page;
pub(crate) mod meters;
pub(crate) mod new;
pub(crate) mod suspects;
pub(crate) mod translate;
pub(crate) mod unload;
pub(crate) mod worksheet;

use std::path::{Path, PathBuf};
use std::sync::Arc;

use ::translate::{
    compare_translated, rails_as_read, translate_reconciled, Comparison, RailAsRead, RailsError,
    Translation,
};
use circuit::Job;
use input::{Diagnostic, Severity};
use reconcile::{reconcile, Reconciled};
use report::{DiagnosticRecord, Format, Report};

use crate::console::Console;
use crate::diagnostics;
use crate::exit::Exit;
use crate::findings::Findings;
use crate::job_folder::{self, Instead, JobFolder};
use crate::output;
use crate::output_args::OutputArgs;
use crate::unknown_meter::{resolve_meters, UnresolvedMeters};
use crate::unsolved::{complain, unsolved};

/// A job that was read without error, and what was noticed on the way.
pub(crate) struct ReadyJob {
    pub(crate) job: Job,
    pub(crate) diagnostics: Vec<DiagnosticRecord>,
    /// How reading it went: done, or bad input where rows were left out.
    pub(crate) exit: Exit,
}

/// A job with a class put in for a meter that its manual does not name, and its manual held against
/// the drawing.
pub(crate) struct ResolvedJob {
    pub(crate) job: Job,
    /// What was found out about its manual.
    pub(crate) findings: Findings,
    /// Its manual and drawing, which all commands start from.
    pub(crate) reconciled: Arc<Reconciled>,
    pub(crate) diagnostics: Vec<DiagnosticRecord>,
    /// How reading it went: done, or bad input where rows were left out.
    pub(crate) exit: Exit,
}

impl ResolvedJob {
    /// Its manual, carried over.
    pub(crate) fn translation(&self, console: &mut Console) -> Result<Translation, Exit> {
        translate_reconciled(&self.reconciled).map_err(|error| unsolved(&self.job, &error, console))
    }

    /// Its readings, compared with that.
    pub(crate) fn comparison(&self, console: &mut Console) -> Result<Comparison, Exit> {
        let translation = self.translation(console)?;
        Ok(compare_translated(&self.job, translation))
    }
}

/// Several jobs, worked on one after the other.
pub(crate) struct Worked<T> {
    /// Those that could be done, with their results.
    pub(crate) done: Vec<(ResolvedJob, T)>,
    /// The technician's files in every folder, done or not: none may be overwritten.
    pub(crate) own: Vec<PathBuf>,
    /// How the worst of them ended.
    pub(crate) exit: Exit,
}

impl<T> Worked<T> {
    /// Writes one report of all jobs. A job that is flagged flags the run.
    pub(crate) fn deliver(
        &self,
        report: &Report<'_>,
        args: &OutputArgs,
        is_flagged: impl Fn(&Job, &T) -> bool,
        console: &mut Console,
    ) -> Exit {
        let delivered = deliver(report, args.format(), args, &self.own, console);
        let flagged = self
            .done
            .iter()
            .any(|(ready, found)| is_flagged(&ready.job, found));
        let found = if flagged { Exit::Flagged } else { Exit::Done };
        self.exit.worse(found).worse(delivered)
    }
}

/// Reads every job and does the same with each; how it ended, where none could be done.
pub(crate) fn work_on<T>(
    folders: &[PathBuf],
    instead: &Instead,
    console: &mut Console,
    work: impl Fn(&ResolvedJob, &mut Console) -> Result<T, Exit>,
) -> Result<Worked<T>, Exit> {
    let mut worked = Worked {
        done: Vec::new(),
        own: Vec::new(),
        exit: Exit::Done,
    };
    for folder in folders {
        let result = resolved(folder, instead, &mut worked.own, console)
            .and_then(|ready| work(&ready, console).map(|result| (ready, result)));
        match result {
            Ok(done) => {
                worked.exit = worked.exit.worse(done.0.exit);
                worked.done.push(done);
            }
            Err(fault) => worked.exit = worked.exit.worse(fault),
        }
    }
    match worked.done.is_empty() {
        true => Err(worked.exit),
        false => Ok(worked),
    }
}

/// Reads a job, draws what was noticed, and gives it back if it can be worked on. The files of
/// the folder are added to `own` either way.
pub(crate) fn ready(
    folder: &Path,
    instead: &Instead,
    own: &mut Vec<PathBuf>,
    console: &mut Console,
) -> Result<ReadyJob, Exit> {
    let read = job_folder::read(folder, instead, console.outside);
    let exit = read.exit();
    let JobFolder {
        sources,
        diagnostics,
        job,
        files,
    } = read;
    own.extend(files);
    // Notes are shown by `check` only.
    let faults: Vec<Diagnostic> = diagnostics
        .iter()
        .filter(|diagnostic| diagnostic.severity > Severity::Note)
        .cloned()
        .collect();
    diagnostics::show(&faults, &sources, console);
    job.map(|job| ReadyJob {
        job,
        diagnostics: diagnostics::records(&diagnostics, &sources),
        exit,
    })
    .ok_or(Exit::BadInput)
}

/// A job that is [`ready`], with a class put in for a meter that its manual does not name, and
/// its manual judged.
pub(crate) fn resolved(
    folder: &Path,
    instead: &Instead,
    own: &mut Vec<PathBuf>,
    console: &mut Console,
) -> Result<ResolvedJob, Exit> {
    let mut ready = ready(folder, instead, own, console)?;
    if instead.rails_as_read {
        take_rails_as_read(&mut ready.job, console)?;
    }
    let resolved =
        resolve_meters(&ready.job).map_err(|error| unresolved(&ready.job, &error, console))?;
    let reconciled = reconcile(&resolved.job).map(Arc::new);
    let reconciled = reconciled.map_err(|error| unsolved(&ready.job, &error, console))?;
    let findings = Findings::of(&resolved, &reconciled)
        .with_alternative(&resolved)
        .map_err(|error| unsolved(&ready.job, &error, console))?;
    Ok(ResolvedJob {
        job: resolved.job,
        findings,
        reconciled,
        diagnostics: ready.diagnostics,
        exit: ready.exit,
    })
}

/// Holds every supply of the bench side at what was read across it.
fn take_rails_as_read(job: &mut Job, console: &mut Console) -> Result<(), Exit> {
    match rails_as_read(job) {
        Ok(rails) => {
            job.bench.rails = rails.iter().map(RailAsRead::setting).collect();
            Ok(())
        }
        Err(error) => {
            let help = match error {
                RailsError::NoRail => "read one of the supplies, or leave out --rails-as-read",
                RailsError::SeveralSets { .. } => {
                    "name the file of one set's readings with --readings"
                }
            };
            let folder = &job.folder;
            console.complain(&format!("error: {folder}: {error}\nhelp: {help}\n"));
            Err(Exit::BadInput)
        }
    }
}

/// Says why the meter of a manual that names none cannot be told.
pub(crate) fn unresolved(job: &Job, error: &UnresolvedMeters, console: &mut Console) -> Exit {
    match error {
        UnresolvedMeters::Untold { .. } => {
            console.complain(&format!(
                "error: {}: {error}\n\
                 help: name it in job.toml, such as meter = \"20k/V\", or draw the circuit round\n      \
                 the points that were read with it\n",
                job.folder
            ));
            Exit::BadInput
        }
        UnresolvedMeters::Unjudged(cause) => {
            complain(job, error, cause, console);
            Exit::Unsolved
        }
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
