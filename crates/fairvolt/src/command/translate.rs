//! `translate`: the manual's table for the meter on the bench.

use report::{translate_report, TranslateView};
use translate::{translate, Translation};

use crate::args::TranslateArgs;
use crate::command::{deliver, ready, unsolved, ReadyJob};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;

pub(crate) fn run(args: &TranslateArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        ..Instead::default()
    };
    let mut exit = Exit::Done;
    let mut done: Vec<(ReadyJob, Translation)> = Vec::new();
    for folder in &args.jobs {
        match ready(folder, &instead, console) {
            Err(fault) => exit = exit.worse(fault),
            Ok(ready) => match translate(&ready.job) {
                Ok(translation) => done.push((ready, translation)),
                Err(error) => exit = exit.worse(unsolved(&ready.job, &error, console)),
            },
        }
    }
    if done.is_empty() {
        return exit;
    }
    let views: Vec<TranslateView> = done
        .iter()
        .map(|(ready, translation)| TranslateView {
            job: &ready.job,
            translation,
            diagnostics: &ready.diagnostics,
        })
        .collect();
    let own: Vec<_> = done
        .iter()
        .flat_map(|(ready, _)| ready.files.clone())
        .collect();
    let report = translate_report(
        &views,
        args.output.format.format(),
        paper(&args.output, console),
    );
    exit.worse(deliver(report, &args.output, &own, console))
}
