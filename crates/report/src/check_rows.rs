//! A checked manual as rows for a spreadsheet.

use circuit::Job;

use crate::csv_text::{maybe, number, Sheet};
use crate::manual;
use crate::translate_rows::csv_entry;
use crate::views::CheckView;

/// One row a point.
pub(crate) fn csv(views: &[CheckView<'_>]) -> Sheet {
    let mut rows = Vec::new();
    for view in views {
        let (Some(job), Some(translation)) = (view.job, view.translation) else {
            continue;
        };
        for point in &translation.points {
            let Some(entry) = job.manual.get(point.entry) else {
                continue;
            };
            let model = point.outcome.as_ref().map(|carried| carried.model);
            let model = model.unwrap_or_default();
            let mut row = csv_entry(job, entry);
            row.extend([
                maybe(model.as_documented),
                maybe(model.unloaded),
                maybe(model.disagreement),
            ]);
            row.extend(csv_belief(job, view, point.entry));
            rows.push(row);
        }
    }
    Sheet {
        heads: &[
            "job",
            "point",
            "at",
            "against",
            "quantity",
            "manual",
            "manual unit",
            "model as documented (V)",
            "model unloaded (V)",
            "unexplained (V)",
            "should be (V)",
            "standard deviation (V)",
            "off (standard deviations)",
            "believable",
            "may be wrong in its stead",
            "would fit with",
            "not judged",
        ],
        rows,
    }
}

/// What is believed of an entry, as seven cells.
fn csv_belief(job: &Job, view: &CheckView<'_>, entry: usize) -> [String; 7] {
    let mut cells: [String; 7] = Default::default();
    let Some(belief) = view.manual.belief else {
        return cells;
    };
    if let Some(judged) = manual::row_of(Some(belief), entry) {
        let labels = judged.rivals.iter().filter_map(|index| {
            let rival = job.manual.get(*index)?;
            Some(rival.point.as_str())
        });
        let slips = judged.explanations.iter();
        let slips = slips.map(|found| manual::slip_words(job, judged, found));
        cells[0] = number(judged.predicted.volts);
        cells[1] = number(judged.predicted.standard);
        cells[2] = number(judged.residual_sigma);
        cells[3] = if judged.believable() { "yes" } else { "no" }.to_owned();
        cells[4] = labels.collect::<Vec<_>>().join("; ");
        cells[5] = slips.collect::<Vec<_>>().join("; ");
    }
    if let Some(left) = manual::left_out_of(belief, entry) {
        cells[6] = manual::why(&left.why);
    }
    cells
}
