//! What ranking all single faults of a large chassis costs: 12 tubes, 400 parts, 60 readings.
//!
//! The plain reference solves each faulty circuit from scratch, at nine sizes where it has one, and
//! asks for every reading; no spread, no likelihood. Both on all processors there are.
//!
//! Then how it grows: chassis of twin triodes up to 302 parts, with `-- 83` up to 997, one run each. The
//! reference there is the comparison of their readings with the manual.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod bench_job;
#[path = "bench_job/full_chassis.rs"]
mod full_chassis;
#[path = "bench_job/twin_chassis.rs"]
mod twin_chassis;

use std::hint::black_box;

use bench_job::{median, read};
use circuit::{Conditions, Job, Origin, PartKind, Port, Reading, Shown};
use diagnose::{
    candidates, suspects, suspects_of, with_fault, AgeFactors, Candidate, Fault, SuspectOptions,
};
use full_chassis::full_chassis;
use reconcile::choose_range;
use solver::{solve, Solution};
use translate::compare;
use twin_chassis::twin_chassis;
use units::{Figure, Unit};

/// Runs of each measurement; the median is printed.
const RUNS: usize = 5;

/// Stages of the chassis, one triode each.
const STAGES: usize = 12;

/// Sizes at which a faulty circuit with a size is solved.
const SIZES: usize = 9;

/// The fault on the bench: a coupler that leaks, in ohms.
const LEAKY: (&str, f64) = ("C34", 5e6);

/// The same on a chassis of twin triodes, with at most so many readings.
const ITS_LEAKY: (&str, f64) = ("C303", 5e6);
const READINGS: usize = 80;

/// Stages of the largest chassis of twin triodes, unless the command line has another number.
const MOST_STAGES: usize = 25;

fn main() {
    let job = job(&full_chassis(STAGES), LEAKY, usize::MAX);
    let tubes = job.circuit.parts().iter();
    let tubes = tubes.filter(|part| matches!(part.kind, PartKind::Device(_)));
    assert_eq!(tubes.count(), STAGES);
    let faults = candidates(&job.circuit, &AgeFactors::default());
    println!(
        "{STAGES} tubes, {} parts, {} nodes, {} readings, {} single faults, {} processors, median of \
         {RUNS} runs, the reference run once",
        job.circuit.parts().len(),
        job.circuit.nodes().len(),
        job.readings.len(),
        faults.len(),
        rayon::current_num_threads()
    );
    let ranked = |probes: usize| {
        let options = SuspectOptions {
            probes,
            ..SuspectOptions::default()
        };
        median(RUNS, || {
            black_box(suspects(&job, &options).is_ok());
        })
    };
    let compared = median(RUNS, || {
        black_box(compare(&job).is_ok());
    });
    let (alone, with_probes) = (ranked(0), ranked(3));
    let anew = median(1, || {
        let solved: usize = parallel::map(&faults, |fault| from_scratch(&job, fault))
            .into_iter()
            .sum();
        black_box(solved);
    });
    println!("{:<52} {:>9} {:>7}", "", "ms", "ratio");
    let row = |what: &str, ms: f64| println!("{what:<52} {ms:>9.0} {:>7.2}", ms / alone);
    row("the ranking, everything included", alone);
    row("of that: the manual carried over and compared", compared);
    row("the ranking with three next probes", with_probes);
    row("reference: each faulty circuit from scratch", anew);
    growth();
}

/// How the ranking grows with the chassis.
fn growth() {
    let mut numbers = std::env::args().filter_map(|word| word.parse().ok());
    let most = numbers.next().unwrap_or(MOST_STAGES);
    let sizes = std::iter::successors(Some(most), |stages| Some(stages / 2));
    let sizes = sizes.take_while(|stages| *stages >= 6);
    let mut sizes: Vec<usize> = sizes.take(3).collect();
    sizes.reverse();
    println!(
        "chassis of twin triodes, at most {READINGS} readings, three next probes, one run each"
    );
    println!(
        "{:>7} {:>7} {:>7} {:>9} {:>9} {:>7}",
        "parts", "faults", "tubes", "compared", "ranked", "ratio"
    );
    for stages in sizes {
        let job = job(&twin_chassis(stages), ITS_LEAKY, READINGS);
        let Ok(comparison) = compare(&job) else {
            panic!("the chassis cannot be compared");
        };
        let compared = median(1, || {
            black_box(compare(&job).is_ok());
        });
        let ranked = median(1, || {
            black_box(suspects_of(&job, &comparison, &SuspectOptions::default()).is_ok());
        });
        println!(
            "{:>7} {:>7} {:>7} {compared:>9.0} {ranked:>9.0} {:>7.1}",
            job.circuit.parts().len(),
            candidates(&job.circuit, &AgeFactors::default()).len(),
            stages,
            ranked / compared
        );
    }
}

/// A chassis, read at so many points with the fault in it; its manual says what the drawn circuit shows.
fn job(texts: &[(String, String); 3], leaky: (&str, f64), readings: usize) -> Job {
    let mut job = read(texts);
    let conditions = Conditions::default();
    let Ok(drawn) = solve(&job.circuit, &conditions) else {
        panic!("the chassis has no operating point");
    };
    let id = job.circuit.part_named(leaky.0);
    let fault = candidates(&job.circuit, &AgeFactors::default())
        .into_iter()
        .find(|fault| {
            fault.hypothesis.part() == id && fault.hypothesis.fault() == Some(Fault::Leaky)
        });
    let Some(fault) = fault else {
        panic!("{} cannot leak", leaky.0);
    };
    let faulty = with_fault(&job.circuit, &conditions, &fault.hypothesis, leaky.1);
    let Ok(broken) = solve(&faulty.circuit, &faulty.conditions) else {
        panic!("the faulty chassis has no operating point");
    };
    for index in 0..job.manual.len() {
        let entry = &mut job.manual[index];
        let Some(port) = entry.port else { continue };
        let range = choose_range(&entry.meter, entry.range, entry.figure.value).range;
        let volts = shown(&drawn, port, entry.meter.input_ohms(range));
        if let Ok(figure) = Figure::parse(&format!("{volts:.1}"), Unit::Volt) {
            entry.figure = figure;
        }
        if job.readings.len() >= readings {
            continue;
        }
        let meter = job.bench.meters[0].clone();
        let range = choose_range(&meter, None, volts).range;
        let volts = shown(&broken, port, meter.input_ohms(range));
        let Ok(figure) = Figure::parse(&format!("{volts:.3}"), Unit::Volt) else {
            continue;
        };
        job.readings.push(Reading {
            point: entry.point.clone(),
            port: Some(port),
            shown: Shown::Value(figure),
            range: Some(choose_range(&meter, None, volts).range.full_scale),
            meter,
            set: "drawn".into(),
            date: String::new(),
            note: String::new(),
            origin: Origin::default(),
        });
    }
    job
}

fn shown(solution: &Solution, port: Port, input_ohms: f64) -> f64 {
    solution.port_reading(port, 1.0 / input_ohms).volts
}

/// Solves a faulty circuit from zero volts at each size, and reads every point; how often that
/// went well.
fn from_scratch(job: &Job, fault: &Candidate) -> usize {
    let sizes = match fault.sizes {
        None => vec![1.0],
        Some(sizes) => {
            let (low, high) = (sizes.least.ln(), sizes.most.ln());
            let step = (high - low) / (SIZES - 1) as f64;
            (0..SIZES).map(|k| (low + step * k as f64).exp()).collect()
        }
    };
    let reads = |size: &f64| {
        let faulty = with_fault(
            &job.circuit,
            &Conditions::default(),
            &fault.hypothesis,
            *size,
        );
        let Ok(solution) = solve(&faulty.circuit, &faulty.conditions) else {
            return false;
        };
        job.readings.iter().all(|reading| {
            let Some(port) = reading.port else {
                return true;
            };
            let range = choose_range(&reading.meter, reading.range, 0.0).range;
            let input = reading.meter.input_ohms(range);
            solution.port_reading(port, 1.0 / input).volts.is_finite()
        })
    };
    sizes.iter().filter(|size| reads(size)).count()
}
