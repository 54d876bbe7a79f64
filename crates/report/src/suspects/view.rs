//! The suspects in a list, with what can be said above and what to do next below.
//!
//! A view comes in; blocks go out. Faults that read the same stand under one number.

use circuit::Job;
use diagnose::{AmbiguityGroup, Hypothesis, Member, Suspects};
use translate::Verdict;

use crate::document::{Block, Card, Headline};
use crate::figures;
use crate::heading;
use crate::live_chassis::live_chassis;
use crate::low_volts::has_tubes;
use crate::manual;
use crate::tone::Tone;
use crate::views::SuspectsView;

use super::convicted::repair;
use super::next::{next_step, probe_cards};
use super::next_ohms::{ohm_cards, ohms_noted, power_off};
use super::next_parts::{before_a_step, step_cards, steps_noted};
use super::notes::notes;
use super::signal::with_signal;
use super::verdict::{kind, leader, misfits, points, verdict};
use super::words::suspect_words;

/// Suspects shown, at most and at least; beyond the least only those of this probability.
const MOST: usize = 12;
const FEWEST: usize = 3;
const WORTH_A_LINE: f64 = 0.01;

/// Suspects on a sheet, at most.
const ON_A_SHEET: usize = 4;

/// Faults under one number that get a line each, and the share of its probability below which one
/// does not.
const MEMBERS: usize = 6;
const MEMBER_SHARE: f64 = 0.05;

/// What can be said, the ranking, where to probe, notes, and the next step of one job.
pub(crate) fn blocks(view: &SuspectsView<'_>) -> Vec<Block> {
    let (job, suspects) = (view.job, view.suspects);
    let mut blocks = vec![Block::Title(heading::title(job))];
    blocks.extend(said(job, suspects));
    blocks.extend(within_scatter(view).map(|words| Block::Lines(vec![words])));
    blocks.extend(with_signal(view).map(|words| Block::Lines(vec![words])));
    blocks.extend(live_chassis(job));
    let cards = cards(job, suspects, MOST);
    if !cards.is_empty() {
        blocks.push(Block::Caption("Suspects".to_owned()));
        blocks.push(Block::Cards(cards));
        blocks.extend(rest(suspects).map(|words| Block::Lines(vec![words])));
    }
    let probes = if_open(job, suspects, probe_cards);
    if !probes.is_empty() {
        blocks.push(Block::Caption("Where to probe next".to_owned()));
        blocks.push(Block::Cards(probes));
    }
    let off = if_open(job, suspects, ohm_cards);
    if !off.is_empty() {
        blocks.push(Block::Caption(
            "What to measure with the power off".to_owned(),
        ));
        blocks.push(Block::Lines(vec![power_off(job)]));
        blocks.push(Block::Cards(off));
        blocks.extend(ohms_noted(suspects).map(|words| Block::Lines(vec![words])));
    }
    let steps = if_open(job, suspects, step_cards);
    if !steps.is_empty() {
        blocks.push(Block::Caption("What to swap or lift".to_owned()));
        blocks.push(Block::Lines(vec![before_a_step(job)]));
        blocks.push(Block::Cards(steps));
        blocks.extend(steps_noted(job, suspects).map(|words| Block::Lines(vec![words])));
    }
    blocks.push(Block::Caption("Notes".to_owned()));
    let mut facts = heading::facts(job);
    facts.extend(manual::heading(view.manual.classes));
    blocks.push(Block::Lines(facts));
    blocks.push(Block::Notes(notes(view)));
    blocks.extend(next_step(job, suspects).map(Block::Next));
    blocks
}

/// Readings that fail by the manual's limits although a set in order fits them, where no part leads: sound parts of
/// the drawing scatter more than the manual allows.
fn within_scatter(view: &SuspectsView<'_>) -> Option<String> {
    let suspects = view.suspects;
    if suspects.in_other_state {
        return Some(
            "By these readings the circuit is in the other of its two stable states than the manual's values \
              show, and they are judged by that one. Bring it into the manual's state and read again: a fault \
              may hold it where it is."
                .to_owned(),
        );
    }
    // A part that leads explains them, and so does what a set in order leaves unexplained.
    let (_, first) = leader(suspects)?;
    let in_order = in_order(suspects)?;
    match kind(first) {
        Some(Hypothesis::NothingWrong) => {}
        Some(Hypothesis::NoneOfThese) if in_order.fits_all() => {}
        _ => return None,
    }
    let fails = |place: &usize| {
        let used = &suspects.readings[*place];
        let mut compared = view.comparison.readings.iter();
        compared.any(|one| one.reading == used.reading && one.judgement.verdict == Verdict::Fail)
    };
    let places = 0..suspects.readings.len();
    // Of a value that is doubted the verdict speaks.
    let fitted = places.filter(|place| {
        !in_order.unexplained.contains(place) && !suspects.against_print.contains(place)
    });
    let told: Vec<usize> = fitted.filter(fails).collect();
    (!told.is_empty()).then(|| {
        format!(
            "Outside the manual's limits, but no further than sound {} of this drawing scatter: {}.",
            match has_tubes(view.job) {
                true => "tubes and parts",
                false => "parts",
            },
            points(view.job, suspects, &told)
        )
    })
}

/// Ranking and probes for a sheet, fewer of them; what can be said stands on its first page.
pub(crate) fn sheet_blocks(job: &Job, suspects: &Suspects) -> Vec<Block> {
    let cards = cards(job, suspects, ON_A_SHEET);
    let mut blocks: Vec<Block> = (!cards.is_empty())
        .then_some(Block::Cards(cards))
        .into_iter()
        .collect();
    let probes = if_open(job, suspects, probe_cards);
    if !probes.is_empty() {
        blocks.push(Block::Lines(vec!["Where to probe next:".to_owned()]));
        blocks.push(Block::Cards(probes));
    }
    let off = if_open(job, suspects, ohm_cards);
    if !off.is_empty() {
        blocks.push(Block::Lines(vec![power_off(job)]));
        blocks.push(Block::Cards(off));
    }
    let steps = if_open(job, suspects, step_cards);
    if !steps.is_empty() {
        blocks.push(Block::Lines(vec![before_a_step(job)]));
        blocks.push(Block::Cards(steps));
    }
    blocks
}

/// Steps that tell suspects apart; none where the part to blame is out already, for the set is no longer as it was read.
fn if_open(
    job: &Job,
    suspects: &Suspects,
    steps: impl Fn(&Job, &Suspects) -> Vec<Card>,
) -> Vec<Card> {
    match repair(job, suspects) {
        Some(_) => Vec::new(),
        None => steps(job, suspects),
    }
}

/// What can be said: the answer, and what it leaves open.
pub(crate) fn said(job: &Job, suspects: &Suspects) -> Vec<Block> {
    let mut lines = verdict(job, suspects).into_iter();
    let headline = lines.next().map(|text| {
        let start = text
            .split([':', '(', '.'])
            .next()
            .unwrap_or_default()
            .trim();
        let tones = vec![(start.to_owned(), Tone::Strong)];
        Block::Headline(Headline { text, tones })
    });
    let rest: Vec<String> = lines.collect();
    let rest = (!rest.is_empty()).then_some(Block::Lines(rest));
    headline.into_iter().chain(rest).collect()
}

/// The suspects worth a line, with their places; none without a reading that counts, for then there
/// are only the assumptions, and those say nothing of this set.
pub(crate) fn shown(suspects: &Suspects) -> impl Iterator<Item = (usize, &AmbiguityGroup)> {
    let most = if suspects.counted() == 0 { 0 } else { MOST };
    let ranked = suspects.hypotheses.iter().enumerate().take(most);
    ranked.filter(|(rank, suspect)| *rank < FEWEST || suspect.probability >= WORTH_A_LINE)
}

/// What the suspects without a line have together.
fn rest(suspects: &Suspects) -> Option<String> {
    let count = suspects.hypotheses.len() - shown(suspects).count();
    let seen: f64 = shown(suspects).map(|(_, one)| one.probability).sum();
    let all: f64 = suspects.hypotheses.iter().map(|one| one.probability).sum();
    let share = figures::probability(all - seen);
    match count {
        0 => None,
        1 => Some(format!("1 more suspect, {share} %.")),
        many => Some(format!("{many} more suspects, {share} % together.")),
    }
}

/// A card a suspect.
fn cards(job: &Job, suspects: &Suspects, most: usize) -> Vec<Card> {
    let each = shown(suspects).take(most);
    each.map(|(_, suspect)| card(job, suspects, suspect))
        .collect()
}

/// The suspect that a set in order is among.
fn in_order(suspects: &Suspects) -> Option<&AmbiguityGroup> {
    let mut all = suspects.hypotheses.iter();
    all.find(|one| holds_nothing_wrong(one))
}

/// How many readings of direct volts and of resistance a suspect does not fit.
fn odd(suspect: &AmbiguityGroup) -> usize {
    suspect.unexplained.len() + suspect.ohms_unexplained.len()
}

/// How many of those that a set in order does not fit a suspect does.
fn accounted(suspect: &AmbiguityGroup, in_order: &AmbiguityGroup) -> usize {
    let ohms = in_order.ohms_unexplained.iter();
    let ohms = ohms.filter(|reading| !suspect.ohms_unexplained.contains(reading));
    suspect.explained.len() + ohms.count()
}

/// Whether a set in order is among the faults of a suspect.
pub(super) fn holds_nothing_wrong(suspect: &AmbiguityGroup) -> bool {
    let mut members = suspect.members.iter();
    members.any(|member| kind(member) == Some(Hypothesis::NothingWrong))
}

fn card(job: &Job, suspects: &Suspects, suspect: &AmbiguityGroup) -> Card {
    let used = suspects.readings.len() + suspects.ohms.len();
    let (own, others) = members(suspect);
    let hidden = suspect.members.len() - own.len();
    let percent = |share: f64| format!("{}\u{a0}%", figures::probability(share));
    let fits = match misfits(job, suspects, suspect) {
        none if none.is_empty() => match used {
            0 => "weighed without direct volts".to_owned(),
            1 => "fits the reading".to_owned(),
            all => format!("fits all {all} readings"),
        },
        some => format!(
            "fits {} of {used} readings, not {some}",
            used - odd(suspect)
        ),
    };
    let deviating = in_order(suspects).filter(|in_order| odd(in_order) > 0);
    let nameless = |member: &Member| kind(member) == Some(Hypothesis::NoneOfThese);
    let mut lines = vec![match deviating {
        _ if suspect.members.first().is_some_and(nameless) => {
            "several faults at once, something that is not drawn, or a fault that is not tried"
                .to_owned()
        }
        None => fits,
        Some(in_order) => format!(
            "accounts for {} of {} deviating readings; {fits}",
            accounted(suspect, in_order),
            odd(in_order)
        ),
    }];
    // The first line stands for all of its number.
    if let (Some(first), true) = (own.first(), suspect.members.len() > 1) {
        lines.push(format!(
            "by itself {}; these read the same:",
            percent(first.probability)
        ));
    }
    lines.extend(own.iter().skip(1).map(|member| {
        let words = suspect_words(job, member);
        format!("{} {words}", percent(member.probability))
    }));
    match hidden {
        0 => {}
        1 => lines.push(format!("{} one more fault", percent(others))),
        many => lines.push(format!("{} {many} more faults together", percent(others))),
    }
    Card {
        label: percent(suspect.probability),
        head: own
            .first()
            .map_or(String::new(), |member| suspect_words(job, member)),
        lines,
    }
}

/// The members that get a line, and the probability of the others.
fn members(suspect: &AmbiguityGroup) -> (Vec<&Member>, f64) {
    let own = suspect
        .members
        .iter()
        .enumerate()
        .filter(|(place, member)| {
            let large = member.probability >= MEMBER_SHARE * suspect.probability;
            *place == 0 || (*place < MEMBERS && large)
        });
    let own: Vec<&Member> = own.map(|(_, member)| member).collect();
    let sum: f64 = own.iter().map(|member| member.probability).sum();
    (own, (suspect.probability - sum).max(0.0))
}
