//! The sheet's points as rows, rounded as on the sheet.

use crate::csv_text::{maybe, Sheet};
use crate::figures::range;
use crate::views::WorksheetView;

use super::model::model;
use super::point::{Due, Printed, SheetPoint};
use super::reading::Found;
use super::rounded::Rounded;

/// One row a point and bench meter, with the last reading that the point has so far.
pub(crate) fn csv(views: &[WorksheetView<'_>]) -> Sheet {
    let mut rows = Vec::new();
    for view in views {
        for point in &model(view).points {
            let no_due = [None];
            let dues: Vec<Option<&Due>> = match point.bench.is_empty() {
                true => no_due.to_vec(),
                false => point.bench.iter().map(Some).collect(),
            };
            rows.extend(
                dues.into_iter()
                    .map(|due| row(&view.job.folder, point, due)),
            );
        }
    }
    Sheet {
        heads: &[
            "job",
            "point",
            "red probe",
            "black probe",
            "quantity",
            "danger",
            "may reach (V)",
            "check rating",
            "manual (SI unit)",
            "manual meter",
            "manual range (V)",
            "bench meter",
            "bench range (V)",
            "expected (V)",
            "uncertainty (V)",
            "band low (V)",
            "band high (V)",
            "as found (V)",
            "as left (V)",
            "deviation (%)",
            "verdict",
            "conformity",
            "remarks",
            "stage",
            "also",
        ],
        rows,
    }
}

fn row(folder: &str, point: &SheetPoint, due: Option<&Due>) -> Vec<String> {
    let plain = |number: Option<Rounded>| number.map(Rounded::plain).unwrap_or_default();
    let danger = point.danger.as_ref();
    let found: Option<&Found> = point.found.last();
    let limit = |side: usize| plain(due.and_then(|due| due.band[side]));
    vec![
        folder.to_owned(),
        point.point.clone(),
        point.red.clone(),
        point.black.clone(),
        point.quantity.to_owned(),
        danger.map_or("", |warning| warning.word).to_owned(),
        plain(danger.and_then(|warning| warning.volts)),
        if danger.is_some_and(|warning| warning.check_rating) {
            "yes"
        } else {
            "no"
        }
        .to_owned(),
        plain(point.manual.value),
        point.manual.meter.clone(),
        maybe(point.manual.range),
        due.map(|due| due.meter.clone()).unwrap_or_default(),
        maybe(due.and_then(|due| due.range)),
        plain(due.and_then(|due| due.expected)),
        plain(due.and_then(|due| due.uncertainty)),
        limit(0),
        limit(1),
        plain(box_value(point, 0).or(found.and_then(|found| found.value))),
        plain(box_value(point, 1)),
        plain(found.and_then(|found| found.deviation_percent)),
        found.map_or("", |found| found.verdict).to_owned(),
        plain(found.and_then(|found| found.conformity)),
        remarks(point),
        point.group.clone(),
        point.also.join("; "),
    ]
}

/// All remarks, and what the manual says of the place under its further names.
fn remarks(point: &SheetPoint) -> String {
    let again = point.again.iter().flat_map(|again| {
        let dues = again.bench.iter().map(due_words);
        let told = std::iter::once(manual_words(&again.manual)).chain(dues);
        let told = told.chain(again.remarks.iter().cloned());
        told.map(|words| format!("{}: {words}", again.point))
            .collect::<Vec<_>>()
    });
    let all: Vec<String> = point.remarks.iter().cloned().chain(again).collect();
    all.join(" ")
}

/// What stands in the first or the second box.
fn box_value(point: &SheetPoint, which: usize) -> Option<Rounded> {
    point.boxes[which].as_ref()?.value
}

/// What the manual says and with what.
fn manual_words(manual: &Printed) -> String {
    let range = manual.range.map_or(String::new(), |volts| {
        let assumed = manual.range_assumed == Some(true);
        format!(" on {}", range(volts, assumed))
    });
    match manual.meter.as_str() {
        "" => format!("manual says {}.", manual.text),
        meter => format!("manual says {} with {meter}{range}.", manual.text),
    }
}

/// What a bench meter should show.
fn due_words(due: &Due) -> String {
    let on = due.range.map_or(String::new(), |volts| {
        format!(" on {}", range(volts, false))
    });
    let expected = due.expected.map_or("—".to_owned(), Rounded::text);
    let limits = match due.limits.as_str() {
        "" => "no limits stated".to_owned(),
        limits => format!("limits {limits} V"),
    };
    format!("{}{on} should show {expected} V, {limits}.", due.meter)
}
