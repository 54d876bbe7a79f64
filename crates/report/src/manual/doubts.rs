//! Believed and doubted values, as `check` shows them.

use circuit::{Job, MeterRange};
use reconcile::{Belief, Explanation, Judged, LeftOut, ValueStatus};
use translate::Translation;

use crate::document::{Block, Headline};
use crate::figures::{decimal, printed_with_unit, range, with_sigma};
use crate::labels::listed;
use crate::places::where_text;
use crate::tone::Tone;

use super::drawing_slips::drawing_slips;
use super::own_bias::own_bias;
use super::slips::slip_words;
use super::{left_out, spreads};

/// Said wherever something is doubted.
const NOT_APPLIED: &str = "No printed value is changed for this: that is yours to do, with the \
                           page in hand. What is plainly a slip of the pen, or cannot have been \
                           read with its meter, is left out, any other value counts as printed.";

/// Explanations of one value shown before the rest is counted only.
const SHOWN: usize = 5;

/// The doubted values, in the order of the manual.
pub(crate) fn doubted(belief: &Belief) -> impl Iterator<Item = &Judged> {
    belief.points.iter().filter(|judged| !judged.believable())
}

/// What was found of an entry.
pub(crate) fn row_of(belief: Option<&Belief>, entry: usize) -> Option<&Judged> {
    let points = &belief?.points;
    let place = points.binary_search_by_key(&entry, |judged| judged.entry);
    points.get(place.ok()?)
}

/// Why an entry is not judged; none if it is.
pub(crate) fn left_out_of(belief: &Belief, entry: usize) -> Option<&LeftOut> {
    let left = &belief.left_out;
    let place = left.binary_search_by_key(&entry, |left| left.entry);
    left.get(place.ok()?)
}

/// Whether the manual is to be believed: a summary, each doubted value, what is left out, and what
/// was assumed.
pub(crate) fn blocks(job: &Job, belief: &Belief, translation: Option<&Translation>) -> Vec<Block> {
    let mut blocks = vec![Block::Caption("Do the manual's values agree?".to_owned())];
    // The first line of it is the headline.
    let rest = summary(job, belief).split_off(1);
    blocks.extend((!rest.is_empty()).then_some(Block::Lines(rest)));
    let doubts: Vec<&Judged> = doubted(belief).collect();
    // One doubted value is more often a slip of the pen than one of the drawing, several seldom are.
    let by_drawing = drawing_slips(job, belief);
    let on_another = other_range(belief);
    let (before, after) = match (doubts.len(), &on_another) {
        (1, _) | (_, Some(_)) => (None, by_drawing),
        _ => (by_drawing, None),
    };
    blocks.extend(on_another.map(|on| {
        let advice = format!(
            "All of them would fit if read on {on}: the range is assumed, and the manual's meter \
             may have had others. State it under `range`, or the meter's ranges in meters.toml."
        );
        Block::Lines(vec![advice])
    }));
    // What the drawing lacks at a grid is no question where one slip in it explains the others too.
    let at_rest = before.is_none();
    blocks.extend(before);
    for judged in &doubts {
        blocks.extend(doubt(job, judged, translation, at_rest));
    }
    blocks.extend(after);
    let mut lines = Vec::new();
    if !doubts.is_empty() {
        lines.push(
            "σ: standard deviation, from the spread of the parts, the rounding of the printed \
             values and the manual's meter."
                .to_owned(),
        );
        lines.push(NOT_APPLIED.to_owned());
    }
    lines.extend(left_out::lines(job, &belief.left_out));
    lines.extend(spreads::line(job, belief));
    lines.extend(spreads::positions_found(job, belief));
    if !lines.is_empty() {
        blocks.push(Block::Lines(lines));
    }
    blocks
}

/// Whether the values agree, in one line.
pub(crate) fn headline(job: &Job, belief: &Belief) -> Block {
    let text = summary(job, belief).swap_remove(0);
    let tones = vec![("DOUBTED".to_owned(), Tone::Bad)];
    Block::Headline(Headline { text, tones })
}

/// The one range on which every doubted value would fit, of several on one assumed range: the manual's meter then
/// did not have the range that was taken to be its.
fn other_range(belief: &Belief) -> Option<String> {
    let doubts: Vec<&Judged> = doubted(belief).collect();
    let [first, _, ..] = doubts[..] else {
        return None;
    };
    let assumed = |one: &&Judged| one.range.assumed && one.range.range == first.range.range;
    let fits = |one: &&Judged, on: MeterRange| {
        let mut each = one.explanations.iter();
        each.any(|found| match &found.explanation {
            Explanation::OtherRange { range } => *range == on,
            _ => false,
        })
    };
    let mut ranges = first
        .explanations
        .iter()
        .filter_map(|found| match &found.explanation {
            Explanation::OtherRange { range } => Some(*range),
            _ => None,
        });
    let common = ranges.find(|range| doubts.iter().all(|one| assumed(one) && fits(one, *range)))?;
    Some(format!(
        "{} in place of {}",
        range(common.full_scale, false),
        range(first.range.range.full_scale, false)
    ))
}

fn summary(job: &Job, belief: &Belief) -> Vec<String> {
    let total = belief.points.len();
    let doubts: Vec<&str> = doubted(belief)
        .filter_map(|judged| Some(job.manual.get(judged.entry)?.point.as_str()))
        .collect();
    let agreement = &belief.agreement;
    if total == 0 {
        return vec!["No value of the manual can be judged.".to_owned()];
    }
    let values = if total == 1 { "value" } else { "values" };
    let mut lines = vec![match doubts.len() {
        0 if agreement.disagrees() => format!("None of {total} {values} stands out by itself."),
        0 if total == 1 => "The one value that can be judged agrees with the drawn circuit.".into(),
        0 => {
            format!("{total} of {total} {values} agree with each other and with the drawn circuit.")
        }
        count => {
            let on_another = other_range(belief);
            let by_drawing = match (belief.drawing_slips.is_empty(), &belief.two_drawing_slips) {
                _ if on_another.is_some() => " Another range would explain them all.",
                (false, _) if count > 1 => " One slip in the drawing would explain them all.",
                (true, Some(_)) => " Two slips in the drawing would explain them all.",
                _ => "",
            };
            format!(
                "{count} of {total} {values} DOUBTED: {}.{by_drawing}",
                doubts.join(", ")
            )
        }
    }];
    if agreement.readings == 0 {
        return lines;
    }
    let which = match doubts.len() {
        0 => "All",
        _ => "The others",
    };
    let (misfit, usual) = (
        decimal(agreement.chi_squared, 1),
        decimal(agreement.usual_misfit(), 0),
    );
    let readings = match agreement.readings {
        1 => "1 reading".to_owned(),
        count => format!("{count} readings"),
    };
    lines.push(match agreement.disagrees() {
        false => {
            format!("{which} together: misfit {misfit} for {readings}; up to {usual} is usual.")
        }
        true => format!(
            "{which} together DISAGREE with the drawn circuit: misfit {misfit} for {readings}, \
             where up to {usual} is usual. Look for a slip in the netlist, in the manual's meter \
             or in its line voltage."
        ),
    });
    lines
}

/// One doubted value; whether its grid may bias itself, as a drawing at rest does not show.
fn doubt(
    job: &Job,
    judged: &Judged,
    translation: Option<&Translation>,
    at_rest: bool,
) -> Option<Block> {
    let entry = job.manual.get(judged.entry)?;
    let place = where_text(job, entry);
    let place = match place.is_empty() {
        true => String::new(),
        false => format!(", {place}"),
    };
    let mut lines = vec![format!(
        "Point {}{place}: printed {}; the others and the circuit say {} (1 σ): {} σ off.",
        entry.point,
        printed_with_unit(&entry.figure, entry.quantity),
        with_sigma(judged.predicted.volts, judged.predicted.standard),
        decimal(judged.residual_sigma.abs(), 1),
    )];
    let rivals: Vec<&str> = judged
        .rivals
        .iter()
        .filter_map(|index| Some(job.manual.get(*index)?.point.as_str()))
        .collect();
    if !rivals.is_empty() {
        lines.push(format!(
            "Or wrong in its stead, about as likely: {}.",
            listed(rivals)
        ));
    }
    let point = translation.and_then(|all| {
        let mut points = all.points.iter();
        points.find(|point| point.entry == judged.entry)
    });
    let taken = point.and_then(|point| point.outcome.as_ref().ok());
    match judged.value_status {
        ValueStatus::OtherMeter => lines.push(
            "The manual's meter would leave less than a twentieth of the volts here: it was rather read \
             with another one. State that in the manual's column `meter`."
                .to_owned(),
        ),
        _ if at_rest => lines.extend(own_bias(job, entry, taken)),
        _ => {}
    }
    if judged.explanations.is_empty() {
        lines.push(
            "No slip of reading or printing that is tried here explains it; look at the page, \
             and at the drawing round the point."
                .to_owned(),
        );
    } else {
        lines.push("It would fit, most likely first, with".to_owned());
    }
    for (place, found) in judged.explanations.iter().take(SHOWN).enumerate() {
        lines.push(format!(
            "({}) {}",
            place + 1,
            slip_words(job, judged, found)
        ));
    }
    let more = judged.explanations.len().saturating_sub(SHOWN);
    if more > 0 {
        lines.push(format!("and {more} more, less likely"));
    }
    Some(Block::Lines(lines))
}
