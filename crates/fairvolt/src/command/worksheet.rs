//! `worksheet`: the sheet to take to the bench, or the manual's own table for another meter.

use std::time::{Duration, Instant};

use circuit::Job;
use diagnose::{GoOn, Hazards, SuspectOptions, Suspects};
use report::{ChartView, Report, WorksheetView};
use translate::{translate, Comparison};

use crate::args::WorksheetArgs;
use crate::command::{deliver, suspects};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{resolved, Instead};
use crate::unsolved::unsolved;

/// Time limit of the ranking for a sheet, where it is only an extra.
const LIMIT: Duration = Duration::from_secs(10);

/// The meter of a chart where none is named.
const CHART_METER: &str = "10M";

pub(crate) fn run(args: &WorksheetArgs, console: &mut Console) -> Exit {
    match args.chart {
        true => chart(args, console),
        false => sheet(args, console),
    }
}

fn sheet(args: &WorksheetArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        readings: &args.readings,
        rails_as_read: args.rails_as_read,
    };
    let mut own = Vec::new();
    let ready = match resolved(&args.job, &instead, &mut own, console) {
        Ok(ready) => ready,
        Err(fault) => return fault,
    };
    let comparison = match ready.comparison(console) {
        Ok(comparison) => comparison,
        Err(fault) => return fault,
    };
    let hazards = Hazards::of(&comparison.translation);
    let start = Instant::now();
    let suspects = suspected(&ready.job, &comparison, &|_, _| start.elapsed() < LIMIT);
    let (suspects, too_long) = match suspects {
        Some(found) => (found, None),
        None => (None, Some(LIMIT.as_secs())),
    };
    let view = WorksheetView {
        job: &ready.job,
        comparison: &comparison,
        hazards: &hazards,
        manual: ready.findings.view(),
        suspects: suspects.as_ref(),
        too_long,
        diagnostics: &ready.diagnostics,
    };
    let report = match args.sockets {
        true => Report::sockets(view),
        false => Report::worksheet(view),
    };
    let format = args.output.format_on(args.paper);
    ready
        .exit
        .worse(deliver(&report, format, &args.output, &own, console))
}

/// The suspects by the readings so far. A sheet without them is as useful as one before the first
/// reading. So an error of the ranking is not reported here; `suspects` reports it. None if the
/// ranking takes too long.
fn suspected(job: &Job, comparison: &Comparison, go_on: GoOn<'_>) -> Option<Option<Suspects>> {
    if job.readings.is_empty() {
        return Some(None);
    }
    match suspects::of_job(job, comparison, SuspectOptions::default(), go_on) {
        Ok(Some(found)) => Some(Some(found)),
        Ok(None) => None,
        Err(_) => Some(None),
    }
}

/// The chart is kept with the manual: it holds for the manual's own line voltage and for no
/// particular set.
fn chart(args: &WorksheetArgs, console: &mut Console) -> Exit {
    let usual = [CHART_METER.to_owned()];
    let instead = Instead {
        meters: match args.meters.is_empty() {
            true => &usual,
            false => &args.meters,
        },
        ..Instead::default()
    };
    let mut own = Vec::new();
    let mut ready = match resolved(&args.job, &instead, &mut own, console) {
        Ok(ready) => ready,
        Err(fault) => return fault,
    };
    ready.job.bench.line = None;
    let translation = match translate(&ready.job) {
        Ok(translation) => translation,
        Err(error) => return unsolved(&ready.job, &error, console),
    };
    let view = ChartView {
        job: &ready.job,
        translation: &translation,
        manual: ready.findings.view(),
    };
    let format = args.output.format_on(args.paper);
    let delivered = deliver(&Report::chart(view), format, &args.output, &own, console);
    ready.exit.worse(delivered)
}
