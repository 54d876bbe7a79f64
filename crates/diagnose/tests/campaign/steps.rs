//! What is predicted after a tube is swapped or a lead lifted, against sets from another program.
//!
//! Independently derived: `steps.jsonl` holds what sets of the trade mix show with another specimen of a
//! tube in a socket, or with a capacitor's lead lifted; none of it comes from this program.

use diagnose::{suspects, Member, NextPart, PartPrediction, PartReads, PartStep, Suspects};
use serde::Deserialize;

use super::outcome::is;
use super::run::{entries, options, Points};
use super::sets::{designs, Case, Design};

/// One step on one set.
#[derive(Deserialize)]
struct Made {
    design: String,
    /// The place among the design's sets of the trade mix.
    case: usize,
    step: String,
    part: String,
    read: Vec<String>,
    bare: Vec<String>,
}

/// A prediction under the fault that the set has.
struct Held {
    words: String,
    /// The volts that the other program finds.
    truth: f64,
    /// What is predicted, and its standard deviation.
    value: f64,
    sigma: f64,
    /// What the same place showed before the step, where it is a point of the manual.
    before: Option<f64>,
    /// Whether the right fault led before the step, and leads after it.
    first: [bool; 2],
    /// The odds of the right fault among those predicted, before and after.
    claimed: [f64; 2],
}

fn made() -> Vec<Made> {
    let text = include_str!("../vectors/steps.jsonl");
    let lines = text.lines();
    let one = |line: &str| match serde_json::from_str(line) {
        Ok(made) => made,
        Err(error) => panic!("steps.jsonl: {error}"),
    };
    lines.map(one).collect()
}

/// Every predicted step whose truth is known, in sets of which a third of the points is read.
fn held() -> Vec<Held> {
    let all = made();
    let designs = designs(None);
    let each: Vec<(&Design, usize, &Case)> = designs
        .iter()
        .flat_map(|design| {
            let trade = design.cases.iter().filter(|case| case.kind == "trade");
            trade
                .enumerate()
                .map(move |(place, case)| (design, place, case))
        })
        .filter(|(design, place, _)| {
            let known = |one: &Made| one.design == design.id && one.case == *place;
            all.iter().any(known)
        })
        .collect();
    let held = parallel::map(each, |(design, place, case)| {
        let steps = all
            .iter()
            .filter(|one| one.design == design.id && one.case == place);
        in_set(design, case, &steps.collect::<Vec<_>>())
    });
    held.into_iter().flatten().collect()
}

fn in_set(design: &Design, case: &Case, made: &[&Made]) -> Vec<Held> {
    let job = design.job();
    let read = case.read(&job, entries(&job, Points::Third).into_iter());
    let Ok(found) = suspects(&read, &options(false, 6)) else {
        return Vec::new();
    };
    let holds = |member: &Member| {
        let mut faults = member.faults.iter();
        faults.any(|(fault, _)| case.faults.iter().any(|broken| is(&job, fault, broken)))
    };
    let one = |next: &NextPart| -> Option<Held> {
        let (step, part) = match next.step {
            PartStep::Swap(part) => ("swap", part),
            PartStep::LiftAndRead(part, _) => ("lift", part),
            _ => return None,
        };
        let name = &job.circuit.part(part).designator;
        let made = made
            .iter()
            .find(|one| one.step == step && one.part == *name)?;
        let PartReads::Volts { port, entry, .. } = next.reads else {
            return None;
        };
        let text = match entry {
            Some(entry) => made.read.get(entry)?,
            None => {
                let node = &job.circuit.nodes()[port.plus.0].name;
                made.bare
                    .get(design.bare.iter().position(|bare| bare == node)?)?
            }
        };
        let truth: f64 = text.parse().ok()?;
        let own = next
            .predictions
            .iter()
            .find(|one| holds(member(&found, one.suspect, one.member)))?;
        // After the step each fault is as likely as it makes the reading.
        let odds = |one: &PartPrediction, with: bool| {
            let off = (truth - one.value) / sigma(one.sigma, truth);
            let weight = (-0.5 * off * off).exp() / sigma(one.sigma, truth);
            let before = member(&found, one.suspect, one.member).probability;
            before * if with { weight } else { 1.0 }
        };
        let right = |one: &&PartPrediction| holds(member(&found, one.suspect, one.member));
        let first = [false, true].map(|with| {
            let best = next
                .predictions
                .iter()
                .max_by(|a, b| odds(a, with).total_cmp(&odds(b, with)));
            best.as_ref().is_some_and(right)
        });
        let claimed = [false, true].map(|with| {
            let all: f64 = next.predictions.iter().map(|one| odds(one, with)).sum();
            let right = next.predictions.iter().filter(right);
            right.map(|one| odds(one, with)).sum::<f64>() / all
        });
        Some(Held {
            words: format!(
                "{} {step} {name} at {text} V, {:.4} V",
                design.id, own.value
            ),
            truth,
            value: own.value,
            sigma: sigma(own.sigma, truth),
            before: entry.and_then(|entry| case.read.get(entry)?.parse().ok()),
            first,
            claimed,
        })
    };
    found.next_parts.iter().filter_map(one).collect()
}

fn member(found: &Suspects, suspect: usize, member: usize) -> &Member {
    &found.hypotheses[suspect].members[member]
}

/// With the bench meter's error: even within 0.5 %, and a digit of 4,000 counts on 2 V.
fn sigma(open: f64, volts: f64) -> f64 {
    open.hypot(0.003 * volts.abs() + 0.001)
}

#[test]
fn what_is_predicted_after_a_swap_or_a_lift_is_what_another_program_finds() {
    let held = held();
    let share = |of: &dyn Fn(&Held) -> bool| {
        held.iter().filter(|one| of(one)).count() as f64 / held.len().max(1) as f64
    };
    let off = |one: &Held| ((one.truth - one.value) / one.sigma).abs();
    for one in held.iter().filter(|one| off(one) > 3.0) {
        println!("{}: {:.1} standard deviations", one.words, off(one));
    }
    let lifts = held
        .iter()
        .filter(|one| one.words.contains(" lift "))
        .count();
    let (two, three) = (share(&|one| off(one) < 2.0), share(&|one| off(one) < 3.0));
    let [before, after] = [0, 1].map(|when| share(&|one| one.first[when]));
    println!(
        "{} steps, {lifts} lifts; within two {two:.3}, three {three:.3}; \
         first before {before:.3}, after {after:.3}",
        held.len()
    );
    assert!(held.len() > 40, "{}", held.len());
    // 95 % of a normal law, less two standard deviations of a share of forty.
    assert!(two > 0.88, "{two}");
    // 99.7 % of it; the other program's tubes are bent in ways that no number here has.
    assert!(three > 0.94, "{three}");
    assert!(after > before, "{before} {after}");
    // And raises its odds in more of them than a coin would: half, and two standard deviations.
    let raised = held.iter().filter(|one| one.claimed[1] > one.claimed[0]);
    let raised = raised.count() as f64;
    println!("odds of the right fault raised in {raised}");
    let count = held.len() as f64;
    assert!(raised > count / 2.0 + count.sqrt(), "{raised} of {count}");
    // Where the step moves the place beyond its spread, the prediction has to know it.
    let moved = |one: &&Held| {
        let by = |before: f64| (before - one.truth).abs() > 2.0 * one.sigma;
        one.before.is_some_and(by)
    };
    let moved: Vec<&Held> = held.iter().filter(moved).collect();
    let nearer = |one: &&&Held| {
        let off = (one.value - one.truth).abs();
        one.before
            .is_some_and(|before| (before - one.truth).abs() > off)
    };
    let nearer = moved.iter().filter(nearer).count();
    assert!(
        moved.len() > 5 && nearer * 10 >= moved.len() * 9,
        "{nearer} of {}",
        moved.len()
    );
}
