//! `check`: read everything, report every fault, hold the manual against the drawn circuit.

use circuit::Job;
use report::{check_report, CheckView, DiagnosticRecord};
use translate::{translate, Translation};

use crate::args::JobsArgs;
use crate::command::{deliver, unsolved};
use crate::console::Console;
use crate::diagnostics;
use crate::exit::Exit;
use crate::job_folder::{self, Instead};
use crate::output::paper;

/// One job, as far as it could be checked.
struct Checked {
    job: Option<Job>,
    translation: Option<Translation>,
    diagnostics: Vec<DiagnosticRecord>,
}

pub(crate) fn run(args: &JobsArgs, console: &mut Console) -> Exit {
    let mut exit = Exit::Done;
    let mut checked = Vec::new();
    let mut own = Vec::new();
    for folder in &args.jobs {
        let read = job_folder::read(folder, &Instead::default());
        diagnostics::show(&read.diagnostics, &read.sources, console);
        own.extend(read.files);
        let mut translation = None;
        match &read.job {
            None => exit = exit.worse(Exit::BadInput),
            Some(job) => match translate(job) {
                Ok(done) => translation = Some(done),
                Err(error) => exit = exit.worse(unsolved(job, &error, console)),
            },
        }
        checked.push(Checked {
            job: read.job,
            translation,
            diagnostics: diagnostics::records(&read.diagnostics, &read.sources),
        });
    }
    let views: Vec<CheckView> = checked
        .iter()
        .map(|checked| CheckView {
            job: checked.job.as_ref(),
            translation: checked.translation.as_ref(),
            diagnostics: &checked.diagnostics,
        })
        .collect();
    let report = check_report(
        &views,
        args.output.format.format(),
        paper(&args.output, console),
    );
    exit.worse(deliver(report, &args.output, &own, console))
}
