//! The sheet as a whole: what stands above the points, and the points.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::compare::{records, sets, words, Record};
use crate::heading;
use crate::manual;
use crate::missing;
use crate::views::WorksheetView;

use super::cautions::{cautions, DEFERRING, MARKS};
use super::point::SheetPoint;
use super::point_of_row::sheet_point;
use super::same_place::gathered;
use super::stages::stages;
use crate::live_chassis::LIVE_CHASSIS;

/// A sheet, rounded and in words; serialized, it is the body of the JSON document.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Worksheet {
    #[serde(skip)]
    pub title: String,
    /// The set's serial number; empty if unstated.
    pub serial: String,
    /// What to know of a set without a mains transformer; none for others.
    pub live_chassis: Option<&'static str>,
    /// The manual's meters in words.
    pub manual_meters: Vec<String>,
    /// What was found of a meter that the manual does not name.
    pub meter_note: Option<String>,
    /// The bench meters in words.
    pub bench_meters: Vec<String>,
    /// Line volts of the manual.
    pub manual_line: Option<f64>,
    /// Line volts of the bench.
    pub bench_line: Option<f64>,
    #[serde(skip)]
    pub line: Option<String>,
    /// Supplies taken as read on the bench; none where they are taken as drawn.
    pub rails_as_read: Option<String>,
    /// The manual's conditions.
    pub conditions: String,
    /// The cautions, in the order of a job.
    pub cautions: Vec<&'static str>,
    /// What the danger marks mean.
    pub marks: &'static str,
    /// The sentence that defers to codes, makers and workplace rules.
    pub deferring: &'static str,
    /// In probing order, those of a stage together.
    pub points: Vec<SheetPoint>,
    /// Rows that were left out, and points without a printed value.
    #[serde(skip)]
    pub missing: Vec<String>,
    /// Why boxes stay empty though there are readings; none where that needs no reason.
    #[serde(skip)]
    pub box_note: Option<String>,
    /// What the verdicts on the sheet mean; none on a sheet without any.
    #[serde(skip)]
    pub words: Option<String>,
}

/// The sheet of a job, its points in probing order.
pub(crate) fn model(view: &WorksheetView<'_>) -> Worksheet {
    let job = view.job;
    let finite = |volts: Option<f64>| volts.filter(|volts| volts.is_finite());
    let records = records(job, view.comparison);
    let set = set_of_sheet(view);
    let of_sheet: Vec<&Record<'_>> = records
        .iter()
        .filter(|record| Some(record.set) == set)
        .collect();
    let read = !job.readings.is_empty();
    Worksheet {
        title: heading::title(job),
        serial: job.serial.trim().to_owned(),
        live_chassis: job.hot_chassis.then_some(LIVE_CHASSIS),
        manual_meters: heading::manual_meters(job),
        meter_note: manual::heading(view.manual.classes),
        bench_meters: heading::bench_meters(job),
        manual_line: finite(job.documented.line),
        bench_line: finite(job.bench.line),
        line: heading::line(job),
        rails_as_read: heading::rails(job),
        conditions: job.documented.conditions.trim().to_owned(),
        cautions: cautions(job, view.hazards),
        marks: MARKS,
        deferring: DEFERRING,
        words: read.then(|| words(job.bench.guard)),
        points: gathered(
            job,
            stages(job)
                .iter()
                .flat_map(|stage| stage.rows.iter().map(|id| (&stage.heading, *id)))
                .filter_map(|(heading, id)| {
                    let record = of_sheet.iter().find(|record| record.row == id);
                    let point = sheet_point(view, id, heading, record.copied())?;
                    Some((id, point))
                })
                .collect(),
        ),
        missing: missing::lines(job),
        box_note: box_note(view, set),
    }
}

/// The sets that there are readings of.
fn set_names<'a>(view: &WorksheetView<'a>) -> Vec<&'a str> {
    let sets = sets(view.job, view.comparison);
    sets.iter().map(|set| set.set).collect()
}

/// The set whose readings go into the boxes: the only one there are readings of, or else the one
/// with the job's serial number.
fn set_of_sheet<'a>(view: &WorksheetView<'a>) -> Option<&'a str> {
    let sets = set_names(view);
    match sets[..] {
        [only] => Some(only),
        _ => {
            let serial = view.job.serial.trim();
            sets.into_iter()
                .find(|set| !serial.is_empty() && set.trim() == serial)
        }
    }
}

fn box_note(view: &WorksheetView<'_>, set: Option<&str>) -> Option<String> {
    let sets = set_names(view);
    (set.is_none() && sets.len() > 1).then(|| {
        let names: Vec<&str> = sets
            .iter()
            .map(|set| match set.is_empty() {
                true => "(not noted)",
                false => set,
            })
            .collect();
        format!(
            "There are readings of several sets, {}, so the boxes are left empty; give the \
             readings of one set to have them filled.",
            names.join(", ")
        )
    })
}
