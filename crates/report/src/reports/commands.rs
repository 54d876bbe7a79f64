//! The report of each command: which of its views makes which format.

use std::rc::Rc;

use circuit::Job;
use translate::Translation;

use super::Report;
use crate::devices::{self, DeviceView};
use crate::format::Format;
use crate::imitate::{self, ImitateView};
use crate::pictures::{
    curve_picture, probes_pictures, reconciled_picture, strip_picture, strip_pictures,
    suspects_picture,
};
use crate::unload::{self, UnloadView};
use crate::views::{
    Asked, ChartView, CheckView, CompareView, CurveView, ExplainView, MeterListing, SuspectsView,
    TranslateView, WorksheetView,
};
use crate::{
    check_rows, check_table, compare, curve, explain, json, meters_table, reissued_manual, sockets,
    suspects, translate_rows, translate_table, worksheet,
};

impl<'a> Report<'a> {
    /// The manual of each job, carried over to the bench meters.
    #[must_use]
    pub fn translation(jobs: Vec<TranslateView<'a>>) -> Self {
        let jobs = Rc::new(jobs);
        let report = Report::of(
            "a translation",
            &jobs,
            translate_table::blocks,
            translate_rows::csv,
        );
        report.json(move || json::translate(&jobs))
    }

    /// What the value of one point of each job is judged by, input by input.
    #[must_use]
    pub fn explanation(jobs: Vec<ExplainView<'a>>) -> Self {
        let jobs = Rc::new(jobs);
        let report = Report::of("an explanation", &jobs, explain::blocks, explain::csv);
        report
            .or("ask for another format, or leave out --explain")
            .json(move || json::explain(&jobs))
    }

    /// The bench readings of each job, compared; of one job as a picture too.
    #[must_use]
    pub fn comparison(jobs: Vec<CompareView<'a>>) -> Self {
        let jobs = Rc::new(jobs);
        let report = Report::of("a comparison", &jobs, compare::blocks, compare::csv);
        let drawn = Rc::clone(&jobs);
        match jobs.as_slice() {
            [_] => report.picture(move || drawn.first().and_then(strip_picture)),
            _ => report.or("name one job folder: a picture shows one"),
        }
        .json(move || json::compare(&jobs))
    }

    /// How many readings of each set pass, a line a set and date.
    #[must_use]
    pub fn summary(jobs: Vec<CompareView<'a>>) -> Self {
        let jobs = Rc::new(jobs);
        let told = Rc::clone(&jobs);
        let help = "'fairvolt compare JOB' without --summary shows every reading";
        Report::new("a summary", help)
            .blocks(move |_| vec![compare::summary_blocks(&told)])
            .rows(move || compare::summary_csv(&jobs))
    }

    /// What was read of each job, and the manual beside the circuit's own prediction. At a terminal
    /// the faults are counted only, for the caller shows them with their places.
    #[must_use]
    pub fn check(jobs: Vec<CheckView<'a>>) -> Self {
        let jobs = Rc::new(jobs);
        let (told, listed) = (Rc::clone(&jobs), Rc::clone(&jobs));
        let blocks = move |format| {
            let blocks = |job: &CheckView<'_>| {
                let mut blocks = check_table::blocks(job);
                if format != Format::Table {
                    blocks.extend(check_table::fault_list(job.diagnostics));
                }
                blocks
            };
            told.iter().map(blocks).collect()
        };
        Report::new("a check", "ask for another format")
            .blocks(blocks)
            .rows(move || check_rows::csv(&listed))
            .json(move || json::check(&jobs))
    }

    /// What may be wrong with each set, or what one suspect predicts; of one job, with its translation, as a
    /// picture too.
    #[must_use]
    pub fn suspects(jobs: Vec<SuspectsView<'a>>, translation: Option<&'a Translation>) -> Self {
        let jobs = Rc::new(jobs);
        let blocks = |job: &SuspectsView<'_>| match job.explain {
            Some(asked) => suspects::explain_blocks(job, asked),
            None => suspects::blocks(job),
        };
        let report = Report::of("a list of suspects", &jobs, blocks, suspects::csv);
        let drawn = Rc::clone(&jobs);
        match (jobs.as_slice(), translation) {
            ([_], Some(translation)) => report.picture(move || {
                let job = drawn.first()?;
                suspects_picture(job, translation)
            }),
            _ => report.or("name one job folder: a picture shows one"),
        }
        .json(move || json::suspects(&jobs))
    }

    /// The sheet of a job to take to the bench.
    #[must_use]
    pub fn worksheet(job: WorksheetView<'a>) -> Self {
        let help = "with --sockets the sockets are drawn as one picture; 'fairvolt compare JOB --format svg'\n      \
                    draws the readings";
        Report::new("a sheet", help)
            .blocks(move |_| vec![worksheet::blocks(&job, worksheet::Pictures::default())])
            .rows(move || worksheet::csv(&[job]))
            .json(move || json::worksheet(&[job]))
            .pages(move || worksheet::document(&job, pictures(&job)))
    }

    /// What each pin of a job's sockets should show and what was read there; drawn as seen from below.
    #[must_use]
    pub fn sockets(job: WorksheetView<'a>) -> Self {
        let help = "'fairvolt worksheet JOB --format json' holds the same values";
        Report::new("a list of sockets", help)
            .blocks(move |_| vec![sockets::blocks(&job)])
            .rows(move || sockets::csv(&job))
            .pages(move || sockets::document(&job))
            .picture(move || sockets::picture(&job))
    }

    /// The manual's table and socket chart, reissued for the bench meters.
    #[must_use]
    pub fn chart(job: ChartView<'a>) -> Self {
        let help = "'fairvolt translate JOB -m METER --format json' holds the same values";
        Report::new("a chart", help)
            .blocks(move |_| vec![reissued_manual::blocks(&job)])
            .rows(move || reissued_manual::csv(&job))
            .pages(move || reissued_manual::document(&job))
    }

    /// One point's reading over the resistance of the meter.
    #[must_use]
    pub fn curve(point: CurveView<'a>) -> Self {
        Report::new("a curve", "ask for another format")
            .blocks(move |_| vec![curve::blocks(&point)])
            .rows(move || curve::csv(&point))
            .json(move || json::curve(&point))
            .pages(move || curve::document(&point))
            .picture(move || curve_picture(&point))
    }

    /// The values by the manual alone, by the drawing alone, and reconciled, for these entries of a job's manual.
    #[must_use]
    pub fn reconciled(job: &'a Job, translation: &'a Translation, entries: Vec<usize>) -> Self {
        let help = "add --format svg; 'fairvolt translate JOB --explain POINT' shows the figures";
        Report::new("the picture of --reconciled", help)
            .picture(move || reconciled_picture(job, translation, &entries))
    }

    /// The meters that can be named.
    #[must_use]
    pub fn meters(meters: Vec<MeterListing<'a>>) -> Self {
        let meters = Rc::new(meters);
        let (told, listed) = (Rc::clone(&meters), Rc::clone(&meters));
        Report::new("a list of meters", "ask for another format")
            .blocks(move |_| vec![meters_table::blocks(&told)])
            .rows(move || meters_table::csv(&listed))
            .json(move || json::meters(&meters))
    }

    /// Everything that is built in, a line each.
    #[must_use]
    pub fn devices(devices: Vec<DeviceView<'a>>) -> Self {
        let devices = Rc::new(devices);
        let (told, listed) = (Rc::clone(&devices), Rc::clone(&devices));
        Report::new("a list of devices", "ask for another format")
            .blocks(move |_| vec![devices::list_blocks(&told)])
            .rows(move || devices::list_csv(&listed))
            .json(move || json::devices(&devices))
    }

    /// One device with its pins, parameters and sources.
    #[must_use]
    pub fn device(device: DeviceView<'a>) -> Self {
        let device = Rc::new(device);
        let (told, listed) = (Rc::clone(&device), Rc::clone(&device));
        Report::new("a device", "ask for another format")
            .blocks(move |_| vec![devices::page_blocks(&told)])
            .rows(move || devices::page_csv(&listed))
            .json(move || json::devices(std::slice::from_ref(&*device)))
    }

    /// Source resistance and true volts from readings of one point.
    #[must_use]
    pub fn unload(view: UnloadView<'a>) -> Self {
        let view = Rc::new(view);
        let (told, listed) = (Rc::clone(&view), Rc::clone(&view));
        Report::new("an unloaded point", "ask for another format")
            .blocks(move |_| vec![unload::blocks(&told)])
            .rows(move || unload::csv(&listed))
            .json(move || json::unload(&view))
    }

    /// The resistor that makes one meter load like another.
    #[must_use]
    pub fn imitate(view: ImitateView<'a>) -> Self {
        let view = Rc::new(view);
        let (told, listed) = (Rc::clone(&view), Rc::clone(&view));
        Report::new("an imitated meter", "ask for another format")
            .blocks(move |_| vec![imitate::blocks(&told)])
            .rows(move || imitate::csv(&listed))
            .json(move || json::imitate(&view))
    }
}

/// Whether a checked job has something to be looked at: a doubted value, or a manual that
/// disagrees with its drawing as a whole.
pub fn check_flagged(view: &CheckView<'_>) -> bool {
    check_table::flagged(view)
}

/// The pictures of a sheet.
fn pictures(job: &WorksheetView<'_>) -> worksheet::Pictures {
    let readings = strip_pictures(&CompareView {
        asked: Asked::default(),
        job: job.job,
        comparison: job.comparison,
        manual: job.manual,
        diagnostics: job.diagnostics,
    });
    let translation = &job.comparison.translation;
    let probes = job
        .suspects
        .map(|found| probes_pictures(job.job, found, translation));
    worksheet::Pictures {
        readings: readings.into_iter().collect(),
        probes: probes.unwrap_or_default(),
        sockets: sockets::pictures(job),
    }
}
