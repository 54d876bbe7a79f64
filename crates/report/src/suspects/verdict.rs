//! What can be said of a set as a whole, in a sentence or two.
//!
//! The ranked suspects come in; sentences that claim no more than the readings support go out.

use circuit::Job;
use diagnose::{AmbiguityGroup, Conclusion, Hypothesis, Member, Suspects};

use crate::figures;
use crate::labels::{each_once, unbroken};
use crate::places::taken;

use super::convicted::{convicted, SURE};
use super::words::{short_words, suspect_words};

/// Said where no reading counts.
pub(crate) const NONE_USED: &str = "Can't tell: none of the readings can be used.";

/// Suspects that are counted as sharing the probability between them.
const SHARING: f64 = 0.9;

/// Odds beyond which no figure is given.
const MOST_ODDS: f64 = 1000.0;

/// Whether anything can be told, who leads, and how surely.
pub(crate) fn verdict(job: &Job, suspects: &Suspects) -> Vec<String> {
    let Some((first, member)) = leader(suspects) else {
        return vec![NONE_USED.to_owned()];
    };
    match suspects.conclusion {
        Conclusion::Leads => {
            let mut lines = leads(job, suspects, first, member);
            lines.extend(in_any_case(job, suspects));
            lines
        }
        Conclusion::TooFewReadings { readings: 0 } => {
            vec![NONE_USED.to_owned()]
        }
        Conclusion::TooFewReadings { readings } => vec![format!(
            "Can't tell yet: {} can be used, and at least two are needed. Read more points.",
            counted(readings, "reading")
        )],
        Conclusion::CannotTellYet { .. } => [format!(
            "Can't tell yet: no suspect is likelier than all others together. The first, {}, has \
             {} % only; {} share {} % between them.",
            called(job, first, member),
            figures::probability(first.probability),
            counted(sharing(suspects), "suspect"),
            figures::percent(SHARING * 100.0)
        )]
        .into_iter()
        .chain(in_any_case(job, suspects))
        .collect(),
        Conclusion::Contradicted { probability, .. } => {
            let mut lines = vec![format!(
                "Can't tell: the readings contradict every single fault. Even the nearest, {}, \
                 would give readings so far off only {}.",
                called(job, first, member),
                chance(probability)
            )];
            let odd = misfits(job, suspects, first);
            let again = match odd.is_empty() {
                true => "Read the points again".to_owned(),
                false => format!("Read again what it does not fit ({odd})"),
            };
            lines.push(format!(
                "{again}; then try two faults at once with --pairs; then compare the drawing with \
                 the set."
            ));
            lines
        }
    }
}

/// The first suspect and the member that stands for it.
pub(crate) fn leader(suspects: &Suspects) -> Option<(&AmbiguityGroup, &Member)> {
    let first = suspects.hypotheses.first()?;
    Some((first, first.members.first()?))
}

/// Whether two faults at once are among the suspects.
pub(super) fn tried_pairs(suspects: &Suspects) -> bool {
    let mut members = suspects.hypotheses.iter().flat_map(|one| &one.members);
    members.any(|member| member.faults.len() > 1)
}

/// What a member supposes; of two faults at once, the first.
pub(crate) fn kind(member: &Member) -> Option<Hypothesis> {
    member.faults.first().map(|(supposed, _)| *supposed)
}

fn leads(job: &Job, suspects: &Suspects, first: &AmbiguityGroup, member: &Member) -> Vec<String> {
    if kind(member) == Some(Hypothesis::NothingWrong) {
        let mut lines = vec![in_order(job, suspects, first, member)];
        lines.extend(against_print(job, suspects));
        return lines;
    }
    let together = match first.members.len() {
        1 => "",
        _ => " together",
    };
    let sure = format!(
        "{} %{together}, {}",
        figures::probability(first.probability),
        odds(first.probability)
    );
    let misfits = match first.fits_but_for_chance() {
        true => String::new(),
        false => misfits(job, suspects, first),
    };
    // No word of certainty where the leader leaves a reading unexplained: its odds are against what was tried.
    let start = match (first.probability, misfits.is_empty()) {
        (p, true) if p >= 0.95 => "Almost certainly",
        (p, true) if p >= 0.8 => "Very likely",
        (_, true) => "Most likely, not proven",
        (_, false) => "The best of what was tried, not proven",
    };
    let mut lines = vec![format!("{start} ({sure}): {}.", called(job, first, member))];
    if kind(member) == Some(Hypothesis::NoneOfThese) && !tried_pairs(suspects) {
        lines.push(
            "No single fault that was tried makes these readings: try two at once with --pairs, \
             and compare the drawing with the set."
                .to_owned(),
        );
    }
    if !misfits.is_empty() {
        let fits = fits_instead(job, suspects);
        lines.push(format!("It does not fit {misfits}{fits}."));
    }
    lines
}

/// The likeliest suspect behind the first that fits every reading; *none of these* fits any.
fn fits_instead(job: &Job, suspects: &Suspects) -> String {
    let others = suspects.hypotheses.iter().skip(1);
    let fitting = others.filter(|one| one.fits_all());
    let mut named = fitting.filter_map(|one| Some((one, one.members.first()?)));
    let other = named.find(|(_, member)| kind(member) != Some(Hypothesis::NoneOfThese));
    other.map_or(String::new(), |(one, member)| {
        format!(
            ", while {} ({} %) fits all",
            suspect_words(job, member),
            figures::probability(one.probability)
        )
    })
}

/// The part whose faults are all that is left, where they are several.
fn in_any_case(job: &Job, suspects: &Suspects) -> Option<String> {
    let found = convicted(job, suspects)?;
    let (first, _) = leader(suspects)?;
    let part = job.circuit.parts().get(found.part.0)?;
    let alone = first.members.len() == 1 && first.probability >= SURE;
    (!alone).then(|| {
        format!(
            "Whichever fault it is, {} has it: {} % together.",
            taken(part),
            figures::probability(found.probability)
        )
    })
}

/// What is in order by the drawing alone: printed values that it contradicts say otherwise.
fn against_print(job: &Job, suspects: &Suspects) -> Option<String> {
    let places = &suspects.against_print;
    (!places.is_empty()).then(|| {
        format!(
            "But {} by printed values that check doubts. If those are right, the set lacks what the \
             drawing does not have either, such as the oscillation that biases a grid, or a signal.",
            match places.as_slice() {
                [one] => format!("{} fails", points(job, suspects, &[*one])),
                many => format!("{} fail", points(job, suspects, many)),
            }
        )
    })
}

/// What readings in order leave open.
fn in_order(job: &Job, suspects: &Suspects, first: &AmbiguityGroup, member: &Member) -> String {
    let read = counted(suspects.counted(), "reading");
    let percent = |share: f64| figures::probability(share);
    let whole = match first.fits_but_for_chance() {
        true if !suspects.against_print.is_empty() => {
            format!("By the drawing the readings are in order ({read})")
        }
        true => format!("The readings are in order ({read})"),
        false => format!(
            "'Nothing wrong' is likeliest by {read}, but does not fit {}{}",
            misfits(job, suspects, first),
            fits_instead(job, suspects)
        ),
    };
    match &first.members[1..] {
        [] => format!("{whole}: nothing wrong {} %.", percent(first.probability)),
        [other, rest @ ..] => {
            let sum: f64 = rest.iter().map(|one| one.probability).sum();
            let more = match rest.len() {
                0 => String::new(),
                1 => format!(" or from one more fault ({} %)", percent(sum)),
                many => format!(" or from {many} more faults ({} % together)", percent(sum)),
            };
            format!(
                "{whole}; they cannot tell 'nothing wrong' ({} %) from {} ({} %){more}.",
                percent(member.probability),
                short_words(job, other),
                percent(other.probability)
            )
        }
    }
}

/// The suspect by its first member, and how many more are meant.
fn called(job: &Job, suspect: &AmbiguityGroup, member: &Member) -> String {
    let words = suspect_words(job, member);
    match suspect.members.len() - 1 {
        0 => words,
        1 => format!("{words}, or one other fault that reads the same"),
        many => format!("{words}, or one of {many} faults that read the same"),
    }
}

/// `p/(1 − p)` in words: `about 13 to 1`.
fn odds(probability: f64) -> String {
    let odds = probability / (1.0 - probability).max(f64::MIN_POSITIVE);
    match odds {
        odds if odds.is_nan() => "odds unknown".to_owned(),
        odds if odds > MOST_ODDS => format!("more than {} to 1", figures::short(MOST_ODDS, 4)),
        odds if odds < 1.1 => "about even".to_owned(),
        odds => format!("about {} to 1", figures::short(odds, 2)),
    }
}

/// How often something so improbable happens.
fn chance(probability: f64) -> String {
    let once = 1.0 / probability.max(f64::MIN_POSITIVE);
    match once > 1e9 {
        true => "less than once in a billion times".to_owned(),
        false => format!("once in {} times", figures::short(once, 1)),
    }
}

/// The fewest suspects that hold most of the probability.
fn sharing(suspects: &Suspects) -> usize {
    let mut sum = 0.0;
    let fewer = suspects.hypotheses.iter().take_while(|suspect| {
        let below = sum < SHARING;
        sum += suspect.probability;
        below
    });
    fewer.count()
}

/// What a suspect leaves unexplained, volts and resistances, the first few by name.
pub(crate) fn misfits(job: &Job, suspects: &Suspects, suspect: &AmbiguityGroup) -> String {
    let volts = suspect.unexplained.iter();
    let volts = volts.filter_map(|place| Some(suspects.readings.get(*place)?.reading));
    named(job, volts.chain(suspect.ohms_unexplained.iter().copied()))
}

/// Points of used readings, the first few by name.
pub(crate) fn points(job: &Job, suspects: &Suspects, places: &[usize]) -> String {
    let used = places
        .iter()
        .filter_map(|place| suspects.readings.get(*place));
    named(job, used.map(|used| used.reading))
}

fn named(job: &Job, readings: impl Iterator<Item = usize>) -> String {
    let read = readings.filter_map(|reading| job.readings.get(reading));
    // A point that was read twice and shows the same counts twice.
    let names = each_once(read.map(|reading| unbroken(&reading.point)));
    match names.len() {
        0..=6 => names.join(", "),
        many => format!("{} and {} more", names[..5].join(", "), many - 5),
    }
}

/// `1 reading`, `28 readings`.
pub(crate) fn counted(count: usize, noun: &str) -> String {
    match count {
        1 => format!("1 {noun}"),
        many => format!("{many} {noun}s"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn odds_are_rounded_and_never_infinite() {
        // p/(1 − p) by hand: 0.93/0.07 = 13.29, 0.57/0.43 = 1.33.
        assert_eq!(odds(0.93), "about 13 to 1");
        assert_eq!(odds(0.57), "about 1.3 to 1");
        assert_eq!(odds(0.5), "about even");
        assert_eq!(odds(1.0), "more than 1000 to 1");
        assert_eq!(chance(1e-4), "once in 10000 times");
        assert_eq!(chance(0.0), "less than once in a billion times");
    }
}
