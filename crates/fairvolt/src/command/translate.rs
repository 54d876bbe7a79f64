//! `translate`: the manual's table for the meter on the bench.

use report::{translate_report, TranslateView};
use translate::translate;

use crate::args::TranslateArgs;
use crate::command::{deliver, unsolved, work_on};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;

pub(crate) fn run(args: &TranslateArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        ..Instead::default()
    };
    let worked = work_on(&args.jobs, &instead, console, |job, console| {
        translate(job).map_err(|error| unsolved(job, &error, console))
    });
    if worked.done.is_empty() {
        return worked.exit;
    }
    let views: Vec<TranslateView> = worked
        .done
        .iter()
        .map(|(ready, translation)| TranslateView {
            job: &ready.job,
            translation,
            diagnostics: &ready.diagnostics,
        })
        .collect();
    let paper = paper(&args.output, console);
    let report = translate_report(&views, args.output.format.format(), paper);
    let delivered = deliver(report, &args.output, &worked.own, console);
    worked.exit.worse(delivered)
}
