//! What there is to say of one contact: the manual's rows for it, what this meter should show, what was read.
//!
//! A place that the manual names twice under the same settings is told once, by the name that was read, or that
//! names the pin; both are told where what they expect differs by more than the smaller uncertainty.

use circuit::{Job, ManualEntry, Port, Quantity, Shown};
use diagnose::{Danger, Hazard};
use translate::{BenchSide, Compared, Comparison, QuantitySide, Verdict};

use super::seats::{Place, Seat};
use crate::clean::clean;
use crate::figures;
use crate::places::{controls, usual_reference};
use crate::quantity;
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

/// The contacts of a seat.
pub(crate) fn contacts(view: &WorksheetView<'_>, seat: &Seat<'_>) -> Vec<Contact> {
    let places = seat.places().into_iter();
    places.map(|place| contact(view, seat, place)).collect()
}

fn contact(view: &WorksheetView<'_>, seat: &Seat<'_>, place: Place) -> Contact {
    let job = view.job;
    let mut rows = entries(job, seat, &place);
    let read = |index: &usize| last_read(job, view.comparison, *index).is_some();
    let named = |index: &usize| is_named(job.manual.get(*index), seat, &place);
    rows.sort_by_key(|index| (!read(index), !named(index), *index));
    let mut kept: Vec<usize> = Vec::new();
    for index in rows.iter().copied() {
        if !kept.iter().any(|other| is_same(view, *other, index)) {
            kept.push(index);
        }
    }
    kept.sort_unstable();
    let danger = rows
        .iter()
        .filter_map(|index| view.hazards.get(*index))
        .map(worst);
    let node = place.node.and_then(|node| job.circuit.nodes().get(node.0));
    let mut told: Vec<Told> = kept.iter().filter_map(|index| told(view, *index)).collect();
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

fn worst(hazard: &Hazard) -> Danger {
    hazard.danger
}

/// The manual's rows at a contact, by their index: those that name it, and those of its node against the common.
pub(crate) fn entries(job: &Job, seat: &Seat<'_>, place: &Place) -> Vec<usize> {
    let here = |entry: &ManualEntry| {
        let at_node = match (entry.port, place.node) {
            (Some(Port { plus, minus }), Some(node)) => {
                plus == node && is_common(job, entry, minus.0)
            }
            _ => false,
        };
        at_node || is_named(Some(entry), seat, place)
    };
    let all = job.manual.iter().enumerate();
    all.filter(|(_, entry)| here(entry))
        .map(|(index, _)| index)
        .collect()
}

fn is_common(job: &Job, entry: &ManualEntry, minus: usize) -> bool {
    let reference = job
        .circuit
        .nodes()
        .get(minus)
        .is_some_and(|node| node.is_reference);
    reference || Some(entry.against.as_str()) == usual_reference(job)
}

/// Whether a row is called after this pin: `V3 pin 5`.
fn is_named(entry: Option<&ManualEntry>, seat: &Seat<'_>, place: &Place) -> bool {
    let Some((first, rest)) =
        entry.and_then(|entry| entry.at.trim().split_once(char::is_whitespace))
    else {
        return false;
    };
    let number = rest.trim().split_once(char::is_whitespace);
    first == seat.name
        && number.is_some_and(|(word, number)| {
            word.eq_ignore_ascii_case("pin") && number.trim() == place.name
        })
}

/// Whether one of two rows of a contact can stand for both.
fn is_same(view: &WorksheetView<'_>, a: usize, b: usize) -> bool {
    let (Some(first), Some(second)) = (view.job.manual.get(a), view.job.manual.get(b)) else {
        return false;
    };
    if first.quantity != second.quantity || first.settings != second.settings {
        return false;
    }
    match (expected(view, a), expected(view, b)) {
        (Some(a), Some(b)) => {
            let least = a.budget.expanded().min(b.budget.expanded());
            (a.expected - b.expected).abs() <= least
        }
        (None, None) => figures::printed(&first.figure) == figures::printed(&second.figure),
        // A carried value tells more than the same place as printed.
        _ => true,
    }
}

/// The last reading of an entry in the sheet's own set, and what became of it.
fn last_read<'a>(job: &'a Job, comparison: &'a Comparison, index: usize) -> Option<&'a Compared> {
    let sets = sets(job);
    let own = match sets.as_slice() {
        [only] => *only,
        _ => sets
            .iter()
            .find(|set| !set.is_empty() && set.trim() == job.serial.trim())?,
    };
    let label = &job.manual.get(index)?.point;
    let records = circuit::records(&job.readings);
    let record = records.iter().find(|r| r.set == own && r.point == label)?;
    let last = *record.readings.last()?;
    comparison
        .readings
        .iter()
        .find(|compared| compared.reading == last)
}

/// The sets of the readings, as first met with.
fn sets(job: &Job) -> Vec<&str> {
    let mut sets: Vec<&str> = Vec::new();
    for reading in &job.readings {
        if !sets.contains(&reading.set.as_str()) {
            sets.push(&reading.set);
        }
    }
    sets
}

/// What should stand on the meter that read the entry, or else on the first of the bench.
fn expected<'a>(view: &WorksheetView<'a>, index: usize) -> Option<&'a BenchSide> {
    let read = last_read(view.job, view.comparison, index);
    if let Some(side) = read.and_then(|compared| compared.expected.as_ref()) {
        return Some(side);
    }
    let mut points = view.comparison.translation.points.iter();
    let point = points.find(|point| point.entry == index)?;
    point.outcome.as_ref().ok()?.bench.first()
}

/// What is said of a row of another quantity than direct volts; none where nothing is carried over.
fn apart<'a>(view: &WorksheetView<'a>, index: usize) -> Option<&'a QuantitySide> {
    let read = last_read(view.job, view.comparison, index);
    if let Some((_, side)) = read.and_then(|compared| compared.quantity.as_ref()) {
        return Some(side);
    }
    let point = quantity::of_entry(&view.comparison.translation, index)?;
    point.outcome.as_ref().ok()?.bench.first()
}

fn told(view: &WorksheetView<'_>, index: usize) -> Option<Told> {
    let entry = view.job.manual.get(index)?;
    let resolution = entry.figure.resolution;
    let side = expected(view, index);
    let apart = apart(view, index);
    let value = match side {
        Some(side) => match figures::uncertainty(side, resolution).as_str() {
            "" => figures::expected(side, resolution),
            expanded => format!("{} ± {expanded}", figures::expected(side, resolution)),
        },
        None if entry.quantity == Quantity::DcVolts => figures::printed(&entry.figure),
        None => match apart {
            Some(apart) if entry.quantity == Quantity::AcVolts => {
                format!("{} ac", quantity::expected_words(apart, entry.quantity))
            }
            Some(apart) => quantity::expected_words(apart, entry.quantity),
            None => figures::printed_with_unit(&entry.figure, entry.quantity),
        },
    };
    let mut conditions = vec![controls(view.job, &entry.settings)];
    match entry.quantity {
        Quantity::Ohms => conditions.push("power off".to_owned()),
        Quantity::DcMilliamperes => conditions.push("in series".to_owned()),
        Quantity::AcVolts | Quantity::DcVolts => {}
    }
    // The value beside it holds for the leads the other way round than the manual's.
    if apart.is_some_and(|side| side.turned) {
        conditions.push("leads exchanged".to_owned());
    }
    conditions.retain(|words| !words.is_empty());
    let compared = last_read(view.job, view.comparison, index);
    let reading = compared.and_then(|compared| view.job.readings.get(compared.reading));
    Some(Told {
        point: clean(&entry.point),
        value,
        as_printed: side.is_none() && apart.is_none(),
        conditions: clean(&conditions.join(", ")),
        limits: match (side, apart) {
            (Some(side), _) => figures::band(side, resolution),
            (None, Some(apart)) => quantity::limit_words(apart, entry.quantity),
            (None, None) => String::new(),
        },
        read: reading.map_or(String::new(), |reading| match &reading.shown {
            Shown::Value(figure) if entry.quantity == Quantity::DcVolts => figures::printed(figure),
            Shown::Value(figure) => figures::printed_with_unit(figure, entry.quantity),
            Shown::Overrange => "OL".to_owned(),
        }),
        verdict: compared.map(|compared| compared.judgement.verdict),
    })
}
