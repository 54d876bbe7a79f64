//! `translate`: the manual's table for the meter on the bench.

use circuit::Job;
use report::{Report, TranslateView, TrialsView};
use translate::{translation_trials, Comparison, Translation, TranslationTrials, TrialsRequest};

use crate::args::TranslateArgs;
use crate::command::explain::{self, Asked};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{work_on, Instead, ResolvedJob};
use crate::progress::Bar;

pub(crate) fn run(args: &TranslateArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        ..Instead::default()
    };
    if let Some(point) = &args.explain {
        let asked = Asked {
            jobs: &args.jobs,
            instead,
            point,
            output: &args.output,
        };
        return explain::run(&asked, console, unread);
    }
    let request = args.trials.request();
    let worked = work_on(&args.jobs, &instead, console, |ready, console| {
        let translation = ready.translation(console)?;
        let trials = request.map(|request| run_trials(&ready.job, &translation, request, console));
        Ok((translation, trials))
    });
    let views = worked
        .done
        .iter()
        .map(|(ready, (translation, trials))| TranslateView {
            asked: report::Asked {
                all: args.all,
                more: "",
            },
            job: &ready.job,
            translation,
            manual: ready.findings.view(),
            trials: request
                .zip(trials.as_ref())
                .map(|(request, found)| TrialsView {
                    found,
                    seed: request.seed,
                }),
            diagnostics: &ready.diagnostics,
        });
    let report = Report::translation(views.collect());
    // The page says why a row has no answer.
    let found = |_: &Job, (translation, _): &(Translation, _)| Exit::of(translation);
    worked.deliver(&report, &args.output, found, console)
}

/// The translation alone, for its bench meters: readings of the job are left out.
fn unread(ready: &ResolvedJob, console: &mut Console) -> Result<Comparison, Exit> {
    Ok(Comparison {
        translation: ready.translation(console)?,
        readings: Vec::new(),
    })
}

/// Trials of a translation, with a progress bar on a terminal.
pub(crate) fn run_trials(
    job: &Job,
    translation: &Translation,
    request: TrialsRequest,
    console: &Console,
) -> TranslationTrials {
    let bar = Bar::new("trials", request.most_trials, console.watched);
    let progress = |done: usize| bar.show(done);
    let found = translation_trials(job, translation, request, Some(&progress));
    bar.clear();
    found
}
