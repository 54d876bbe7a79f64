//! Further readings after a third of the points, by advice and at random.

use circuit::{Job, Reading};
use diagnose::{candidates, suspects, AgeFactors, Candidate, SuspectOptions, Suspects};
use rayon::prelude::*;

use crate::planted::{entries, Dice, Planted};
use crate::tally::Outcome;

/// Further readings.
const FURTHER: usize = 5;

/// How often the right fault leads, and is among three, before and after up to so many further
/// readings: by advice, or at random among the points of the manual.
pub fn run(job: &Job, set: &str) {
    let faults = candidates(&job.circuit, &AgeFactors::default());
    let each: Vec<[Outcome; 3]> = faults
        .par_iter()
        .enumerate()
        .filter_map(|(index, candidate)| {
            let seed = 20_261_126 + 100_003 * index as u64;
            one(job, candidate, &mut Dice(seed))
        })
        .collect();
    let share = |way: usize, first: usize| {
        let found = each.iter().filter(|ways| ways[way].is_among(first));
        100.0 * found.count() as f64 / each.len().max(1) as f64
    };
    println!(
        "== {set}, a third of the points and up to {FURTHER} more, {} sets",
        each.len()
    );
    println!("{:<30} {:>6} {:>6}", "right fault", "first", "of 3");
    for (way, name) in ["before", "after, by advice", "after, at random"]
        .iter()
        .enumerate()
    {
        println!("{name:<30} {:>5.1}% {:>5.1}%", share(way, 1), share(way, 3));
    }
}

fn one(job: &Job, candidate: &Candidate, dice: &mut Dice) -> Option<[Outcome; 3]> {
    let advised = SuspectOptions {
        probes: 1,
        ..SuspectOptions::default()
    };
    let planted = Planted::new(job, candidate, dice);
    let start = planted.read(&entries(job, true), dice)?;
    let before = suspects(&start, &advised).ok()?;
    let mut ends = Vec::new();
    for at_random in [false, true] {
        let mut read = start.clone();
        let mut ranked = before.clone();
        for _ in 0..FURTHER {
            let next = if at_random {
                any_unread(&planted, &read, dice)
            } else {
                as_advised(&planted, &ranked, dice)
            };
            let Some(next) = next else { break };
            read.readings.push(next);
            ranked = suspects(&read, &advised).ok()?;
        }
        ends.push(Outcome::of(&ranked, &candidate.hypothesis));
    }
    let before = Outcome::of(&before, &candidate.hypothesis);
    Some([before, *ends.first()?, *ends.last()?])
}

fn any_unread(planted: &Planted<'_>, read: &Job, dice: &mut Dice) -> Option<Reading> {
    let mut left = entries(read, false);
    left.retain(|index| {
        let point = &read.manual[*index].point;
        read.readings.iter().all(|reading| reading.point != *point)
    });
    let pick = (dice.roll() * left.len() as f64) as usize;
    planted.at_entry(*left.get(pick)?, dice)
}

fn as_advised(planted: &Planted<'_>, ranked: &Suspects, dice: &mut Dice) -> Option<Reading> {
    let next = ranked.next.first()?;
    match next.entry {
        Some(entry) => planted.at_entry(entry, dice),
        None => planted.reading(("advised", next.port), &[], dice),
    }
}
