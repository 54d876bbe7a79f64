//! `compare`: bench readings against the manual.

use circuit::Job;
use report::{compare_report, CompareView};
use translate::{compare, Comparison};

use crate::args::CompareArgs;
use crate::command::explain::{self, Asked};
use crate::command::{deliver, unsolved, work_on};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;

pub(crate) fn run(args: &CompareArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        readings: &args.readings,
        rails_as_read: args.rails_as_read,
        ..Instead::default()
    };
    if let Some(point) = &args.explain {
        let asked = Asked {
            jobs: &args.jobs,
            instead,
            point,
            output: &args.output,
        };
        return explain::run(&asked, console, compared);
    }
    let worked = work_on(&args.jobs, &instead, console, compared);
    if worked.done.is_empty() {
        return worked.exit;
    }
    let views: Vec<CompareView> = worked
        .done
        .iter()
        .map(|(ready, comparison)| CompareView {
            job: &ready.job,
            comparison,
            manual: ready.findings.view(),
            diagnostics: &ready.diagnostics,
        })
        .collect();
    let paper = paper(&args.output, console);
    let report = compare_report(&views, args.output.format.format(), paper);
    let delivered = deliver(report, &args.output, &worked.own, console);
    let flagged = worked.done.iter().any(|(_, found)| is_flagged(found));
    let found = if flagged { Exit::Flagged } else { Exit::Done };
    worked.exit.worse(found).worse(delivered)
}

fn compared(job: &Job, console: &mut Console) -> Result<Comparison, Exit> {
    if job.readings.is_empty() {
        console.complain(&format!(
            "error: {} has no readings to compare\n\
             help: write them to readings.csv, or name a file with --readings\n",
            job.folder
        ));
        return Err(Exit::BadInput);
    }
    compare(job).map_err(|error| unsolved(job, &error, console))
}

fn is_flagged(comparison: &Comparison) -> bool {
    comparison
        .readings
        .iter()
        .any(|reading| reading.judgement.is_finding())
}
