//! What was worked out for a row of the manual, as its point on the sheet needs it.
//!
//! A translation and one of its rows come in; the sides of the bench meters go out, rounded. What the sheet
//! says of them is not known here.

use circuit::{ManualEntry, RowId};
use reconcile::RangeChoice;
use translate::{BenchSide, Carried, NotCarried, QuantityPoint, Translation};

use crate::alike::reads_alike;
use crate::figures;
use crate::quantity::of_row;
use crate::translate_table::PREDICTED_TO;

use super::point::Due;
use super::rounded::Rounded;

/// What was worked out for a row.
pub(super) enum Answer<'a> {
    /// Direct volts of an entry of the manual, carried over.
    Carried(&'a ManualEntry, &'a Carried),
    /// Direct volts for which the manual prints no value, by the drawing: a side for each bench meter.
    Predicted(Vec<&'a BenchSide>),
    /// Another quantity.
    Apart(&'a QuantityPoint),
    /// Direct volts that are not carried over.
    Not(&'a NotCarried),
    /// Nothing.
    Nothing,
}

impl<'a> Answer<'a> {
    pub(super) fn of(translation: &'a Translation, id: RowId) -> Self {
        if let Some(apart) = of_row(translation, id) {
            return Answer::Apart(apart);
        }
        match id {
            RowId::Printed(index) => {
                let entry = &translation.reconciled.job().manual[index];
                let mut points = translation.points.iter();
                let outcome = points.find(|point| point.entry == index);
                match outcome.map(|point| &point.outcome) {
                    Some(Ok(carried)) => Answer::Carried(entry, carried),
                    Some(Err(reason)) => Answer::Not(reason),
                    None => Answer::Nothing,
                }
            }
            RowId::Unprinted(index) => {
                let predicted = translation.unprinted.iter();
                let own = predicted.filter(|own| own.entry == index);
                let sides: Vec<&BenchSide> = own.map(|own| &own.side).collect();
                match sides.is_empty() {
                    true => Answer::Nothing,
                    false => Answer::Predicted(sides),
                }
            }
        }
    }

    /// Whether there is something to expect on a bench meter.
    pub(super) fn is_told(&self) -> bool {
        match self {
            Answer::Carried(..) | Answer::Predicted(_) => true,
            Answer::Apart(apart) => apart.outcome.is_ok(),
            Answer::Not(_) | Answer::Nothing => false,
        }
    }

    /// Another quantity of which something is expected.
    pub(super) fn apart(&self) -> Option<&'a QuantityPoint> {
        match self {
            Answer::Apart(apart) => Some(*apart).filter(|apart| apart.outcome.is_ok()),
            Answer::Carried(..) | Answer::Predicted(_) | Answer::Not(_) | Answer::Nothing => None,
        }
    }

    /// The range of the manual's meter.
    pub(super) fn range(&self) -> Option<RangeChoice> {
        match self {
            Answer::Carried(_, carried) => Some(carried.manual.range),
            Answer::Apart(apart) => apart.outcome.as_ref().ok()?.manual_range,
            Answer::Predicted(_) | Answer::Not(_) | Answer::Nothing => None,
        }
    }

    /// What each bench meter should show of direct volts.
    pub(super) fn dues(&self) -> Vec<Due> {
        match self {
            Answer::Carried(entry, carried) => {
                let sides = within_range(carried.bench.iter().collect());
                let first = sides.first().copied();
                let each = sides.iter();
                each.map(|side| due(side, first, entry.figure.resolution))
                    .collect()
            }
            Answer::Predicted(sides) => {
                let sides = within_range(sides.clone());
                let first = sides.first().copied();
                let each = sides.iter().map(|side| due(side, first, PREDICTED_TO));
                each.collect()
            }
            Answer::Apart(_) | Answer::Not(_) | Answer::Nothing => Vec::new(),
        }
    }
}

/// The meters that have a range for the point; all of them where none has.
fn within_range(mut sides: Vec<&BenchSide>) -> Vec<&BenchSide> {
    if sides.iter().any(|side| !side.is_beyond_range()) {
        sides.retain(|side| !side.is_beyond_range());
    }
    sides
}

fn due(side: &BenchSide, first: Option<&BenchSide>, resolution: f64) -> Due {
    let decimals = figures::band_decimals(side, resolution);
    let limit = |limit: Option<f64>| limit.and_then(|volts| Rounded::to(volts, decimals));
    Due {
        meter: side.meter.clone(),
        range: (!side.is_beyond_range()).then_some(side.range.full_scale),
        expected: Rounded::expected(side, resolution),
        uncertainty: Rounded::uncertainty(side, resolution),
        band: [limit(side.band.low), limit(side.band.high)],
        limits: figures::band(side, resolution),
        as_first: first.is_some_and(|first| reads_alike(first, side)),
    }
}
