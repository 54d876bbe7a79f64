//! `curve`: the reading of one point over the resistance of the meter.

use circuit::Job;
use report::{hint, reason_words, CurveView, Report};
use translate::{
    curve_resistances, reading_curve, side_of, BenchSide, Carried, CurveSample, NotCarried,
    Translation,
};

use crate::args::CurveArgs;
use crate::command::deliver;
use crate::command::explain::{entry, unknown};
use crate::console::Console;
use crate::exit::Exit;
use crate::job_folder::{resolved, Instead, ResolvedJob};

/// Samples of a curve: two for each column of the plot, and smooth on paper.
const SAMPLES: usize = 145;

pub(crate) fn run(args: &CurveArgs, console: &mut Console) -> Exit {
    let instead = Instead {
        meters: &args.meters,
        readings: &args.readings,
        ..Instead::default()
    };
    let mut own = Vec::new();
    let ready = match resolved(&args.job, &instead, &mut own, console) {
        Ok(ready) => ready,
        Err(exit) => return exit,
    };
    let write = |report: &Report<'_>, console: &mut Console| {
        let delivered = deliver(report, args.output.format(), &args.output, &own, console);
        ready.exit.worse(delivered)
    };
    if args.reconciled {
        let drawn = reconciled_entries(&ready, &args.points, console);
        return match drawn {
            Ok((translation, entries)) => write(
                &Report::reconciled(&ready.job, &translation, entries),
                console,
            ),
            Err(exit) => exit,
        };
    }
    let [point] = args.points.as_slice() else {
        console.complain(
            "error: a curve is of one point\n\
             help: name one, or draw several with --reconciled --format svg\n",
        );
        return Exit::BadInput;
    };
    let drawn = match drawn(&ready, point, console) {
        Ok(drawn) => drawn,
        Err(exit) => return exit,
    };
    let view = CurveView {
        job: &ready.job,
        entry: drawn.entry,
        carried: &drawn.carried,
        samples: &drawn.samples,
        unloaded: drawn.unloaded,
        classes: &drawn.classes,
        diagnostics: &ready.diagnostics,
    };
    let report = Report::curve(view);
    write(&report, console)
}

/// The translation, and the entries of some points that are translated.
fn reconciled_entries(
    ready: &ResolvedJob,
    points: &[String],
    console: &mut Console,
) -> Result<(Translation, Vec<usize>), Exit> {
    let job = &ready.job;
    let translation = ready.translation(console)?;
    let mut entries = Vec::new();
    for point in points {
        let index = entry(job, point).ok_or_else(|| unknown(job, point, console))?;
        let outcome = translation
            .points
            .iter()
            .find(|outcome| outcome.entry == index);
        if let Some(Err(reason)) = outcome.map(|outcome| &outcome.outcome) {
            return Err(not_carried(job, point, reason, console));
        }
        entries.push(index);
    }
    Ok((translation, entries))
}

/// One point, and its curve.
struct Drawn {
    entry: usize,
    carried: Carried,
    samples: Vec<CurveSample>,
    unloaded: Option<f64>,
    classes: Vec<BenchSide>,
}

fn drawn(ready: &ResolvedJob, point: &str, console: &mut Console) -> Result<Drawn, Exit> {
    let job = &ready.job;
    let entry = entry(job, point).ok_or_else(|| unknown(job, point, console))?;
    let translation = ready.translation(console)?;
    let outcome = translation
        .points
        .into_iter()
        .find(|outcome| outcome.entry == entry)
        .ok_or_else(|| unknown(job, point, console))?;
    let carried = outcome
        .outcome
        .map_err(|reason| not_carried(job, point, &reason, console))?;
    // A class with which the circuit finds no state is left out; the curve has a gap there.
    let classes: Vec<BenchSide> = job
        .meter_classes()
        .iter()
        .filter_map(|meter| side_of(job, entry, &carried, meter).ok().flatten())
        .collect();
    let samples = reading_curve(&carried, &curve_resistances(&carried, &classes, SAMPLES));
    let unloaded = reading_curve(&carried, &[f64::INFINITY]);
    Ok(Drawn {
        entry,
        unloaded: unloaded.first().and_then(|sample| sample.volts),
        carried,
        samples,
        classes,
    })
}

/// Says why a point has no curve.
fn not_carried(job: &Job, point: &str, reason: &NotCarried, console: &mut Console) -> Exit {
    console.complain(&format!(
        "error: {}: point {} is not translated, so it has no curve: {}\n",
        job.folder,
        point.trim(),
        reason_words(reason)
    ));
    if let Some(hint) = hint(job, reason) {
        console.complain(&format!("help: {hint}\n"));
    }
    match reason {
        NotCarried::Quantity(_)
        | NotCarried::UnknownMeter
        | NotCarried::NotDrawn
        | NotCarried::Floating
        | NotCarried::OnOneNode => Exit::BadInput,
        NotCarried::Unsolved(_) | NotCarried::NoState(_) => Exit::Unsolved,
    }
}
