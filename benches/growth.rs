//! How each stage of the work grows with the size of the job: chassis of triode stages, with a manual that agrees
//! with the drawing and with one that contradicts it in a fifth of its values, and linear ladders with ten points.
//!
//! Prints milliseconds, the same over a plain reference (the job's words counted in a table of
//! words), and the power of the number of parts with which each stage grows from one size to the
//! next. `-- 200` goes up to chassis of 200 stages. Nothing here judges.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod bench_job;
#[path = "bench_job/chassis_texts.rs"]
mod chassis_texts;
#[path = "bench_job/ladder_texts.rs"]
mod ladder_texts;

use std::collections::HashMap;
use std::fmt::Write as _;
use std::hint::black_box;

use bench_job::{median, read};
use chassis_texts::chassis_texts;
use circuit::Conditions;
use ladder_texts::ladder_texts;
use reconcile::belief;
use report::{CheckView, Format, ManualView, Report, Terminal};
use solver::solve;
use translate::translate;

/// Runs of each measurement; the median is printed.
const RUNS: usize = 3;

/// Points of a ladder.
const POINTS: usize = 10;

/// Stages of the largest chassis, unless the command line has another number.
const MOST_STAGES: usize = 100;

/// The stages of the work.
const WORK: [&str; 6] = ["read", "solve", "translate", "belief", "text", "json"];

/// One job: parts, rows, and milliseconds of the reference and of each stage of the work.
struct Measured {
    parts: usize,
    rows: usize,
    plain: f64,
    work: [f64; 6],
}

fn main() {
    let mut numbers = std::env::args().filter_map(|word| word.parse().ok());
    let most = numbers.next().unwrap_or(MOST_STAGES);
    let sizes = std::iter::successors(Some(most), |stages| Some(stages / 2)).take(3);
    let mut chassis: Vec<_> = sizes
        .map(|stages| chassis_texts(stages, &["10M"]))
        .collect();
    chassis.reverse();
    let agreeing: Vec<Measured> = chassis
        .iter()
        .map(|texts| measured(&agreeing(texts)))
        .collect();
    table("chassis of triode stages, the manual agrees", &agreeing);
    let contradicting: Vec<Measured> = chassis.iter().map(measured).collect();
    table(
        "the same, a fifth of the manual's values contradict the drawing",
        &contradicting,
    );
    let ladders = [500, 1000, 2000].map(|nodes| measured(&ladder_texts(nodes, POINTS, &["10M"])));
    table("ladders", &ladders);
}

/// The same job with a manual that prints what the drawn circuit shows its meter: tens to 5 V, volts below 20 to a
/// tenth. Only times are measured on it.
fn agreeing(texts: &[(String, String); 3]) -> [(String, String); 3] {
    let job = read(texts);
    let Ok(translation) = translate(&job) else {
        panic!("the job has no solution");
    };
    let mut manual = String::from("point,at,value\n");
    for point in &translation.points {
        let entry = &job.manual[point.entry];
        let drawn = point
            .outcome
            .as_ref()
            .ok()
            .and_then(|own| own.model.as_documented);
        let volts = drawn.unwrap_or_default();
        let step = if volts.abs() > 20.0 { 5.0 } else { 0.1 };
        let printed = (volts / step).round() * step;
        let _ = writeln!(manual, "{},{},{printed:.1}", entry.point, entry.at);
    }
    let [settings, netlist, _] = texts.clone();
    [settings, netlist, ("manual.csv".into(), manual)]
}

fn measured(texts: &[(String, String); 3]) -> Measured {
    let job = read(texts);
    let on = Terminal {
        width: 80,
        colour: false,
    };
    let (Ok(translation), Ok(found)) = (translate(&job), belief(&job)) else {
        panic!("the job has no solution");
    };
    let view = CheckView {
        overrated: &[],
        job: Some(&job),
        translation: Some(&translation),
        manual: ManualView {
            belief: Some(&found),
            ..ManualView::default()
        },
        not_judged: None,
        trials: None,
        diagnostics: &[],
    };
    let said = |format: Format| Report::check(vec![view]).render(format, on).is_ok();
    Measured {
        parts: job.circuit.parts().len(),
        rows: job.manual.len(),
        plain: time(|| plain(texts) > 0),
        work: [
            time(|| !read(texts).manual.is_empty()),
            time(|| solve(&job.circuit, &Conditions::default()).is_ok()),
            time(|| translate(&job).is_ok()),
            time(|| belief(&job).is_ok()),
            time(|| said(Format::Table)),
            time(|| said(Format::Json)),
        ],
    }
}

fn time(work: impl Fn() -> bool) -> f64 {
    median(RUNS, || {
        black_box(work());
    })
}

/// The plain reference, which grows with the length of the texts.
fn plain(texts: &[(String, String); 3]) -> usize {
    let mut words: HashMap<String, usize> = HashMap::new();
    for (_, text) in texts {
        for word in text.split([' ', ',', '\n']) {
            *words.entry(word.to_owned()).or_default() += 1;
        }
    }
    words.len()
}

fn table(what: &str, jobs: &[Measured]) {
    println!("{what}: milliseconds (over the plain reference) [power of the parts]");
    print!("{:>7} {:>6} {:>8}", "parts", "rows", "plain");
    println!("{}", WORK.map(|work| format!(" {work:>25}")).concat());
    for (place, job) in jobs.iter().enumerate() {
        print!("{:>7} {:>6} {:>8.2}", job.parts, job.rows, job.plain);
        for (stage, ms) in job.work.iter().enumerate() {
            let smaller = place.checked_sub(1).map(|before| &jobs[before]);
            let power = smaller.map_or(String::new(), |smaller| {
                let grown = job.parts as f64 / smaller.parts as f64;
                format!("[{:.1}]", (ms / smaller.work[stage]).ln() / grown.ln())
            });
            print!(
                " {:>26}",
                format!("{ms:.2} ({:.1}) {power:>5}", ms / job.plain)
            );
        }
        println!();
    }
}
