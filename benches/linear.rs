//! Reading, factoring and translating linear networks, against solving anew for every meter.
//!
//! Prints medians of repeated runs, and ratios between rows of the same run. Nothing here judges:
//! a slow machine fails no test.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod bench_job;
#[path = "bench_job/ladder_texts.rs"]
mod ladder_texts;

use std::hint::black_box;

use bench_job::{median, read};
use circuit::{Circuit, Conditions, Port};
use ladder_texts::ladder_texts;
use solver::{solve, Load};
use translate::translate;

/// Bench meters of the translated tables.
const METERS: [&str; 5] = ["1k/V", "5k/V", "20k/V", "11M", "10M"];

/// Test points of a table, as many as the network has nodes for.
const POINTS: usize = 60;

/// Runs of each measurement; the median is printed.
const RUNS: usize = 15;

fn main() {
    println!(
        "milliseconds, median of {RUNS} runs; {} meters",
        METERS.len()
    );
    println!(
        "{:>6} {:>7} {:>8} {:>8} {:>10} {:>10} {:>7}",
        "nodes", "points", "read", "solve", "translate", "anew", "ratio"
    );
    for nodes in [10, 50, 150, 400] {
        let texts = ladder_texts(nodes, POINTS, &METERS);
        let job = read(&texts);
        let points = job.manual.len();
        let read_time = median(RUNS, || {
            black_box(read(&texts));
        });
        let solve_time = median(RUNS, || {
            black_box(solve(&job.circuit, &Conditions::default()).is_ok());
        });
        let translate_time = median(RUNS, || {
            black_box(translate(&job).is_ok());
        });
        // The plain reference: the circuit solved once for each point and meter, the meter drawn
        // as one more resistor. Timed on a few points and scaled, for it is slow.
        let sample = points.min(3);
        let anew_time = median(RUNS, || {
            for entry in job.manual.iter().take(sample) {
                if let Some(port) = entry.port {
                    black_box(anew(&job.circuit, port));
                }
            }
        }) * (points as f64 / sample as f64);
        println!(
            "{nodes:>6} {points:>7} {read_time:>8.3} {solve_time:>8.3} {translate_time:>10.3} {anew_time:>10.3} {:>7.0}",
            anew_time / translate_time
        );
    }
}

/// One solution for the manual's meter and one for each bench meter, every time from nothing.
fn anew(circuit: &Circuit, port: Port) -> f64 {
    let mut sum = 0.0;
    for _ in 0..=METERS.len() {
        if let Ok(solution) = solve(circuit, &Conditions::default()) {
            sum += solution.port(port).volts(Load::default());
        }
    }
    sum
}
