//! Further readings after a third of the points, by advice and at random.

use std::time::Instant;

use circuit::{Job, Reading};
use diagnose::{candidates, suspects, AgeFactors, Candidate, SuspectOptions, Suspects};
use rayon::prelude::*;
use translate::compare;

use crate::planted::{entries, Dice, Planted};
use crate::tally::Outcome;

/// Further readings.
const FURTHER: usize = 5;

/// What came of one planted fault.
struct Followed {
    /// Before, after the advice, and after as many readings at random.
    ways: [Outcome; 3],
    /// The farthest that the fault moves a point of the manual, in half-widths of its band.
    moved: f64,
    /// Whether one of the first readings lies outside its band.
    off_band: bool,
}

/// How often the right fault leads, and is among three, before and after up to so many further
/// readings: by advice, or at random among the points of the manual.
pub fn run(job: &Job, set: &str) {
    let start = Instant::now();
    let faults = candidates(&job.circuit, &AgeFactors::default());
    let each: Vec<Followed> = faults
        .par_iter()
        .enumerate()
        .filter_map(|(index, candidate)| {
            let seed = 20_261_126 + 100_003 * index as u64;
            one(job, candidate, &mut Dice(seed))
        })
        .collect();
    let seconds = start.elapsed().as_secs_f64();
    println!("== {set}, a third of the points and up to {FURTHER} more, {seconds:.0} s");
    println!(
        "{:<36} {:>13} {:>13} {:>13}",
        "", "before", "by advice", "at random"
    );
    print!("{:<30} {:>5}", "right fault", "sets");
    for _ in 0..3 {
        print!(" {:>6} {:>6}", "first", "of 3");
    }
    println!();
    row("moves a point beyond its band", &each, |one| {
        one.moved > 1.0
    });
    row("a reading is off its band", &each, |one| one.off_band);
    row("all, seen or not", &each, |_| true);
}

fn row(name: &str, each: &[Followed], counts: impl Fn(&Followed) -> bool) {
    let each: Vec<&Followed> = each.iter().filter(|one| counts(one)).collect();
    print!("{name:<30} {:>5}", each.len());
    for way in 0..3 {
        for first in [1, 3] {
            let found = each.iter().filter(|one| one.ways[way].is_among(first));
            let share = 100.0 * found.count() as f64 / each.len().max(1) as f64;
            print!(" {share:>5.1}%");
        }
    }
    println!();
}

fn one(job: &Job, candidate: &Candidate, dice: &mut Dice) -> Option<Followed> {
    let advised = SuspectOptions {
        probes: 1,
        ..SuspectOptions::default()
    };
    let planted = Planted::new(job, candidate, dice);
    let start = planted.read(&entries(job, true), dice)?;
    let compared = compare(&start).ok()?;
    let mut first_readings = compared.readings.iter();
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
    Some(Followed {
        ways: [before, *ends.first()?, *ends.last()?],
        // Further readings may be taken at any point, so that every point counts.
        moved: planted.moves(&compared.translation, &entries(job, false)),
        off_band: first_readings.any(|reading| reading.judgement.is_finding()),
    })
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
