//! Finds the meters that `job.toml` names: the manual's, and those on the bench.
//!
//! Names with their places come in; meters go out, and diagnostics for names that mean no meter.

use circuit::Meter;

use crate::diagnostic::Diagnostic;
use crate::meters::{find_manual_meter, find_meter, ManualMeter, MeterNameError};
use crate::settings::{JobSettings, Named};
use crate::table::read_context::{DefaultMeter, ReadContext};
use crate::words::Words;

/// The meter of manual rows that name none.
pub(crate) fn manual_meter(
    settings: &JobSettings,
    context: &ReadContext<'_>,
    out: &mut Vec<Diagnostic>,
) -> DefaultMeter<ManualMeter> {
    match &settings.documented.meter {
        Some(named) => match stated(named, context, find_manual_meter, out) {
            Some(meter) => DefaultMeter::Known(meter),
            None => DefaultMeter::Faulty,
        },
        None => unstated(settings),
    }
}

/// The meters on the bench, and the one of readings that name none.
pub(crate) fn bench_meters(
    settings: &JobSettings,
    context: &ReadContext<'_>,
    out: &mut Vec<Diagnostic>,
) -> (Vec<Meter>, DefaultMeter<Meter>) {
    let meters: Vec<Option<Meter>> = settings
        .bench
        .meters
        .iter()
        .map(|named| stated(named, context, find_meter, out))
        .collect();
    let default = match meters.first() {
        Some(Some(meter)) => DefaultMeter::Known(meter.clone()),
        Some(None) => DefaultMeter::Faulty,
        None => unstated(settings),
    };
    let named = &settings.bench.meters;
    let all_faulty = named.iter().all(|named| context.is_faulty(&named.name));
    let first = named.first().filter(|_| all_faulty);
    if let Some(span) = first.and_then(|first| first.span.as_ref()) {
        let message = "'meter': no meter is left to measure with";
        let help = "mend its section in meters.toml, or name a class such as \"10M\"";
        out.push(Diagnostic::error(span.clone(), message).help(help));
    }
    (meters.into_iter().flatten().collect(), default)
}

/// The meter that `job.toml` names.
fn stated<M>(
    named: &Named,
    context: &ReadContext<'_>,
    find: fn(&str, &[Meter]) -> Result<M, MeterNameError>,
    out: &mut Vec<Diagnostic>,
) -> Option<M> {
    let span = named.span.clone()?;
    let words = Words::keyed(span, &named.name).named("'meter'".to_owned());
    context.meter(&words, find, out).ok()
}

/// A meter that seems to be missing may be in a line of `job.toml` that could not be read.
fn unstated<M>(settings: &JobSettings) -> DefaultMeter<M> {
    if settings.whole {
        DefaultMeter::Missing
    } else {
        DefaultMeter::Faulty
    }
}
