//! Points of a sheet without a row of their own, for they are not translated, gathered in few lines.

use super::model::Worksheet;
use super::point::{SheetPoint, Warning};
use super::point_words::{reach, short_names, verdicts};

/// Points that are not translated.
pub(super) fn untranslated(sheet: &Worksheet) -> Vec<String> {
    let points = sheet.points.iter();
    gathered(points.filter(|point| !point.is_row() && !point.apart))
}

/// Points of which the same is to be said in one line.
fn gathered<'a>(points: impl Iterator<Item = &'a SheetPoint>) -> Vec<String> {
    let mut told: Vec<(String, Vec<String>)> = Vec::new();
    for point in points {
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
        // A note is of one of the names.
        let named = |phrase: &String, name: &str| match phrase.starts_with('“') {
            true if !point.also.is_empty() => format!("{name} {phrase}"),
            _ => phrase.clone(),
        };
        words.extend(point.brief.iter().map(|phrase| named(phrase, &point.point)));
        let again = point.again.iter().flat_map(|again| {
            let notes = again.brief.iter();
            notes
                .filter(|phrase| phrase.starts_with('“'))
                .map(|phrase| named(phrase, &again.point))
        });
        words.extend(again);
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
