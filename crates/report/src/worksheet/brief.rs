//! Remarks on a point in as few words as a narrow column asks for.
//!
//! A row of the manual and what was worked out for it come in; phrases go out, to be set one
//! after another. The full sentences are not known here.

use circuit::ManualRow;
use translate::{Carried, NotCarried, Remark};

use crate::figures;
use crate::labels::unbroken;
use crate::places::quantity_words;
use crate::quantity;
use crate::remarks;

use super::answer::Answer;

/// Phrases for a point: what to mind, and last the manual's own note.
pub(crate) fn brief(row: ManualRow<'_>, answer: &Answer<'_>, of_manual: &[String]) -> Vec<String> {
    // Phrases end with no full stop: others follow.
    let sentences = of_manual.iter();
    let mut phrases: Vec<String> = sentences
        .map(|sentence| sentence.trim_end_matches('.').to_owned())
        .collect();
    // With a row of its own it stands below a heading that says how it is measured.
    if answer.apart().is_none() {
        let asks_for = quantity_words(row.quantity).trim_end_matches('.');
        phrases.push(asks_for.to_lowercase());
    }
    match answer {
        Answer::Carried(entry, carried) => {
            let sentences = remarks::sentences(entry, carried);
            let pairs = carried.remarks.iter().zip(sentences);
            phrases.extend(pairs.map(|(remark, sentence)| match remark {
                Remark::OtherRange(other) => other_range(
                    figures::range(other.range.full_scale, false),
                    figures::carried(other.expected, entry.figure.resolution),
                    carried,
                ),
                Remark::LineNotApplied
                | Remark::OffScale
                | Remark::TwoStates(_)
                | Remark::OneState
                | Remark::AboveSources(_)
                | Remark::BeyondRange(_)
                | Remark::BeyondJump(_) => sentence.trim_end_matches('.').to_owned(),
            }));
        }
        Answer::Apart(apart) => phrases.extend(quantity::at_the_bench(apart)),
        Answer::Not(reason) => phrases.push(left_as_printed(reason)),
        Answer::Predicted(_) | Answer::Nothing => {}
    }
    let note = row.note.trim();
    if !note.is_empty() {
        phrases.push(format!("“{note}”"));
    }
    phrases.retain(|phrase| !phrase.is_empty());
    phrases
}

fn other_range(range: String, expected: String, carried: &Carried) -> String {
    let (range, expected) = (unbroken(&range), unbroken(&figures::with_volts(&expected)));
    match carried.bench.as_slice() {
        // With several meters it has to be said which of them is meant.
        [first, _, ..] => format!("if read on\u{a0}{range}: {expected} with {}", first.meter),
        _ => format!("if read on\u{a0}{range}: {expected}"),
    }
}

fn left_as_printed(reason: &NotCarried) -> String {
    match reason {
        NotCarried::NotDrawn => "not drawn, not translated".to_owned(),
        other => format!("not translated: {}", remarks::reason_words(other)),
    }
}
