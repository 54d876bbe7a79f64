//! `worksheet`: the sheet to take to the bench.

use report::{worksheet_report, WorksheetView};
use translate::{compare, hazards};

use crate::args::WorksheetArgs;
use crate::command::{deliver, settled, unsolved};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;

pub(crate) fn run(args: &WorksheetArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        readings: &args.readings,
        ..Instead::default()
    };
    let mut own = Vec::new();
    let ready = match settled(&args.job, &instead, &mut own, console) {
        Ok(ready) => ready,
        Err(fault) => return fault,
    };
    let comparison = match compare(&ready.job) {
        Ok(comparison) => comparison,
        Err(error) => return unsolved(&ready.job, &error, console),
    };
    let hazards = hazards(&ready.job);
    let view = WorksheetView {
        job: &ready.job,
        comparison: &comparison,
        hazards: &hazards,
        manual: ready.findings.view(),
        diagnostics: &ready.diagnostics,
    };
    let report = worksheet_report(
        &[view],
        args.output.format.format(),
        paper(&args.output, console),
    );
    deliver(report, &args.output, &own, console)
}
