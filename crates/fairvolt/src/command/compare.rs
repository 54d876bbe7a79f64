//! `compare`: bench readings against the manual.

use report::{compare_report, CompareView};
use translate::{compare, Comparison, Verdict};

use crate::args::CompareArgs;
use crate::command::{deliver, ready, unsolved, ReadyJob};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::paper;

pub(crate) fn run(args: &CompareArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        readings: &args.readings,
        ..Instead::default()
    };
    let mut exit = Exit::Done;
    let mut done: Vec<(ReadyJob, Comparison)> = Vec::new();
    for folder in &args.jobs {
        match ready(folder, &instead, console) {
            Err(fault) => exit = exit.worse(fault),
            Ok(ready) if ready.job.readings.is_empty() => {
                console.complain(&format!(
                    "error: {} has no readings to compare\n\
                     help: write them to readings.csv, or name a file with --readings\n",
                    ready.job.folder
                ));
                exit = exit.worse(Exit::BadInput);
            }
            Ok(ready) => match compare(&ready.job) {
                Ok(comparison) => done.push((ready, comparison)),
                Err(error) => exit = exit.worse(unsolved(&ready.job, &error, console)),
            },
        }
    }
    if done.is_empty() {
        return exit;
    }
    let views: Vec<CompareView> = done
        .iter()
        .map(|(ready, comparison)| CompareView {
            job: &ready.job,
            comparison,
            diagnostics: &ready.diagnostics,
        })
        .collect();
    let own: Vec<_> = done
        .iter()
        .flat_map(|(ready, _)| ready.files.clone())
        .collect();
    let report = compare_report(
        &views,
        args.output.format.format(),
        paper(&args.output, console),
    );
    let flagged = done.iter().any(|(_, comparison)| is_flagged(comparison));
    exit.worse(if flagged { Exit::Flagged } else { Exit::Done })
        .worse(deliver(report, &args.output, &own, console))
}

fn is_flagged(comparison: &Comparison) -> bool {
    comparison
        .readings
        .iter()
        .any(|reading| reading.verdict == Verdict::Outside)
}
