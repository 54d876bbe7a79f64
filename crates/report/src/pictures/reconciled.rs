//! The values of a point by the manual alone, by the drawing alone, and reconciled.

use circuit::Job;
use paper::{Picture, StripChart, StripRow};
use translate::{Alone, Translation, USUAL_COVERAGE};

use super::scale::round_scale;
use super::WIDE;
use crate::clean::clean;
use crate::figures;
use crate::places::where_text;

/// For each of these entries three intervals on one scale of volts: by the manual alone, by the drawing alone,
/// and reconciled. None if no entry is translated.
pub(crate) fn reconciled_picture(
    job: &Job,
    translation: &Translation,
    entries: &[usize],
) -> Option<Picture> {
    let rows: Vec<StripRow> = entries
        .iter()
        .flat_map(|entry| point(job, translation, *entry))
        .collect();
    let told = rows
        .iter()
        .map(|row| format!("{} {}.", row.label, row.verdict));
    let description: Vec<String> = told.collect();
    (!rows.is_empty()).then(|| {
        StripChart {
            title: "Printed, drawn, reconciled: each value by manual, by drawing, by both"
                .to_owned(),
            subtitle: "box: value ± U (95 %); tick: value; each point has its own scale of volts"
                .to_owned(),
            description: description.join(" "),
            width: WIDE,
            rows,
        }
        .picture()
    })
}

fn point(job: &Job, translation: &Translation, entry: usize) -> Vec<StripRow> {
    let carried = translation.points.iter().find(|point| point.entry == entry);
    let carried = carried.and_then(|point| point.outcome.as_ref().ok());
    let (Some(printed), Some((carried, side))) = (
        job.manual.get(entry),
        carried.and_then(|carried| Some((carried, carried.bench.first()?))),
    ) else {
        return Vec::new();
    };
    let sources = carried.sources(side);
    let alone = |alone: Option<Alone>| Some((alone?.volts, USUAL_COVERAGE * alone?.standard));
    let said = [
        ("printed", alone(sources.manual)),
        ("drawn", alone(sources.drawing)),
        ("reconciled", Some((side.expected, side.budget.expanded()))),
    ];
    let ends = said.iter().filter_map(|(_, said)| *said);
    let ends: Vec<f64> = ends
        .flat_map(|(volts, by)| [volts - by, volts + by])
        .collect();
    let Some((scale, words)) = round_scale(&ends) else {
        return Vec::new();
    };
    let place = where_text(job, printed);
    let name = clean(format!("{} {place}", printed.point).trim_end());
    said.into_iter()
        .filter_map(|(who, said)| {
            let (volts, by) = said?;
            let [value, expanded] = figures::beside(volts, by, printed.figure.resolution);
            let (first, reconciled) = (who == "printed", who == "reconciled");
            Some(StripRow {
                label: match first {
                    true => format!("{name}: {who}"),
                    false => who.to_owned(),
                },
                joined: !first,
                scale,
                ends: words.clone(),
                allowed: [Some(volts - by), Some(volts + by)],
                printed: Some(volts),
                verdict: format!("{value} ± {expanded} V"),
                strong: reconciled,
                words: match reconciled {
                    true => format!("{:.0}\u{a0}% by the printed value", 100.0 * side.by_printed),
                    false => String::new(),
                },
                ..StripRow::default()
            })
        })
        .collect()
}
