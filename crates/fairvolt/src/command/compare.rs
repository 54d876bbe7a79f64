//! `compare`: bench readings against the manual.

use circuit::Job;
use report::{CompareView, Report};
use translate::Comparison;

use crate::args::CompareArgs;
use crate::command::explain::{self, Asked};
use crate::command::{is_flagged, retyped};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{work_on, Instead, ResolvedJob};

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
    let more = retyped(&args.readings);
    let views = worked.done.iter().map(|(ready, comparison)| CompareView {
        asked: report::Asked {
            all: args.all,
            more: &more,
        },
        job: &ready.job,
        comparison,
        manual: ready.findings.view(),
        diagnostics: &ready.diagnostics,
    });
    let report = match args.summary {
        true => Report::summary(views.collect()),
        false => Report::comparison(views.collect()),
    };
    let found = |job: &Job, found: &Comparison| {
        Exit::flagged(is_flagged(job, found, None)).worse(Exit::of(&found.translation))
    };
    worked.deliver(&report, &args.output, found, console)
}

fn compared(ready: &ResolvedJob, console: &mut Console) -> Result<Comparison, Exit> {
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
