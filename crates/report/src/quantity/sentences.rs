//! Sentences about rows that are no direct volts.

use circuit::{Job, Quantity, RowId};
use translate::{
    NoAnswer, QuantityCarried, QuantityPoint, QuantityRemark, QuantitySide, Translation,
};

use super::{expected_words, text};
use crate::alike::reads_alike;
use crate::figures;
use crate::labels::{gathered, named};
use crate::remarks::{with_hint, ON_ONE_NODE};

/// Points of a whole table that are named one by one.
const MOST_NAMED: usize = 3;

/// The answer to a row of the manual that is no direct volts.
pub(crate) fn of_row(translation: &Translation, row: RowId) -> Option<&QuantityPoint> {
    let mut points = translation.quantities.iter();
    points.find(|point| point.row == row)
}

/// What the drawing says of such a row, with its unit; empty where it says nothing.
pub(crate) fn drawn_words(translation: &Translation, row: RowId) -> String {
    let drawn = of_row(translation, row).and_then(|point| {
        let drawn = point.outcome.as_ref().ok()?.drawn?;
        (!drawn.value.is_nan()).then(|| text::value(drawn.value, point.quantity))
    });
    drawn.unwrap_or_default()
}

/// The printed rows of other quantities that lie far from what the drawing says: label, and what is said of each.
pub(crate) fn disagreeing(job: &Job, translation: &Translation) -> Vec<(String, String)> {
    let each = translation.quantities.iter().filter_map(|point| {
        let carried = point.outcome.as_ref().ok()?;
        let remark = QuantityRemark::Disagrees;
        let row = job.row(point.row);
        let printed = figures::printed_by_row(&row, row.figure?);
        let says = remark_words(remark, point.quantity, carried);
        let says = format!("Point {}: printed {printed}; {says}.", row.point);
        (carried.remarks.contains(&remark)).then(|| (row.point.to_owned(), says))
    });
    each.collect()
}

/// What a sheet says of such a point: one sentence for each bench meter, then the remarks.
pub(crate) fn due_sentences(point: &QuantityPoint) -> Vec<String> {
    let carried = match &point.outcome {
        Ok(carried) => carried,
        Err(reason) => return vec![format!("Not computed: {}.", reason_words(reason))],
    };
    let mut said: Vec<String> = carried
        .bench
        .iter()
        .map(|side| {
            let range = text::range(side, point.quantity);
            let mut sentence = format!(
                "{} on {range} should show {}",
                side.side.meter,
                text::expected(side, point.quantity)
            );
            let u = text::uncertainty(side, point.quantity);
            if !u.is_empty() {
                sentence.push_str(&format!(" ({u})"));
            }
            let band = text::limits(side, point.quantity);
            if !band.is_empty() {
                sentence.push_str(&format!(", limits {band}"));
            }
            sentence.push('.');
            sentence
        })
        .collect();
    said.extend(carried.remarks.iter().map(|remark| {
        let words = remark_words(*remark, point.quantity, carried);
        let mut letters = words.chars();
        let first = letters.next().map(|first| first.to_uppercase().to_string());
        format!("{}{}.", first.unwrap_or_default(), letters.as_str())
    }));
    said
}

/// What a bench meter should show, in words, each figure with its unit.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct DueWords {
    /// Its name.
    pub meter: String,
    /// Its range.
    pub range: String,
    /// The expected value with its expanded uncertainty.
    pub expected: String,
    /// What a healthy set may show; empty without limits.
    pub limits: String,
    /// Whether a reading of it could stand in the line of the first meter.
    pub as_first: bool,
}

/// What each bench meter should show; nothing where that is not known.
pub(crate) fn dues(point: &QuantityPoint) -> Vec<DueWords> {
    let sides = || point.outcome.iter().flat_map(|carried| &carried.bench);
    let first = sides().next();
    let due = |side: &QuantitySide| DueWords {
        meter: side.side.meter.clone(),
        range: text::range(side, point.quantity),
        expected: expected_words(side, point.quantity),
        limits: text::limits(side, point.quantity),
        as_first: first.is_some_and(|first| reads_alike(&first.side, &side.side)),
    };
    sides().map(due).collect()
}

/// What the person with the probe has to know of such a point, in few words.
pub(crate) fn at_the_bench(point: &QuantityPoint) -> Vec<String> {
    let Ok(carried) = &point.outcome else {
        return vec!["not computed".to_owned()];
    };
    let told = carried.remarks.iter().filter(|remark| match remark {
        QuantityRemark::Polarity
        | QuantityRemark::Charging
        | QuantityRemark::BeyondRange
        | QuantityRemark::NoFunction => true,
        // Of how the figures came about; `translate` says it.
        QuantityRemark::DrawnOpen
        | QuantityRemark::Disagrees
        | QuantityRemark::NoCurrent
        | QuantityRemark::DrawingAlone
        | QuantityRemark::LeadsExchanged
        | QuantityRemark::Burden
        | QuantityRemark::FollowsLine
        | QuantityRemark::NotDriven
        | QuantityRemark::Wave
        | QuantityRemark::UsualSide
        | QuantityRemark::AssumedLimit => false,
    });
    told.map(|remark| remark_words(*remark, point.quantity, carried))
        .collect()
}

/// Notes under a table: each remark once, with its points.
pub(super) fn notes(job: &Job, carried: &[(&QuantityPoint, &QuantityCarried)]) -> Vec<String> {
    let each = carried.iter().flat_map(|(point, carried)| {
        let remarks = carried.remarks.iter();
        remarks.map(|remark| {
            let words = remark_words(*remark, point.quantity, carried);
            (words, job.row(point.row).point)
        })
    });
    gathered(each)
        .into_iter()
        .map(
            |(words, labels)| match labels.len() == carried.len() && labels.len() > MOST_NAMED {
                true => format!("All points of this table: {words}."),
                false => format!("{}: {words}.", named(&labels)),
            },
        )
        .collect()
}

/// Rows of which nothing can be said, by reason.
pub(super) fn refusals(job: &Job, translation: &Translation) -> Vec<String> {
    let each = translation.quantities.iter().filter_map(|point| {
        let reason = point.outcome.as_ref().err()?;
        let blank = matches!(point.row, RowId::Unprinted(_));
        let no_news = matches!(
            reason,
            NoAnswer::NotDrawn | NoAnswer::NoCurrent | NoAnswer::NoGenerator | NoAnswer::NoLead
        );
        let told = !(blank && no_news);
        let hint = match reason {
            NoAnswer::Unsolved(error) => error.hint(&job.circuit),
            _ => None,
        };
        let words = with_hint(format!("{}.", reason_words(reason)), hint);
        told.then(|| (words, job.row(point.row).point))
    });
    gathered(each)
        .into_iter()
        .map(|(words, labels)| format!("{} not computed: {words}", named(&labels)))
        .collect()
}

/// Why nothing can be said of a row, without a full stop.
pub(crate) fn reason_words(reason: &NoAnswer) -> String {
    match reason {
        NoAnswer::NotDrawn => "the circuit round it is not drawn".to_owned(),
        NoAnswer::NothingSaid => "neither manual nor drawing says anything".to_owned(),
        NoAnswer::OnOneNode => ON_ONE_NODE.to_owned(),
        NoAnswer::Unsolved(error) => error.to_string(),
        NoAnswer::NoLead => {
            "it names no single lead of a part to put a meter in series with".to_owned()
        }
        NoAnswer::NoCurrent => {
            "no value is printed, and the drawing has no such current".to_owned()
        }
        NoAnswer::UnknownMeter => "the manual's meter is not known".to_owned(),
        NoAnswer::TooLarge => {
            "the drawing has too many nodes to be computed at a frequency".to_owned()
        }
        NoAnswer::NoGenerator => {
            "no value is printed, and no generator of its frequency is drawn".to_owned()
        }
    }
}

fn remark_words(remark: QuantityRemark, quantity: Quantity, carried: &QuantityCarried) -> String {
    match remark {
        QuantityRemark::DrawnOpen if carried.remarks.contains(&QuantityRemark::Charging) => {
            "the drawing is an open circuit there, so the printed value stands alone; if it is the \
             leakage of a capacitor, a better one reads more: write it as a limit, `>50k`; `off=` \
             says what a dead supply looks like"
                .to_owned()
        }
        QuantityRemark::DrawnOpen => "the drawing is an open circuit there, so the printed value \
                                      stands alone; `off=` says what a dead supply looks like"
            .to_owned(),
        QuantityRemark::Disagrees => {
            let drawn = carried.drawn.map_or(f64::NAN, |drawn| drawn.value);
            format!(
                "the drawing says {}; one of the two lacks something",
                text::value(drawn, quantity)
            )
        }
        QuantityRemark::NoCurrent => {
            "the drawing has no such current (filaments are not drawn), so \
                                      the printed value stands alone"
                .to_owned()
        }
        QuantityRemark::Polarity => {
            let other = carried.bench.iter().find_map(|side| {
                let value = side.exchanged?;
                let shown = match value > side.most {
                    true => "∞".to_owned(),
                    false => text::value(value, quantity),
                };
                Some(shown)
            });
            match other {
                Some(other) => format!("with the leads exchanged it should show {other}"),
                None => "a junction conducts under the manual's ohmmeter, so that its leads and \
                         range matter"
                    .to_owned(),
            }
        }
        QuantityRemark::Charging => "a capacitor charges: wait until the reading rests".to_owned(),
        QuantityRemark::BeyondRange if quantity == Quantity::DcMilliamperes => {
            "no range of a bench meter holds it: do not connect that; measure the volts across a \
             known resistance in the lead, or use a clamp or a shunt"
                .to_owned()
        }
        QuantityRemark::BeyondRange => {
            "no range of a bench meter holds it: do not connect that".to_owned()
        }
        QuantityRemark::NoFunction => "a bench meter has no such function".to_owned(),
        QuantityRemark::UsualSide => "how a bench meter measures this is not described in \
                                      meters.toml; the usual values of its kind are taken"
            .to_owned(),
        QuantityRemark::DrawingAlone => "no value is printed; the drawing alone is used".to_owned(),
        QuantityRemark::LeadsExchanged => "the printed value fits the manual's ohmmeter with its \
                                           leads exchanged, and is taken so"
            .to_owned(),
        QuantityRemark::Burden => "the manual's meter in series lowered the current by more \
                                   than 1 %"
            .to_owned(),
        QuantityRemark::FollowsLine => "corrected for the line volts on the bench".to_owned(),
        QuantityRemark::NotDriven => "no generator of its frequency is drawn: the drawing says \
                                      how much a meter loads the point, not its volts"
            .to_owned(),
        QuantityRemark::Wave => {
            "no sine wave: the response of each meter is allowed for".to_owned()
        }
        QuantityRemark::AssumedLimit => format!(
            "open in the manual, taken as {}, the most that its meter could show",
            text::said(carried.said, quantity)
        ),
    }
}
