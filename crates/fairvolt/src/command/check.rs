//! `check`: read everything, report every fault, hold the manual against the drawn circuit and
//! against itself.

use circuit::Job;
use diagnose::{overrated, Overrated};
use report::{check_flagged, CheckView, DiagnosticRecord, Report, TrialsView};
use translate::{translate, Translation, TranslationTrials};

use crate::args::CheckArgs;
use crate::command::deliver;
use crate::command::translate::run_trials;
use crate::console::Console;
use crate::diagnostics;
use crate::exit::Exit;
use crate::findings::Findings;
use crate::job_folder::{self, Instead};
use crate::unknown_meter::resolve_meters;
use crate::unsolved::{unresolved, unsolved};

/// One job, as far as it could be checked.
struct Checked {
    job: Option<Job>,
    translation: Option<Translation>,
    findings: Findings,
    overrated: Vec<Overrated>,
    trials: Option<(u64, TranslationTrials)>,
    diagnostics: Vec<DiagnosticRecord>,
}

pub(crate) fn run(args: &CheckArgs, console: &mut Console) -> Exit {
    let request = args.trials.request();
    let mut exit = Exit::Done;
    let mut checked = Vec::new();
    let mut own = Vec::new();
    for folder in &args.jobs {
        let read = job_folder::read(folder, &Instead::default(), console.outside);
        diagnostics::show(&read.diagnostics, &read.sources, console);
        exit = exit.worse(read.exit());
        own.extend(read.files.iter().cloned());
        let mut one = Checked {
            job: None,
            translation: None,
            findings: Findings::default(),
            overrated: Vec::new(),
            trials: None,
            diagnostics: diagnostics::records(&read.diagnostics, &read.sources),
        };
        exit = exit.worse(match read.job {
            None => Exit::BadInput,
            Some(job) => examine(job, &mut one, console),
        });
        if let (Some(request), Some(job), Some(done)) = (request, &one.job, &one.translation) {
            one.trials = Some((request.seed, run_trials(job, done, request, console)));
        }
        checked.push(one);
    }
    let views: Vec<CheckView> = checked.iter().map(view).collect();
    if views.iter().any(check_flagged) {
        exit = exit.worse(Exit::Flagged);
    }
    let report = Report::check(views);
    exit.worse(deliver(
        &report,
        args.output.format(),
        &args.output,
        &own,
        console,
    ))
}

/// Settles the meter, translates and judges, as far as each can be done.
fn examine(mut job: Job, checked: &mut Checked, console: &mut Console) -> Exit {
    let resolved = match resolve_meters(&mut job) {
        Ok(resolved) => resolved,
        Err(error) => {
            checked.findings.not_judged = Some(error.to_string());
            let exit = unresolved(&job, &error, console);
            checked.job = Some(job);
            return exit;
        }
    };
    let exit = match translate(&job) {
        Ok(translation) => {
            checked.findings = Findings::explained(&resolved, &translation.reconciled);
            checked.translation = Some(translation);
            // It has been solved before, so a failure here is not the job's fault.
            checked.overrated = overrated(&job.circuit).unwrap_or_default();
            Exit::Done
        }
        Err(error) => {
            checked.findings.not_judged = Some(error.to_string());
            unsolved(&job, &error, console)
        }
    };
    checked.job = Some(job);
    exit
}

fn view(checked: &Checked) -> CheckView<'_> {
    CheckView {
        job: checked.job.as_ref(),
        translation: checked.translation.as_ref(),
        manual: checked.findings.view(),
        not_judged: checked.findings.not_judged.as_deref(),
        trials: checked
            .trials
            .as_ref()
            .map(|(seed, found)| TrialsView { found, seed: *seed }),
        overrated: &checked.overrated,
        diagnostics: &checked.diagnostics,
    }
}
