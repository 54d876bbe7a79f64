//! The document of what one value is judged by.

use circuit::Job;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::Input;

use super::kind::Kind;
use super::point::limits;
use super::translate::{AloneRecord, Basis, Doubt};
use super::{finite, of_jobs};
use crate::error::ReportError;
use crate::explain::{accounts, basis, read_volts, Account, Told};
use crate::remarks::reason_words;
use crate::views::ExplainView;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/explain/2",
    commands: "fairvolt translate --explain, compare --explain",
    about: "What the value of one point is judged by.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The manual's own label. Null where the manual lacks it.
    point: Option<&'a str>,
    /// One for each reading of the point; without any, one for each bench meter. Empty where the
    /// point is not translated.
    values: Vec<Value<'a>>,
    /// Why the point is not translated. Null if it is.
    not_translated: Option<String>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Value<'a> {
    /// The bench meter.
    meter: &'a str,
    /// Full scale of its range, volts.
    range: Option<f64>,
    /// What it should show, volts.
    expected: Option<f64>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
    /// What it showed, volts. Null without a reading and for an overrange.
    reading: Option<f64>,
    /// Whether it showed its overrange sign.
    overrange: bool,
    /// Verdict on the reading. Null without a reading.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["pass", "conditional pass", "conditional fail", "fail", "too coarse to decide", "not judged", null])))]
    verdict: Option<&'static str>,
    /// Probability that the point lies inside its band, 0 to 1. Null where nothing is judged, and
    /// for an overrange.
    conformity: Option<f64>,
    #[serde(flatten)]
    basis: Basis,
    /// The printed value carried over by itself: a constant current into the drawn circuit. Null
    /// where nothing is drawn or no state reads it.
    manual_alone: Option<AloneRecord>,
    /// What the drawn circuit says by itself. Null where nothing is drawn.
    drawing_alone: Option<AloneRecord>,
    /// Decimal digits that arithmetic leaves of expected, of 15.95. Null where nothing is drawn.
    digits: Option<f64>,
    /// Its inputs, the largest contribution to its uncertainty first; every one that contributes.
    inputs: Vec<InputRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct InputRecord<'a> {
    /// What kind of input: rounding of the printed value or of the reading, error of the manual's
    /// or the bench meter, a source resistance stated for the point, a number of a part.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["printed rounding", "manual meter", "manual meter alike", "stated source", "part", "other printed value", "discrepancy", "bench meter", "reading rounding"])))]
    kind: &'static str,
    /// The same in words for people.
    words: String,
    /// Designator of the part. Null for other kinds.
    part: Option<&'a str>,
    /// Which of its numbers. Null for other kinds.
    parameter: Option<&'static str>,
    /// Half the distance of its limits, in the unit. Null for an input without limits.
    half_width: Option<f64>,
    /// Its unit; 1 for a share and for the logarithm of a number that is limited by a factor.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["V", "Ω", "A", "1"])))]
    unit: &'static str,
    /// Whether the limits are stated or the usual ones of their kind.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["stated", "assumed"])))]
    basis: &'static str,
    /// Derivative of the value by the input, volts per unit.
    sensitivity: Option<f64>,
    /// What it adds by itself, volts.
    standard_uncertainty: Option<f64>,
    /// Its share of the variance, 0 to 1.
    share: Option<f64>,
}

/// The documents of one point of some jobs.
pub(crate) fn explain(views: &[ExplainView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        body,
    )
}

fn body<'a>(view: &ExplainView<'a>) -> Body<'a> {
    let (point, told) = match accounts(view) {
        Some((entry, told)) => (Some(entry.point.as_str()), told),
        None => (None, Ok(Vec::new())),
    };
    let (values, not_translated) = match told {
        Ok(accounts) => (
            accounts.iter().map(|own| value(view.job, own)).collect(),
            None,
        ),
        Err(reason) => (Vec::new(), Some(reason_words(reason))),
    };
    Body {
        point,
        values,
        not_translated,
    }
}

fn value<'a>(job: &'a Job, account: &Account<'a>) -> Value<'a> {
    let side = account.rested.side;
    let reading = account.rested.reading;
    let volts = reading.and_then(read_volts);
    let judgement = account.compared.map(|(compared, _)| compared.judgement);
    Value {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        expected: finite(side.expected),
        band: limits(side.band),
        doubt: Doubt::of(Some(side)),
        reading: volts.and_then(finite),
        overrange: reading.is_some() && volts.is_none(),
        verdict: judgement.map(|judgement| judgement.verdict.word()),
        conformity: judgement.and_then(|judgement| judgement.conformity.and_then(finite)),
        basis: Basis::of(Some(side)),
        manual_alone: account.sources.manual.map(AloneRecord::of_source),
        drawing_alone: account.sources.drawing.map(AloneRecord::of_source),
        digits: account.digits.and_then(finite),
        inputs: account
            .lines()
            .into_iter()
            .map(|told| record(job, account, &told))
            .collect(),
    }
}

fn record<'a>(job: &'a Job, account: &Account<'a>, told: &Told<'a>) -> InputRecord<'a> {
    let line = told.line;
    let (kind, id) = match line.input {
        Input::PrintedRounding => ("printed rounding", None),
        Input::ManualMeter => ("manual meter", None),
        Input::ManualScale(_) => ("manual meter alike", None),
        Input::StatedSource => ("stated source", None),
        Input::Number(id) => ("part", Some(id)),
        Input::OtherValue(_) => ("other printed value", None),
        Input::Discrepancy => ("discrepancy", None),
        Input::BenchMeter => ("bench meter", None),
        Input::ReadingRounding => ("reading rounding", None),
    };
    let part = id.map(|id| job.circuit.part(id.part));
    InputRecord {
        kind,
        words: account.rested.words(line.input),
        part: part.map(|part| part.designator.as_str()),
        parameter: id.map(|id| id.parameter.name()),
        half_width: account.rested.half_width(line).and_then(finite),
        unit: account.rested.unit(line.input),
        basis: basis(line.basis),
        sensitivity: finite(line.sensitivity),
        standard_uncertainty: finite(told.volts),
        share: finite(told.share),
    }
}
