//! A chassis of 12 tubes and 150 nodes: its operating point, 60 points translated for 3 meters,
//! derivatives, and Newton's method from a neighbouring state against from zero.
//!
//! Prints medians of repeated runs, and ratios between rows of the same run. The yardstick is one
//! factorization of a matrix of this size, so that the rows say how many such each thing costs.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod bench_job;
#[path = "bench_job/chassis_texts.rs"]
mod chassis_texts;

use std::hint::black_box;

use bench_job::{median, read};
use chassis_texts::chassis_texts;
use circuit::{Circuit, Conditions, Job};
use nalgebra::DMatrix;
use solver::{solve, solve_near, Load};
use translate::{translate, Translation};

/// Runs of each measurement; the median is printed.
const RUNS: usize = 9;

/// Stages of the chassis, one triode each.
const STAGES: usize = 12;

fn main() {
    let texts = chassis_texts(STAGES, &["10M", "11M", "1k/V"]);
    let job = read(&texts);
    let nodes = job.circuit.nodes().len();
    let plain = Conditions::default();
    let Ok(solution) = solve(&job.circuit, &plain) else {
        panic!("the chassis has no operating point");
    };
    let size = solution.size();
    let factor = median(RUNS, || {
        black_box(yardstick(size).lu());
    });
    println!("{nodes} nodes, {size} unknowns, {STAGES} tubes, {} points, {} meters, median of {RUNS} runs",
        job.manual.len(), job.bench.meters.len());
    println!("{:<44} {:>10} {:>16}", "", "ms", "factorizations");
    let row = |what: &str, ms: f64| println!("{what:<44} {ms:>10.3} {:>16.1}", ms / factor);
    row("one factorization", factor);
    let cold = median(RUNS, || {
        black_box(solve(&job.circuit, &plain).is_ok());
    });
    row(
        &format!(
            "operating point from zero ({} steps)",
            solution.convergence().steps
        ),
        cold,
    );
    let neighbour = Conditions {
        line_factor: 1.03,
        ..Conditions::default()
    };
    let warm_steps =
        solve_near(&job.circuit, &neighbour, &solution).map_or(0, |near| near.convergence().steps);
    let warm = median(RUNS, || {
        black_box(solve_near(&job.circuit, &neighbour, &solution).is_ok());
    });
    row(
        &format!("line 3 % up, from that state ({warm_steps} steps)"),
        warm,
    );
    let translated = median(RUNS, || {
        black_box(translate(&job).is_ok());
    });
    row(
        "the table translated, bands and uncertainty included",
        translated,
    );
    let Ok(translation) = translate(&job) else {
        panic!("the chassis does not translate");
    };
    let by_itself = median(RUNS, || {
        black_box(alone(&translation));
    });
    row("the manual alone at each, with its uncertainty", by_itself);
    let anew = median(RUNS, || {
        black_box(anew(&job.circuit, &job));
    });
    row("each point and meter solved from zero", anew);
    println!(
        "from zero over from a neighbour {:.1}; solved anew over translated {:.1}",
        cold / warm,
        anew / translated,
    );
}

/// A well-posed matrix as dense as the solver's own.
fn yardstick(size: usize) -> DMatrix<f64> {
    DMatrix::from_fn(size, size, |row, column| {
        if row == column {
            size as f64
        } else {
            ((row * 31 + column * 17) % 7) as f64 * 0.1
        }
    })
}

fn alone(translation: &Translation) -> usize {
    let mut numbers = 0;
    for point in &translation.points {
        let Ok(carried) = &point.outcome else {
            continue;
        };
        for side in &carried.bench {
            let alone = carried.point_model.manual_alone(1.0 / side.input_ohms);
            numbers += usize::from(alone.is_ok());
        }
    }
    numbers
}

/// The plain reference: no state kept, every meter on every point from zero volts. Bands left out.
fn anew(circuit: &Circuit, job: &Job) -> f64 {
    let mut sum = 0.0;
    for entry in &job.manual {
        let Some(port) = entry.port else { continue };
        for _ in 0..=job.bench.meters.len() {
            if let Ok(solution) = solve(circuit, &Conditions::default()) {
                let load = Load {
                    siemens: 1e-7,
                    amperes: 0.0,
                };
                sum += solution
                    .metered(port, load, None)
                    .map_or(0.0, |metered| metered.volts);
            }
        }
    }
    sum
}
