//! A job folder, read and worked on: which files it has, what `input` makes of them, and the meter that
//! its manual does not name put in.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use circuit::{Job, Meter};
use input::{
    find_meter, read_job, read_settings, Diagnostic, JobSettings, JobSources, Severity, Sources,
};
use reconcile::{reconcile, Reconciled};
use report::DiagnosticRecord;
use translate::{
    compare_translated, rails_as_read, translate_reconciled, Comparison, RailAsRead, RailsError,
    Translation,
};

use crate::console::Console;
use crate::diagnostics;
use crate::exit::Exit;
use crate::findings::Findings;
use crate::own_tubes::own_tubes;
use crate::shelf::Shelf;
use crate::unknown_meter::resolve_meters;
use crate::unsolved::{unresolved, unsolved};

/// A job folder, read.
pub(crate) struct JobFolder {
    /// Every text, for drawing diagnostics.
    pub(crate) sources: Sources,
    /// Everything found about them.
    pub(crate) diagnostics: Vec<Diagnostic>,
    /// The job; none if a diagnostic is an error that costs more than a row.
    pub(crate) job: Option<Job>,
    /// The technician's files, none of which may be overwritten.
    pub(crate) files: Vec<PathBuf>,
}

/// What the command line puts in place of what the job says.
#[derive(Default)]
pub(crate) struct Instead<'a> {
    /// Bench meters by name.
    pub(crate) meters: &'a [String],
    /// Files of readings.
    pub(crate) readings: &'a [PathBuf],
    /// Whether supplies are taken at what was read across them.
    pub(crate) rails_as_read: bool,
}

impl JobFolder {
    fn of(shelf: Shelf<'_>, job: Option<Job>) -> Self {
        let mut read = JobFolder {
            sources: shelf.sources,
            diagnostics: shelf.diagnostics,
            job,
            files: shelf.files,
        };
        read.drop_stopped();
        read
    }

    /// A job with an error that stops it is none.
    fn drop_stopped(&mut self) {
        if self.diagnostics.iter().any(Diagnostic::stops_job) {
            self.job = None;
        }
    }

    /// How reading it went: rows that were left out are bad input, though the rest goes on.
    pub(crate) fn exit(&self) -> Exit {
        match self.diagnostics.iter().any(Diagnostic::is_error) {
            true => Exit::BadInput,
            false => Exit::Done,
        }
    }
}

pub(crate) fn read(folder: &Path, instead: &Instead, outside: bool) -> JobFolder {
    let mut shelf = Shelf::new(folder, outside);
    if !folder.is_dir() {
        shelf.fault(
            format!("there is no folder {}", folder.display()),
            "name a job folder, or make one with 'fairvolt new FOLDER'",
        );
        return JobFolder::of(shelf, None);
    }
    let settings_id = shelf.optional("job.toml");
    // Reading job.toml here only tells which files to open; `read_job` reports its faults.
    let settings = settings_id.map_or_else(JobSettings::default, |id| {
        read_settings(&shelf.sources, id).0
    });
    let parts = JobSources {
        folder: folder.display().to_string(),
        settings: settings_id,
        netlist: shelf.named(&settings.netlist),
        manual: shelf.named(&settings.manual),
        meters: shelf.named(&settings.meters),
        devices: shelf.named(&settings.devices),
        pin_chart: shelf.named(&settings.pin_chart),
        pin_chart_ohms: shelf.named(&settings.pin_chart_ohms),
        readings: if instead.readings.is_empty() {
            settings
                .readings
                .iter()
                .filter_map(|named| shelf.named(named))
                .collect()
        } else {
            // Not read this time, but it is the technician's file.
            for named in &settings.readings {
                shelf.files.push(folder.join(&named.name));
            }
            instead
                .readings
                .iter()
                .filter_map(|path| shelf.required(path))
                .collect()
        },
    };
    let own = own_tubes(&shelf.sources, parts.devices, &mut shelf.diagnostics);
    let result = read_job(&shelf.sources, &parts, &own);
    // A file that could not be read is not absent.
    let unread = shelf.diagnostics.iter().any(Diagnostic::stops_job);
    let absent = |found: &Diagnostic| found.message.starts_with("the job has no ");
    let found = result.diagnostics.into_iter();
    let found = found.filter(|found| !(unread && absent(found)));
    shelf.diagnostics.extend(found);
    let mut read = JobFolder::of(shelf, result.job);
    replace_meters(&mut read, instead.meters);
    read
}

fn replace_meters(read: &mut JobFolder, names: &[String]) {
    let Some(job) = &mut read.job else { return };
    if names.is_empty() {
        return;
    }
    let mut meters: Vec<Meter> = Vec::new();
    for name in names {
        match find_meter(name, &job.own_meters) {
            Ok(meter) => meters.push(meter),
            Err(error) => read
                .diagnostics
                .push(Diagnostic::of_job(format!("--meter {name}: {error}")).help(error.help())),
        }
    }
    job.bench.meters = meters;
    read.drop_stopped();
}

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

/// Reads every job and does the same with each.
pub(crate) fn work_on<T>(
    folders: &[PathBuf],
    instead: &Instead,
    console: &mut Console,
    work: impl Fn(&ResolvedJob, &mut Console) -> Result<T, Exit>,
) -> Worked<T> {
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
    worked
}

/// Reads a job, draws what was noticed, and gives it back if it can be worked on. The files of
/// the folder are added to `own` either way.
pub(crate) fn ready(
    folder: &Path,
    instead: &Instead,
    own: &mut Vec<PathBuf>,
    console: &mut Console,
) -> Result<ReadyJob, Exit> {
    let read = read(folder, instead, console.outside);
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
    let mut job = ready.job;
    let resolved = resolve_meters(&mut job).map_err(|error| unresolved(&job, &error, console))?;
    let reconciled = reconcile(&job).map(Arc::new);
    let reconciled = reconciled.map_err(|error| unsolved(&job, &error, console))?;
    let findings = Findings::of(&resolved, &reconciled)
        .with_alternative(&resolved)
        .map_err(|error| unsolved(&job, &error, console))?;
    Ok(ResolvedJob {
        job,
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
