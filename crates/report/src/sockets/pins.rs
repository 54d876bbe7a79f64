//! What there is to say of one contact: the manual's rows for it, what this meter should show, what was read.
//!
//! A place that the manual names twice under the same settings is told once, by the name that was read, or prints a
//! value, or names the pin; both are told where what they expect differs by more than the smaller uncertainty.

use circuit::{Job, ManualRow, NodeId, Port, Quantity, RowId, Shown};
use diagnose::Danger;
use translate::{BenchSide, Compared, Comparison, QuantitySide, Verdict};

use super::seats::{Place, Seat};
use crate::clean::clean;
use crate::figures;
use crate::labels::each_once;
use crate::places::{controls, usual_reference};
use crate::quantity;
use crate::translate_table::PREDICTED_TO;
use crate::views::WorksheetView;

/// One row of the manual at a contact.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Told {
    /// The manual's label.
    pub point: String,
    /// What the meter should show, or what is printed where that is not carried over.
    pub value: String,
    /// Whether it stands as printed.
    pub as_printed: bool,
    /// Conditions such as `S1 closed`; empty without any.
    pub conditions: String,
    /// Limits in words; empty without any.
    pub limits: String,
    /// What was read last; empty where nothing was.
    pub read: String,
    pub verdict: Option<Verdict>,
}

/// A contact with all its rows.
pub(crate) struct Contact {
    pub place: Place,
    /// `!`, `!!` or nothing.
    pub mark: &'static str,
    pub told: Vec<Told>,
    /// The name of the common node that it sits at, where no row is of it.
    pub common: Option<String>,
}

pub(crate) fn contacts(view: &WorksheetView<'_>, seat: &Seat<'_>) -> Vec<Contact> {
    let places = seat.places().into_iter();
    places.map(|place| contact(view, seat, place)).collect()
}

fn contact(view: &WorksheetView<'_>, seat: &Seat<'_>, place: Place) -> Contact {
    let job = view.job;
    let mut rows = rows(job, seat, &place);
    let read = |id: &RowId| last_read(job, view.comparison, *id).is_some();
    let named = |id: &RowId| is_named(job.row(*id).at, seat, &place);
    let printed = |id: &RowId| matches!(id, RowId::Printed(_));
    rows.sort_by_key(|id| (!read(id), !printed(id), !named(id), *id));
    let mut kept: Vec<RowId> = Vec::new();
    for id in rows.iter().copied() {
        if !kept.iter().any(|other| is_same(view, *other, id)) {
            kept.push(id);
        }
    }
    kept.sort_unstable();
    let danger = rows.iter().map(|id| view.hazards.at(*id).danger);
    // A pin of which the manual says nothing may have as many volts as its neighbour.
    let danger = danger.chain(place.node.map(|node| view.hazards.at_node(node)));
    let node = place.node.map(|node| &job.circuit.nodes()[node.0]);
    let mut told: Vec<Told> = kept.iter().filter_map(|id| told(view, *id)).collect();
    // What needs no setting comes first: below a line of conditions it would seem to be under them.
    told.sort_by_key(|told| !told.conditions.is_empty());
    Contact {
        mark: match danger.max() {
            Some(Danger::Lethal) => "!!",
            Some(Danger::Hazardous) => "!",
            Some(Danger::Low) | None => "",
        },
        told,
        common: node
            .filter(|node| kept.is_empty() && node.is_reference)
            .map(|node| clean(&node.name)),
        place,
    }
}

/// The manual's rows at a contact: those that name it, and those of its node against the common.
pub(crate) fn rows(job: &Job, seat: &Seat<'_>, place: &Place) -> Vec<RowId> {
    let here = |row: ManualRow<'_>| {
        let at_node = match (row.port, place.node) {
            (Some(Port { plus, minus }), Some(node)) => {
                plus == node && is_common(job, row.against, minus)
            }
            _ => false,
        };
        at_node || is_named(row.at, seat, place)
    };
    job.row_ids().filter(|id| here(job.row(*id))).collect()
}

fn is_common(job: &Job, against: &str, minus: NodeId) -> bool {
    job.circuit.nodes()[minus.0].is_reference || Some(against) == usual_reference(job)
}

/// Whether words name this pin: `V3 pin 5`.
fn is_named(at: &str, seat: &Seat<'_>, place: &Place) -> bool {
    let Some((first, rest)) = at.trim().split_once(char::is_whitespace) else {
        return false;
    };
    let number = rest.trim().split_once(char::is_whitespace);
    first == seat.name
        && number.is_some_and(|(word, number)| {
            word.eq_ignore_ascii_case("pin") && number.trim() == place.name
        })
}

/// Whether one of two rows of a contact can stand for both.
fn is_same(view: &WorksheetView<'_>, a: RowId, b: RowId) -> bool {
    let (first, second) = (view.job.row(a), view.job.row(b));
    if first.quantity != second.quantity || first.settings != second.settings {
        return false;
    }
    match (expected(view, a), expected(view, b)) {
        (Some(a), Some(b)) => {
            let least = a.budget.expanded().min(b.budget.expanded());
            (a.expected - b.expected).abs() <= least
        }
        (None, None) => first.figure.map(figures::printed) == second.figure.map(figures::printed),
        // A carried value tells more than the same place as printed.
        _ => true,
    }
}

/// The last reading of a row in the sheet's own set, and what became of it.
fn last_read<'a>(job: &'a Job, comparison: &'a Comparison, id: RowId) -> Option<&'a Compared> {
    let sets = each_once(job.readings.iter().map(|reading| reading.set.as_str()));
    let own = match sets.as_slice() {
        [only] => *only,
        _ => sets
            .iter()
            .find(|set| !set.is_empty() && set.trim() == job.serial.trim())?,
    };
    let label = job.row(id).point;
    let records = circuit::records(&job.readings);
    let record = records.iter().find(|r| r.set == own && r.point == label)?;
    let last = *record.readings.last()?;
    comparison
        .readings
        .iter()
        .find(|compared| compared.reading == last)
}

/// What should stand on the meter that read the row, or else on the first of the bench.
fn expected<'a>(view: &WorksheetView<'a>, id: RowId) -> Option<&'a BenchSide> {
    let read = last_read(view.job, view.comparison, id);
    if let Some(side) = read.and_then(|compared| compared.expected.as_ref()) {
        return Some(side);
    }
    let translation = &view.comparison.translation;
    match id {
        RowId::Printed(index) => {
            let mut points = translation.points.iter();
            let point = points.find(|point| point.entry == index)?;
            point.outcome.as_ref().ok()?.bench.first()
        }
        RowId::Unprinted(index) => {
            let mut predicted = translation.unprinted.iter();
            let own = predicted.find(|own| own.entry == index)?;
            Some(&own.side)
        }
    }
}

/// What is said of a row of another quantity than direct volts; none where nothing is carried over.
fn apart<'a>(view: &WorksheetView<'a>, id: RowId) -> Option<&'a QuantitySide> {
    let read = last_read(view.job, view.comparison, id);
    if let Some((_, side)) = read.and_then(|compared| compared.quantity.as_ref()) {
        return Some(side);
    }
    let point = quantity::of_row(&view.comparison.translation, id)?;
    point.outcome.as_ref().ok()?.bench.first()
}

/// None for a row without a printed value of which nothing is expected either, and nothing was read.
fn told(view: &WorksheetView<'_>, id: RowId) -> Option<Told> {
    let row = view.job.row(id);
    let resolution = row.figure.map_or(PREDICTED_TO, |figure| figure.resolution);
    let side = expected(view, id);
    let apart = apart(view, id);
    let in_table = |figure| figures::in_table(figure, row.quantity);
    let value = match side {
        Some(side) => figures::expected_within(side, resolution),
        None => match apart {
            Some(apart) if row.quantity == Quantity::AcVolts => {
                format!("{} ac", quantity::expected_words(apart, row.quantity))
            }
            Some(apart) => quantity::expected_words(apart, row.quantity),
            None => row.figure.map(in_table)?,
        },
    };
    let mut conditions = vec![controls(view.job, row.settings)];
    match row.quantity {
        Quantity::Ohms => conditions.push("power off".to_owned()),
        Quantity::DcMilliamperes => conditions.push("in series".to_owned()),
        Quantity::AcVolts | Quantity::DcVolts => {}
    }
    // The value beside it holds for the leads the other way round than the manual's.
    if apart.is_some_and(|side| side.turned) {
        conditions.push("leads exchanged".to_owned());
    }
    conditions.retain(|words| !words.is_empty());
    let compared = last_read(view.job, view.comparison, id);
    let reading = compared.and_then(|compared| view.job.readings.get(compared.reading));
    Some(Told {
        point: clean(row.point),
        value,
        as_printed: side.is_none() && apart.is_none(),
        conditions: clean(&conditions.join(", ")),
        limits: match (side, apart) {
            (Some(side), _) => figures::band(side, resolution),
            (None, Some(apart)) => quantity::limit_words(apart, row.quantity),
            (None, None) => String::new(),
        },
        read: reading.map_or(String::new(), |reading| match &reading.shown {
            Shown::Value(figure) => in_table(figure),
            Shown::Overrange => "OL".to_owned(),
        }),
        verdict: compared.map(|compared| compared.judgement.verdict),
    })
}
