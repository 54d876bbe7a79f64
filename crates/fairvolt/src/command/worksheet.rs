//! `worksheet`: the sheet to take to the bench, or the manual's own table for another meter.

use std::path::PathBuf;

use circuit::Job;
use diagnose::{hazards, SuspectOptions, Suspects};
use report::{
    chart_page, chart_report, sockets_page, sockets_picture, sockets_report, worksheet_page,
    worksheet_report, ChartView, Page, ReportError, WorksheetView,
};
use translate::{translate, Comparison};

use crate::args::{FormatArg, OutputArgs, SheetKind, WorksheetArgs};
use crate::command::{deliver, settled, suspects, unsolved};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::Instead;
use crate::output::{paper, write_bytes};

/// The meter of a chart where none is named.
const CHART_METER: &str = "10M";

pub(crate) fn run(args: &WorksheetArgs, console: &mut Console) -> Exit {
    let kind = args.kind();
    if let SheetKind::Pages(Page::Pdf(_), output) = &kind {
        if output.output.is_none() && console.at_terminal {
            console.complain(
                "error: a PDF file is no text and would garble the terminal\n\
                 help: name a file after -o, or send the output to a file or a program\n",
            );
            return Exit::BadInput;
        }
    }
    if let (SheetKind::Picture(_), false) = (&kind, args.sockets) {
        console.complain(
            "error: a sheet is no single picture\n\
             help: with --sockets the sockets are drawn as one; 'fairvolt compare JOB --format svg'\n      \
             draws the readings\n",
        );
        return Exit::BadInput;
    }
    if let (
        SheetKind::Text(OutputArgs {
            format: FormatArg::Json,
            ..
        }),
        true,
    ) = (&kind, args.sockets)
    {
        console.complain(
            "error: sockets are not written as JSON\n\
             help: 'fairvolt worksheet JOB --format json' holds the same values\n",
        );
        return Exit::BadInput;
    }
    match args.chart {
        true => chart(args, &kind, console),
        false => sheet(args, &kind, console),
    }
}

fn sheet(args: &WorksheetArgs, kind: &SheetKind, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        readings: &args.readings,
        rails_as_read: args.rails_as_read,
    };
    let mut own = Vec::new();
    let ready = match settled(&args.job, &instead, &mut own, console) {
        Ok(ready) => ready,
        Err(fault) => return fault,
    };
    let comparison = match ready.comparison(console) {
        Ok(comparison) => comparison,
        Err(fault) => return fault,
    };
    let hazards = hazards(&comparison.translation.reconciled);
    let suspects = suspected(&ready.job, &comparison);
    let view = WorksheetView {
        job: &ready.job,
        comparison: &comparison,
        hazards: &hazards,
        manual: ready.findings.view(),
        suspects: suspects.as_ref(),
        diagnostics: &ready.diagnostics,
    };
    let delivered = match kind {
        SheetKind::Text(output) => {
            let (paper, format) = (paper(output, console), output.format.format());
            let report = match args.sockets {
                true => sockets_report(&view, format, paper),
                false => worksheet_report(&[view], format, paper),
            };
            deliver(report, output, &own, console)
        }
        SheetKind::Picture(output) => deliver(Ok(sockets_picture(&view)), output, &own, console),
        SheetKind::Pages(page, output) if args.sockets => {
            deliver_pages(sockets_page(&view, *page), output, &own, console)
        }
        SheetKind::Pages(page, output) => {
            deliver_pages(worksheet_page(&view, *page), output, &own, console)
        }
    };
    ready.exit.worse(delivered)
}

/// The suspects by the readings so far. A sheet without them is as good as one before the first
/// reading, so that what keeps them from being told is left to `suspects` to say.
fn suspected(job: &Job, comparison: &Comparison) -> Option<Suspects> {
    if job.readings.is_empty() {
        return None;
    }
    suspects::of_job(job, comparison, SuspectOptions::default()).ok()
}

/// The chart is kept with the manual: it holds for the manual's own line voltage and for no
/// particular set.
fn chart(args: &WorksheetArgs, kind: &SheetKind, console: &mut Console) -> Exit {
    if let SheetKind::Text(OutputArgs {
        format: FormatArg::Json,
        ..
    }) = kind
    {
        console.complain(
            "error: a chart is not written as JSON\n\
             help: 'fairvolt translate JOB -m METER --format json' holds the same values\n",
        );
        return Exit::BadInput;
    }
    let usual = [CHART_METER.to_owned()];
    let instead = Instead {
        meters: match args.meters.is_empty() {
            true => &usual,
            false => &args.meters,
        },
        ..Instead::default()
    };
    let mut own = Vec::new();
    let mut ready = match settled(&args.job, &instead, &mut own, console) {
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
    let delivered = match kind {
        SheetKind::Text(output) => {
            let paper = paper(output, console);
            let report = chart_report(&view, output.format.format(), paper);
            deliver(report, output, &own, console)
        }
        // Refused before: a chart has no sockets.
        SheetKind::Picture(_) => Exit::BadInput,
        SheetKind::Pages(page, output) => {
            deliver_pages(chart_page(&view, *page), output, &own, console)
        }
    };
    ready.exit.worse(delivered)
}

/// Writes a file with pages, or says why there is none.
fn deliver_pages(
    file: Result<Vec<u8>, ReportError>,
    output: &OutputArgs,
    own: &[PathBuf],
    console: &mut Console,
) -> Exit {
    match file {
        Ok(bytes) => write_bytes(&bytes, output, own, console),
        Err(error) => {
            console.complain(&format!("error: {error}\n"));
            Exit::NotWritten
        }
    }
}
