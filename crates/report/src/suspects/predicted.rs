//! What suspects predict at a measurement: figures that a meter may show, with the faults of each.
//!
//! Predictions by suspect and member come in; words and cards go out. What is measured, and where, is not
//! known here.

use circuit::Job;
use diagnose::{Hypothesis, Member, Suspects};

use crate::document::Card;
use crate::figures;
use crate::labels::{capital, each_once};

use super::verdict::{kind, leader};
use super::words::{short_words, sized_words};
use super::worth::{LEAST, LEAST_BITS, LEAST_SHARE, NAMED, TOLD};

/// Ohms that differ by less than this share are told as one: what leads and ranges leave.
const SAME: f64 = 0.05;

/// A prediction: the suspect, its member, and the figure.
pub(super) type Prediction = (usize, usize, f64);

/// A figure and the faults that put it there.
pub(super) type Told<'a> = (f64, Vec<&'a Member>);

/// Figures that a meter may show, the same ones together.
pub(super) fn told<'a>(
    suspects: &'a Suspects,
    predictions: impl IntoIterator<Item = Prediction>,
    same: impl Fn(f64, f64) -> bool,
) -> Vec<Told<'a>> {
    let mut told: Vec<Told<'a>> = Vec::new();
    for (rank, (suspect, member, value)) in predictions.into_iter().enumerate() {
        let suspect = suspects.hypotheses.get(suspect);
        let Some(member) = suspect.and_then(|one| one.members.get(member)) else {
            continue;
        };
        if member.probability < LEAST && rank >= 2 {
            continue;
        }
        match told.iter_mut().find(|(known, _)| same(*known, value)) {
            Some((_, members)) => members.push(member),
            None => told.push((value, vec![member])),
        }
    }
    told
}

/// Whether an ohmmeter shows two resistances as one.
pub(super) fn same_ohms(one: f64, other: f64) -> bool {
    // An ohm is added, so that a short has a logarithm.
    let log = |ohms: f64| (ohms + 1.0).ln();
    let both_open = one.is_infinite() && other.is_infinite();
    both_open || (log(one) - log(other)).abs() < SAME
}

/// The faults of one figure in short, the less probable ones counted; with its size, a fault that another
/// figure has in another size.
pub(super) fn names(job: &Job, members: &[&Member], told: &[Told<'_>]) -> Vec<String> {
    // A fault of two sizes, or a socket with several other types, has the same words twice.
    let mut names = each_once(members.iter().map(|member| {
        let short = short_words(job, member);
        let figures = told.iter().filter(|(_, members)| {
            let mut named = members.iter().take(NAMED);
            named.any(|other| short_words(job, other) == short)
        });
        match figures.count() {
            0 | 1 => short,
            _ => sized_words(job, member),
        }
    }));
    let more = names.len().saturating_sub(NAMED);
    names.truncate(NAMED);
    match more {
        0 => {}
        1 => names.push("another".to_owned()),
        more => names.push(format!("{more} others")),
    }
    names
}

/// `121 V if C6 leaky or R9 open; 92 V if nothing wrong`.
pub(super) fn sentence(job: &Job, told: &[Told<'_>], figure: impl Fn(f64) -> String) -> String {
    let told = &told[..told.len().min(TOLD)];
    let each = told.iter().map(|(value, members)| {
        let names = names(job, members, told).join(" or ");
        format!("{} if {names}", figure(*value))
    });
    each.collect::<Vec<_>>().join("; ")
}

/// Whether a measurement of this gain in bits settles enough to be worth it, and its share of what is open.
pub(super) fn settles(gain_bits: f64, open_bits: f64) -> (bool, f64) {
    let share = (gain_bits / open_bits).min(1.0);
    (gain_bits >= LEAST_BITS && share >= LEAST_SHARE, share)
}

/// Whether a set in order leads and fits every reading, which asks for nothing to be measured.
pub(super) fn is_in_order(suspects: &Suspects) -> bool {
    leader(suspects)
        .is_some_and(|(first, own)| kind(own) == Some(Hypothesis::NothingWrong) && first.fits_all())
}

/// A measurement on a card of its own: what is done, how far it would settle the question, what to expect.
pub(super) fn card(number: usize, done: &str, share: f64, expected: &str) -> Card {
    Card {
        label: format!("{}.", number + 1),
        head: format!(
            "{}; would settle about {} % of the question",
            capital(done),
            figures::decimal(share * 100.0, 0)
        ),
        lines: vec![format!("expect {expected}")],
    }
}
