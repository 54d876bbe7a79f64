//! The document of what one value rests on.

use circuit::Job;
use serde::Serialize;
use translate::Input;

use super::point::limits;
use super::translate::{AloneRecord, Basis, Doubt};
use super::{finite, text, Document, JobName};
use crate::explain::{accounts, basis, read_volts, Account, Told};
use crate::remarks::reason_words;
use crate::reports::ReportError;
use crate::views::ExplainView;

#[derive(Serialize)]
struct Body<'a> {
    point: Option<&'a str>,
    values: Vec<Value<'a>>,
    not_translated: Option<String>,
}

#[derive(Serialize)]
struct Value<'a> {
    meter: &'a str,
    range: Option<f64>,
    expected: Option<f64>,
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
    reading: Option<f64>,
    overrange: bool,
    verdict: Option<&'static str>,
    conformity: Option<f64>,
    #[serde(flatten)]
    basis: Basis,
    manual_alone: Option<AloneRecord>,
    drawing_alone: Option<AloneRecord>,
    digits: Option<f64>,
    inputs: Vec<InputRecord<'a>>,
}

#[derive(Serialize)]
struct InputRecord<'a> {
    kind: &'static str,
    words: String,
    part: Option<&'a str>,
    parameter: Option<&'static str>,
    half_width: Option<f64>,
    unit: &'static str,
    basis: &'static str,
    sensitivity: Option<f64>,
    standard_uncertainty: Option<f64>,
    share: Option<f64>,
}

/// The documents of one point of some jobs.
pub(crate) fn explain(views: &[ExplainView<'_>]) -> Result<String, ReportError> {
    let documents: Vec<_> = views
        .iter()
        .map(|view| Document {
            schema: "fairvolt/explain/2",
            job: Some(JobName::of(view.job)),
            diagnostics: view.diagnostics,
            body: body(view),
        })
        .collect();
    text(&documents)
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
        Input::StatedSource => ("stated source", None),
        Input::Number(id) => ("part", Some(id)),
        Input::OtherValue(_) => ("other printed value", None),
        Input::Discrepancy => ("discrepancy", None),
        Input::BenchMeter => ("bench meter", None),
        Input::ReadingRounding => ("reading rounding", None),
    };
    let part = id.and_then(|id| job.circuit.parts().get(id.part.0));
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
