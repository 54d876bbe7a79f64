//! Rows that are no direct volts, in a document: values in the SI unit of their quantity.

use circuit::{Job, Shown};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{Comparison, QuantityPoint, QuantityRemark, QuantitySide, Said, Translation};

use super::finite;
use super::point::limits;
use crate::places::settings_words;
use crate::quantity::reason_words;

/// One row.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct QuantityRecord<'a> {
    /// The manual's own label.
    point: &'a str,
    /// Where the red probe goes, as written.
    at: &'a str,
    /// Where the black probe goes.
    against: &'a str,
    /// What is measured.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["ac V", "ohm", "dc mA"])))]
    quantity: &'static str,
    /// The printed value or limit, in the SI unit of the quantity.
    printed: Option<f64>,
    /// What is printed.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["value", "more than", "less than", "nothing"])))]
    printed_is: &'static str,
    /// The meter that the manual's alternating volts were read with; null for other quantities.
    manual_meter: Option<&'a str>,
    /// Full scale of its range, volts; null for other quantities.
    manual_range: Option<f64>,
    /// Whether that range was assumed because the manual states none.
    manual_range_assumed: Option<bool>,
    /// What the drawing says through the manual's meter; null for an open circuit or where nothing
    /// is drawn.
    drawing: Option<f64>,
    /// Its standard deviation through the spread of the parts.
    drawing_standard_uncertainty: Option<f64>,
    /// How far the printed value lies from the drawing's, in standard deviations.
    sigmas: Option<f64>,
    /// Each bench meter's side.
    bench: Vec<SideRecord<'a>>,
    /// What ought to be said beside the numbers, in key words.
    remarks: Vec<&'static str>,
    /// Why nothing is said of it; null if something is.
    not_translated: Option<String>,
}

/// What one bench meter should show.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct SideRecord<'a> {
    /// The bench meter.
    meter: &'a str,
    /// Full scale of its range in the unit of the quantity; of a pointer ohmmeter the ohms at half
    /// scale.
    range: Option<f64>,
    /// Its own resistance on that range, ohms.
    range_ohms: Option<f64>,
    /// What it should show, in the unit of the quantity; null for an open circuit or where nothing
    /// is known.
    expected: Option<f64>,
    /// Whether it should show an open circuit: more than it can show.
    open: bool,
    /// What it should show with its leads exchanged, where that differs.
    leads_exchanged: Option<f64>,
    /// Limits of what a healthy set may show; an open side is null.
    band: [Option<f64>; 2],
    /// Combined standard uncertainty of the comparison.
    standard_uncertainty: Option<f64>,
    /// Coverage factor for 95 %.
    coverage_factor: Option<f64>,
    /// Expanded uncertainty, 95 %.
    uncertainty: Option<f64>,
}

/// One reading of such a row.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct QuantityReading<'a> {
    /// The manual's own label.
    point: &'a str,
    /// Where the red probe goes, as written.
    at: &'a str,
    /// Where the black probe goes.
    against: &'a str,
    /// How the controls stood and what was out or replaced, in a sentence. Empty where all was as
    /// drawn.
    setting: String,
    /// What was measured.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["ac V", "ohm", "dc mA"])))]
    quantity: &'static str,
    /// What stood on the meter, in the SI unit of the quantity; null for an overrange.
    value: Option<f64>,
    /// Whether the meter showed more than it can.
    overrange: bool,
    /// Which set was measured.
    set: &'a str,
    /// When, as written.
    date: &'a str,
    /// Free text.
    note: &'a str,
    #[serde(flatten)]
    side: SideRecord<'a>,
    /// Reading less expected value over the expected value, in percent.
    deviation_percent: Option<f64>,
    /// The verdict.
    verdict: &'static str,
    /// Probability that the point lies inside the band.
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
    let row = job.row(point.row);
    let carried = point.outcome.as_ref().ok();
    let (printed, printed_is) = match carried.map(|carried| carried.said) {
        Some(Said::Value(value)) => (finite(value), "value"),
        Some(Said::MoreThan(limit)) => (finite(limit), "more than"),
        Some(Said::LessThan(limit)) => (finite(limit), "less than"),
        Some(Said::Nothing) | None => (None, "nothing"),
    };
    let drawn = carried.and_then(|carried| carried.drawn);
    let on = carried.and_then(|carried| carried.manual_range);
    QuantityRecord {
        point: row.point,
        at: row.at,
        against: row.against,
        quantity: point.quantity.name(),
        printed,
        printed_is,
        manual_meter: on
            .and(row.figure.and(row.meter))
            .map(|meter| meter.name.as_str()),
        manual_range: on.and_then(|on| finite(on.range.full_scale)),
        manual_range_assumed: on.map(|on| on.assumed),
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
        QuantityRemark::NoCurrent => "no_current",
        QuantityRemark::Polarity => "polarity",
        QuantityRemark::Charging => "charging",
        QuantityRemark::BeyondRange => "beyond_range",
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
            let row = job.row(point.row);
            Some(QuantityReading {
                point: row.point,
                at: row.at,
                against: row.against,
                setting: settings_words(job, row.settings),
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
