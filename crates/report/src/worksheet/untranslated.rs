//! Points of a sheet that are not translated, gathered in few lines.

use super::model::Worksheet;
use super::point::Warning;
use super::points::{reach, short_names, verdicts};

/// Points that are not translated, those of which the same is to be said in one line.
pub(super) fn untranslated(sheet: &Worksheet) -> Vec<String> {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for point in sheet.points.iter().filter(|point| !point.is_row()) {
        let mut words = vec![point.manual.text.clone()];
        words.extend(point.danger.as_ref().map(danger));
        words.extend(verdicts(point));
        words.extend(
            point
                .boxes
                .iter()
                .flatten()
                .map(|boxed| format!("read {}", boxed.text)),
        );
        words.extend(point.brief.iter().cloned());
        let words = words.join("; ");
        let names = std::iter::once(&point.point).chain(&point.also).cloned();
        match told.iter_mut().find(|(known, _)| *known == words) {
            Some((_, own)) => own.extend(names),
            None => told.push((words, names.collect())),
        }
    }
    let line = |(words, names): (String, Vec<String>)| format!("{}: {words}.", short_names(&names));
    told.into_iter().map(line).collect()
}

/// The mark in words, how far the point may go, and what to look at.
fn danger(warning: &Warning) -> String {
    let rating = match warning.check_rating {
        true => ", check meter and lead rating",
        false => "",
    };
    format!(
        "{} {} {}{rating}",
        warning.sign,
        warning.word,
        reach(warning)
    )
}
