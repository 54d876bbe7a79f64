//! How often the expected value's interval holds what a set of known truth shows, how far off it
//! is, and how often a set in order fails: manual and drawing reconciled, the manual alone, the
//! drawing alone.
//!
//! The sets are those of `crates/reconcile/tests/vectors/`, made and solved by other programs. A
//! family's name as argument runs that family alone.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

#[path = "../bench_job/mod.rs"]
mod bench_job;
mod sets;
mod tally;

use rayon::prelude::*;
use translate::{translate, BenchSide, Carried, Input};

use sets::{families, Set};
use tally::{Tally, Way};

fn main() {
    let wanted: Vec<String> = std::env::args()
        .skip(1)
        .filter(|arg| !arg.starts_with('-'))
        .collect();
    println!(
        "{:<10}{:<9}{:<8}{:>7} | {:>24} | {:>24} | {:>24} | {:>6}{:>7}",
        "sets",
        "drawing",
        "points",
        "values",
        "held by 95 % interval",
        "error r.m.s., V",
        "error r.m.s., %",
        "failed",
        "doubt"
    );
    println!(
        "{:<34} | {:>8}{:>8}{:>8} | {:>8}{:>8}{:>8} | {:>8}{:>8}{:>8} |",
        "", "both", "manual", "drawing", "both", "manual", "drawing", "both", "manual", "drawing"
    );
    for (name, sets) in families() {
        if !wanted.is_empty() && !wanted.iter().any(|word| word == name) {
            continue;
        }
        for wrong in [false, true] {
            let tallies: Vec<Vec<Tally>> = sets
                .par_iter()
                .filter_map(|set| judged(set, wrong))
                .collect();
            for kind in tally::KINDS {
                let own = tallies.iter().flatten().filter(|one| kind.1(&one.place));
                let line = tally::line(own);
                if let Some(line) = line {
                    let drawing = if wrong { "wrong" } else { "right" };
                    println!("{name:<10}{drawing:<9}{:<8}{line}", kind.0);
                }
            }
        }
    }
}

/// Every value of a set; none where it has no drawing of that kind.
fn judged(set: &Set, wrong: bool) -> Option<Vec<Tally>> {
    let job = set.job(wrong)?;
    let translation = match translate(&job) {
        Ok(translation) => translation,
        Err(error) => {
            println!("{}: {error}", set.id);
            return None;
        }
    };
    let mut found = Vec::new();
    for (point, truth) in translation.points.iter().zip(&set.points) {
        let Ok(carried) = &point.outcome else {
            println!(
                "{} {}: {:?}",
                set.id,
                truth.place,
                point.outcome.as_ref().err()
            );
            continue;
        };
        for (side, meter) in carried.bench.iter().zip(["10M", "20k"]) {
            if meter == "20k" && (side.range.full_scale - truth.bench_range_20k).abs() > 1e-9 {
                // The truth is of another range.
                continue;
            }
            let (Some(own), Some(other)) = (
                truth.manual_specimen.get(meter),
                truth.bench_specimen.get(meter),
            ) else {
                continue;
            };
            found.push(tally(carried, side, &truth.place, (*own, *other)));
        }
    }
    Some(found)
}

fn tally(carried: &Carried, side: &BenchSide, place: &str, (own, other): (f64, f64)) -> Tally {
    let sources = carried.sources(side);
    let bench: f64 = side
        .budget
        .lines
        .iter()
        .filter(|line| line.input == Input::BenchMeter)
        .map(|line| line.volts().powi(2))
        .sum();
    let standard = (side.budget.standard.powi(2) - bench).max(0.0).sqrt();
    let way = |volts: f64, standard: f64, factor: f64| Way {
        error: volts - own,
        holds: (volts - own).abs() <= factor * standard + 1e-9,
        relative: (volts - own) / (0.1 + own.abs()),
    };
    let margin = side.budget.expanded();
    let failed = side.band.high.is_some_and(|high| other > high + margin)
        || side.band.low.is_some_and(|low| other < low - margin);
    Tally {
        place: place.to_owned(),
        both: way(side.expected, standard, side.budget.coverage),
        manual: sources
            .manual
            .map(|alone| way(alone.volts, alone.standard, 1.96)),
        drawing: sources
            .drawing
            .map(|alone| way(alone.volts, alone.standard, 1.96)),
        failed,
        doubted: carried.manual.standing != reconcile::Standing::Believed,
    }
}
