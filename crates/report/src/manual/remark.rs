//! What the table, the sheet and the rows of other reports say of a manual's single points.

use circuit::Job;
use reconcile::ValueStatus;

use crate::figures::{self, decimal, printed_with_unit, with_sigma, with_volts};
use crate::heading;
use crate::views::ManualView;

use super::doubts::{doubted, row_of};
use super::otherwise::answers;

/// Notes under a table: one line for each doubted point, and where to look for what they have in common.
pub(crate) fn notes(job: &Job, manual: ManualView<'_>) -> Vec<String> {
    let Some(belief) = manual.belief else {
        return Vec::new();
    };
    let doubts = doubted(belief).filter_map(|judged| {
        let entry = job.manual.get(judged.entry)?;
        let words = doubt(job, manual, judged.entry)?;
        Some(format!("Point {}: {words}", entry.point))
    });
    let mut notes: Vec<String> = doubts.collect();
    let whole = match notes.len() {
        0 if belief.agreement.disagrees() => {
            Some("The values as a whole disagree with the drawing")
        }
        0 | 1 => None,
        _ => Some("Several values doubted may have one cause"),
    };
    let folder = heading::typed(&job.folder);
    notes.extend(whole.map(|whole| {
        format!(
            "{whole}: 'fairvolt check {folder}' looks for a slip in the netlist that explains it."
        )
    }));
    notes
}

/// Sentences on one entry, without a capital: its doubt, and what would hold with the next class
/// of meter.
pub(crate) fn sentences(job: &Job, manual: ManualView<'_>, entry: usize) -> Vec<String> {
    let mut sentences: Vec<String> = doubt(job, manual, entry).into_iter().collect();
    let resolution = job
        .manual
        .get(entry)
        .map_or(1.0, |entry| entry.figure.resolution);
    if let Some(otherwise) = manual.otherwise {
        let answers: Vec<String> = answers(otherwise.comparison, entry)
            .into_iter()
            .map(|(meter, side)| {
                format!(
                    "{} with {meter}",
                    with_volts(&figures::expected(side, resolution))
                )
            })
            .collect();
        if !answers.is_empty() {
            sentences.push(format!(
                "if the manual was read with {}, expect {}.",
                otherwise.meter.name,
                answers.join(", ")
            ));
        }
    }
    sentences
}

/// Why an entry is doubted; none where it is not.
pub(crate) fn doubt(job: &Job, manual: ManualView<'_>, entry: usize) -> Option<String> {
    let judged = row_of(manual.belief, entry).filter(|judged| !judged.believable())?;
    let figure = &job.manual.get(entry)?.figure;
    let made_of_it = match judged.value_status {
        ValueStatus::Misprint => "left out as a misprint",
        ValueStatus::OtherMeter => "left out as read with another meter",
        ValueStatus::Believed | ValueStatus::Doubted => "it counts as printed",
    };
    Some(format!(
        "DOUBTED by check: printed {}, {} σ from {} (1 σ); {made_of_it}.",
        printed_with_unit(figure, job.manual.get(entry)?.quantity),
        decimal(judged.residual_sigma.abs(), 1),
        with_sigma(judged.predicted.volts, judged.predicted.standard)
    ))
}
