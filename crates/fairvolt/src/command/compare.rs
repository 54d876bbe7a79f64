//! `compare`: bench readings against the manual.

use circuit::Job;
use report::{compare_picture, compare_report, compare_summary, CompareView};
use translate::Comparison;

use crate::args::CompareArgs;
use crate::command::explain::{self, Asked};
use crate::command::{deliver, retyped, work_on, SettledJob};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;
use crate::picture_args::PictureFormatArg;

pub(crate) fn run(args: &CompareArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        readings: &args.readings,
        rails_as_read: args.rails_as_read,
        ..Instead::default()
    };
    if args.summary && args.output.format == PictureFormatArg::Json {
        console.complain(
            "error: a summary is not written as JSON\n\
             help: 'fairvolt compare JOB --format json' holds every reading\n",
        );
        return Exit::BadInput;
    }
    let output = args.output.text();
    if let Err(exit) = one_picture(args, console) {
        return exit;
    }
    if let Some(point) = &args.explain {
        let asked = Asked {
            jobs: &args.jobs,
            instead,
            point,
            output: &output,
        };
        return explain::run(&asked, console, compared);
    }
    let worked = work_on(&args.jobs, &instead, console, compared);
    if worked.done.is_empty() {
        return worked.exit;
    }
    let more = retyped(&args.readings);
    let views: Vec<CompareView> = worked
        .done
        .iter()
        .map(|(ready, comparison)| CompareView {
            asked: report::Asked {
                all: args.all,
                more: &more,
            },
            job: &ready.job,
            comparison,
            manual: ready.findings.view(),
            diagnostics: &ready.diagnostics,
        })
        .collect();
    let paper = paper(&output, console);
    let format = output.format.format();
    let report = match (args.output.is_picture(), views.as_slice()) {
        (true, [view]) => Ok(compare_picture(view)),
        _ if args.summary => compare_summary(&views, format, paper),
        _ => compare_report(&views, format, paper),
    };
    let delivered = deliver(report, &output, &worked.own, console);
    let flagged = worked
        .done
        .iter()
        .any(|(ready, found)| is_flagged(&ready.job, found, None));
    let found = if flagged { Exit::Flagged } else { Exit::Done };
    worked.exit.worse(found).worse(delivered)
}

/// Refuses what has no picture.
fn one_picture(args: &CompareArgs, console: &mut Console) -> Result<(), Exit> {
    let help = match (args.summary, &args.explain, args.jobs.len()) {
        _ if !args.output.is_picture() => return Ok(()),
        (true, _, _) => "ask for another format, or leave --summary away",
        (_, Some(_), _) => "ask for another format, or leave --explain away",
        (_, None, 2..) => "name one job folder",
        _ => return Ok(()),
    };
    console.complain(&format!(
        "error: a picture shows all readings of one job\nhelp: {help}\n"
    ));
    Err(Exit::BadInput)
}

fn compared(ready: &SettledJob, console: &mut Console) -> Result<Comparison, Exit> {
    let job = &ready.job;
    if job.readings.is_empty() {
        console.complain(&format!(
            "error: {} has no readings to compare\n\
             help: write them to readings.csv, or name a file with --readings\n",
            job.folder
        ));
        return Err(Exit::BadInput);
    }
    ready.comparison(console)
}

/// Whether a reading of the set as it is now lies outside its band; of one point of the manual, if
/// one is named. What was read before a repair is on record and flags nothing.
pub(crate) fn is_flagged(job: &Job, comparison: &Comparison, entry: Option<usize>) -> bool {
    let replaced = circuit::replaced(&job.readings);
    comparison.readings.iter().any(|compared| {
        let asked = entry.is_none() || compared.entry == entry;
        asked && compared.judgement.is_finding() && !replaced.contains(&compared.reading)
    })
}
