//! How far each reading lies from what one suspect predicts.

use paper::{Axis, IntervalChart, IntervalRow, Key, MarkerKind, Picture, Scale, Sign};

use super::{unbroken, WIDTH};
use crate::clean::clean;
use crate::figures;
use crate::places::where_text;
use crate::suspects::suspect_words;
use crate::views::SuspectsView;

/// Standard deviations beyond which a reading is not explained.
const FAR: f64 = 2.0;

/// Ends of the axis in standard deviations.
const REACH: f64 = 6.0;

/// Rank of the most probable suspect that the view asks to be told of.
pub(super) fn explained(view: &SuspectsView<'_>) -> Option<usize> {
    let wanted = view.explain?;
    let mut ranked = view.suspects.hypotheses.iter();
    ranked.position(|suspect| {
        suspect
            .members
            .iter()
            .any(|member| wanted.is_of(&view.job.circuit, member))
    })
}

/// Standard deviations with a sign before every figure, so that they stand below each other.
fn signed(off: f64) -> String {
    let text = figures::decimal(off, 1);
    match text.as_str() {
        "0.0" => format!("±{text}"),
        _ if off > 0.0 => format!("+{text}"),
        _ => text,
    }
}

/// Reading less prediction of the suspect of this rank (0 is the most probable), in standard deviations of both; a
/// disc where it fits, a cross where it does not. None without such a suspect or any reading.
#[must_use]
pub fn residuals_picture(view: &SuspectsView<'_>, rank: usize) -> Option<Picture> {
    let suspect = view.suspects.hypotheses.get(rank)?;
    let used = view.suspects.readings.iter();
    let predictions = suspect.predicted.iter().zip(&suspect.sigma);
    let rows: Vec<(IntervalRow, bool)> = used
        .zip(predictions)
        .filter_map(|(used, (predicted, sigma))| {
            let reading = view.job.readings.get(used.reading)?;
            let entry = used.entry.and_then(|entry| view.job.manual.get(entry));
            let place = entry.map_or(String::new(), |entry| where_text(view.job, entry));
            let off = used.shown.map(|shown| (shown - predicted) / sigma);
            let off = off.filter(|off| off.is_finite());
            let fits = off.is_none_or(|off| off.abs() <= FAR);
            let kind = match fits {
                true => MarkerKind::Circle,
                false => MarkerKind::Cross,
            };
            let row = IntervalRow {
                label: clean(format!("{}  {place}", reading.point).trim_end()),
                interval: off.map(|off| (off.min(0.0), off.max(0.0))),
                mark: off.map(|off| (off, kind)),
                limits: Some((-FAR, FAR)),
                note: match (off, fits) {
                    (None, _) => "overrange".to_owned(),
                    (Some(off), true) => format!("{} σ", signed(off)),
                    (Some(off), false) => format!("{} σ, does not fit", signed(off)),
                },
            };
            Some((row, fits))
        })
        .collect();
    let member = suspect.members.first()?;
    if rows.is_empty() {
        return None;
    }
    let unfit = rows.iter().filter(|(_, fits)| !fits).count();
    let words = clean(&suspect_words(view.job, member));
    let key = |sign, words: &str| Key {
        sign,
        words: words.to_owned(),
    };
    let chart = IntervalChart {
        title: unbroken(&format!("Readings against a suspect: {words}")),
        description: format!("{unfit} of {} readings do not fit.", rows.len()),
        width: WIDTH,
        axis: Axis::new(
            "reading less prediction, in standard deviations of both",
            Scale::Linear,
            (-REACH, REACH),
            &|value| figures::decimal(value, 0),
        ),
        reference: Some(0.0),
        rows: rows.into_iter().map(|(row, _)| row).collect(),
        keys: vec![
            key(Sign::Marker(MarkerKind::Circle), "fits"),
            key(Sign::Marker(MarkerKind::Cross), "does not fit"),
            key(Sign::Limits, "two standard deviations"),
        ],
    };
    Some(chart.picture())
}
