//! Rows that are no direct volts, in a document: values in the SI unit of their quantity.

use circuit::{Job, Shown};
use serde::Serialize;
use translate::{Comparison, QuantityPoint, QuantityRemark, QuantitySide, Said, Translation};

use super::finite;
use super::point::limits;
use crate::quantity::reason_words;

/// One row.
#[derive(Serialize)]
pub(super) struct QuantityRecord<'a> {
    point: &'a str,
    at: &'a str,
    against: &'a str,
    quantity: &'static str,
    printed: Option<f64>,
    printed_is: &'static str,
    drawing: Option<f64>,
    drawing_standard_uncertainty: Option<f64>,
    sigmas: Option<f64>,
    bench: Vec<SideRecord<'a>>,
    remarks: Vec<&'static str>,
    not_translated: Option<String>,
}

/// What one bench meter should show.
#[derive(Serialize)]
pub(super) struct SideRecord<'a> {
    meter: &'a str,
    range: Option<f64>,
    range_ohms: Option<f64>,
    expected: Option<f64>,
    open: bool,
    leads_exchanged: Option<f64>,
    band: [Option<f64>; 2],
    standard_uncertainty: Option<f64>,
    coverage_factor: Option<f64>,
    uncertainty: Option<f64>,
}

/// One reading of such a row.
#[derive(Serialize)]
pub(super) struct QuantityReading<'a> {
    point: &'a str,
    quantity: &'static str,
    value: Option<f64>,
    overrange: bool,
    set: &'a str,
    date: &'a str,
    note: &'a str,
    #[serde(flatten)]
    side: SideRecord<'a>,
    deviation_percent: Option<f64>,
    verdict: &'static str,
    conformity: Option<f64>,
}

/// Every row of a translation that is no direct volts.
pub(super) fn quantities<'a>(
    job: &'a Job,
    translation: &'a Translation,
) -> Vec<QuantityRecord<'a>> {
    let points = translation.quantities.iter();
    points.map(|point| record(job, point)).collect()
}

fn record<'a>(job: &'a Job, point: &'a QuantityPoint) -> QuantityRecord<'a> {
    let (at, against) = point.row.places(job);
    let carried = point.outcome.as_ref().ok();
    let (printed, printed_is) = match carried.map(|carried| carried.said) {
        Some(Said::Value(value)) => (finite(value), "value"),
        Some(Said::MoreThan(limit)) => (finite(limit), "more than"),
        Some(Said::LessThan(limit)) => (finite(limit), "less than"),
        Some(Said::Nothing) | None => (None, "nothing"),
    };
    let drawn = carried.and_then(|carried| carried.drawn);
    QuantityRecord {
        point: point.row.label(job),
        at,
        against,
        quantity: point.quantity.name(),
        printed,
        printed_is,
        drawing: drawn.and_then(|drawn| finite(drawn.value)),
        drawing_standard_uncertainty: drawn.and_then(|drawn| finite(drawn.standard)),
        sigmas: carried.and_then(|carried| carried.sigmas).and_then(finite),
        bench: carried.map_or(Vec::new(), |carried| {
            carried.bench.iter().map(side).collect()
        }),
        remarks: carried.map_or(Vec::new(), |carried| {
            carried.remarks.iter().map(remark).collect()
        }),
        not_translated: point.outcome.as_ref().err().map(reason_words),
    }
}

fn side(side: &QuantitySide) -> SideRecord<'_> {
    let of = &side.side;
    let open = of.expected > side.most;
    SideRecord {
        meter: &of.meter,
        range: finite(of.range.full_scale),
        range_ohms: finite(of.input_ohms),
        expected: finite(of.expected).filter(|_| !open),
        open,
        leads_exchanged: side.exchanged.and_then(finite),
        band: limits(of.band),
        standard_uncertainty: finite(of.budget.standard),
        coverage_factor: finite(of.budget.coverage),
        uncertainty: finite(of.budget.expanded()),
    }
}

fn remark(remark: &QuantityRemark) -> &'static str {
    match remark {
        QuantityRemark::DrawnOpen => "drawn_open",
        QuantityRemark::Disagrees => "disagrees",
        QuantityRemark::Polarity => "polarity",
        QuantityRemark::Charging => "charging",
        QuantityRemark::NoFunction => "no_function",
        QuantityRemark::DrawingAlone => "drawing_alone",
        QuantityRemark::LeadsExchanged => "leads_exchanged",
        QuantityRemark::Burden => "burden",
        QuantityRemark::FollowsLine => "follows_line",
        QuantityRemark::NotDriven => "not_driven",
        QuantityRemark::Wave => "wave",
        QuantityRemark::UsualSide => "usual_side",
        QuantityRemark::AssumedLimit => "assumed_limit",
    }
}

/// Every reading that is no direct volts.
pub(super) fn readings<'a>(job: &'a Job, comparison: &'a Comparison) -> Vec<QuantityReading<'a>> {
    let compared = comparison.readings.iter();
    compared
        .filter_map(|compared| {
            let (at, of) = compared.quantity.as_ref()?;
            let point = comparison.translation.quantities.get(*at)?;
            let reading = job.readings.get(compared.reading)?;
            Some(QuantityReading {
                point: point.row.label(job),
                quantity: point.quantity.name(),
                value: match &reading.shown {
                    Shown::Value(figure) => finite(figure.value),
                    Shown::Overrange => None,
                },
                overrange: reading.shown == Shown::Overrange,
                set: &reading.set,
                date: &reading.date,
                note: &reading.note,
                side: side(of),
                deviation_percent: compared.deviation.and_then(|share| finite(share * 100.0)),
                verdict: compared.judgement.verdict.word(),
                conformity: compared.judgement.conformity.and_then(finite),
            })
        })
        .collect()
}
