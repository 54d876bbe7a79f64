//! What the benchmarks share: medians, and a job read from texts.

use std::time::Instant;

use circuit::Job;
use input::{read_job, JobSources, Sources};

/// Milliseconds of a piece of work: the median of so many runs.
pub fn median(runs: usize, mut work: impl FnMut()) -> f64 {
    let mut times: Vec<f64> = (0..runs)
        .map(|_| {
            let start = Instant::now();
            work();
            start.elapsed().as_secs_f64() * 1e3
        })
        .collect();
    times.sort_by(f64::total_cmp);
    times[runs / 2]
}

/// A job from the texts of `job.toml`, `circuit.netlist` and `manual.csv`.
pub fn read(texts: &[(String, String); 3]) -> Job {
    let mut sources = Sources::default();
    let ids: Vec<_> = texts
        .iter()
        .map(|(label, text)| sources.add(label, text))
        .collect();
    let parts = JobSources {
        folder: "benchmark".into(),
        settings: Some(ids[0]),
        netlist: Some(ids[1]),
        manual: Some(ids[2]),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    let Some(job) = read.job else {
        panic!("the job does not read: {:?}", read.diagnostics);
    };
    job
}
