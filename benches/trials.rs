//! Trials of the whole translation of a set of 60 nodes and 5 tubes: how many a second, and how
//! that grows with the number of threads.
//!
//! The yardstick is the same work without any neighbour to start from: the table translated anew
//! for each draw.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod bench_job;
#[path = "bench_job/chassis_texts.rs"]
mod chassis_texts;

use std::hint::black_box;

use bench_job::{median, read};
use chassis_texts::chassis_texts;
use rayon::ThreadPoolBuilder;
use translate::{translate, translation_trials, TrialsRequest};

/// Stages of 12 nodes each.
const STAGES: usize = 5;

/// As many as JCGM 101 asks for in a block.
const TRIALS: usize = 10_000;

fn main() {
    let job = read(&chassis_texts(STAGES, &["10M"]));
    let Ok(translation) = translate(&job) else {
        panic!("the chassis does not translate");
    };
    println!(
        "{} nodes, {STAGES} tubes, {} points, {TRIALS} trials, one run each",
        job.circuit.nodes().len(),
        job.manual.len()
    );
    println!("{:<34} {:>8} {:>12} {:>8}", "", "s", "trials/s", "ratio");
    let request = TrialsRequest {
        seed: 1,
        most_trials: TRIALS,
    };
    let mut alone = 0.0;
    let cores = std::thread::available_parallelism().map_or(1, usize::from);
    for threads in (0..)
        .map(|k| 1 << k)
        .take_while(|threads| *threads <= cores)
    {
        let Ok(pool) = ThreadPoolBuilder::new().num_threads(threads).build() else {
            panic!("no {threads} threads to be had");
        };
        let mut failed = 0;
        let ms = median(1, || {
            let found = pool.install(|| translation_trials(&job, &translation, request, None));
            failed = found.points.iter().map(|point| point.failed).sum();
        });
        if threads == 1 {
            alone = ms;
        }
        let rate = TRIALS as f64 / ms * 1e3;
        let what = format!("{threads} threads ({failed} values failed)");
        println!(
            "{what:<34} {:>8.2} {rate:>12.0} {:>8.2}",
            ms / 1e3,
            alone / ms
        );
    }
    let anew = median(9, || {
        black_box(translate(&job).is_ok());
    });
    println!(
        "translating anew for each draw would take {:.1} times as long on one thread",
        anew * TRIALS as f64 / alone
    );
}
