//! Further readings after a third of the points, by advice and at random.

use circuit::Job;
use diagnose::{suspects, Suspects};
use rayon::prelude::*;

use crate::outcome::Outcome;
use crate::run::{entries, options, Points};
use crate::sets::{Case, Design};

/// Further readings.
const FURTHER: usize = 5;

/// Only every so many faults of the trade are followed, for each takes a dozen rankings.
const EVERY: usize = 3;

/// How often the right fault leads before and after up to so many further readings.
pub fn run(designs: &[Design]) {
    let each: Vec<(&Design, &Case)> = designs
        .iter()
        .flat_map(|design| {
            let cases = design.cases.iter().filter(|case| case.kind == "trade");
            cases.step_by(EVERY).map(move |case| (design, case))
        })
        .filter(|(_, case)| !case.moved.is_empty())
        .collect();
    let ways: Vec<[Outcome; 3]> = each
        .into_par_iter()
        .enumerate()
        .filter_map(|(index, (design, case))| one(design, case, index))
        .collect();
    println!("\n| right fault, {} sets of the trade mix | before | {FURTHER} more by advice | {FURTHER} more at random |", ways.len());
    println!("| --- | ---: | ---: | ---: |");
    for first in [1, 3] {
        let shares = [0, 1, 2].map(|way| {
            let found = ways.iter().filter(|ways| ways[way].is_among(first)).count();
            format!("{:.1}", 100.0 * found as f64 / ways.len().max(1) as f64)
        });
        println!("| among {first} | {} |", shares.join(" | "));
    }
}

fn one(design: &Design, case: &Case, index: usize) -> Option<[Outcome; 3]> {
    let job = design.job();
    let start = case.read(&job, entries(&job, Points::Third).into_iter());
    let before = suspects(&start, &options(false, 1)).ok()?;
    let mut ends = Vec::new();
    for at_random in [false, true] {
        let mut read = start.clone();
        let mut ranked = before.clone();
        for step in 0..FURTHER {
            let next = if at_random {
                any_unread(&job, &read, case, index * FURTHER + step)
            } else {
                as_advised(design, &job, &ranked, case)
            };
            let Some(next) = next else { break };
            read.readings.push(next);
            ranked = suspects(&read, &options(false, 1)).ok()?;
        }
        ends.push(Outcome::of(&read, &ranked, case, true));
    }
    let before = Outcome::of(&start, &before, case, true);
    let random = ends.pop()?;
    Some([before, ends.pop()?, random])
}

/// A point not read yet, by a count that runs through them with a large odd step.
fn any_unread(job: &Job, read: &Job, case: &Case, count: usize) -> Option<circuit::Reading> {
    let left: Vec<usize> = (0..job.manual.len())
        .filter(|entry| {
            let point = &job.manual[*entry].point;
            read.readings.iter().all(|reading| reading.point != *point)
        })
        .collect();
    let pick = count.wrapping_mul(7_919) % left.len().max(1);
    case.at_entry(job, *left.get(pick)?)
}

fn as_advised(
    design: &Design,
    job: &Job,
    ranked: &Suspects,
    case: &Case,
) -> Option<circuit::Reading> {
    let next = ranked.next.first()?;
    match next.entry {
        Some(entry) => case.at_entry(job, entry),
        None => design.at_node(job, case, next.port.plus),
    }
}
