//! Every case of every design ranked.

use circuit::Job;
use diagnose::{suspects_of, SuspectOptions, Suspects};
use translate::compare;

use super::outcome::Outcome;
use super::sets::{Case, Design};

/// Which points are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Points {
    All,
    Third,
}

/// One case ranked.
pub struct Told<'a> {
    pub design: &'a Design,
    pub case: &'a Case,
    /// Its place among the design's cases.
    pub number: usize,
    pub outcome: Outcome,
    /// Whether the fault moves a point that was read.
    pub shows: bool,
    /// Whether a reading lies outside its band.
    pub flagged: bool,
}

/// Entries that are read.
pub fn entries(job: &Job, points: Points) -> Vec<usize> {
    let all = 0..job.manual.len();
    all.filter(|entry| points == Points::All || entry % 3 == 0)
        .collect()
}

/// The ranking alone.
pub fn options(pairs: bool, probes: usize) -> SuspectOptions {
    SuspectOptions {
        pairs,
        probes,
        ..SuspectOptions::default()
    }
}

/// Ranks those cases that are asked for.
pub fn run<'a>(
    designs: &'a [Design],
    points: Points,
    asked: impl Fn(&Case) -> bool + Sync,
) -> Vec<Told<'a>> {
    let each: Vec<(&Design, usize)> = designs
        .iter()
        .flat_map(|design| (0..design.cases.len()).map(move |number| (design, number)))
        .filter(|(design, number)| asked(&design.cases[*number]))
        .collect();
    parallel::filter_map(each, |(design, number)| {
        let job = design.job();
        let case = &design.cases[number];
        let entries = entries(&job, points);
        // A slip in a reading that is not taken is none.
        let slipped = case.slip.as_ref().map(|slip| slip.reading - 1);
        if slipped.is_some_and(|entry| !entries.contains(&entry)) {
            return None;
        }
        let read = case.read(&job, entries.iter().copied());
        let compared = compare(&read);
        let compared = match compared {
            Ok(compared) => compared,
            Err(error) => panic!("{} case {number}: {error}", design.id),
        };
        let options = options(case.kind == "two", 0);
        let ranked: Suspects = match suspects_of(&read, &compared, &options) {
            Ok(ranked) => ranked,
            Err(error) => panic!("{} case {number}: {error}", design.id),
        };
        let mut readings = compared.readings.iter();
        Some(Told {
            design,
            case,
            number,
            outcome: Outcome::of(&read, &ranked, case, case.shows(&entries)),
            shows: case.shows(&entries),
            flagged: readings.any(|reading| reading.judgement.is_finding()),
        })
    })
}

/// What a case is, in words.
pub fn truth(case: &Case) -> String {
    let faults = case
        .faults
        .iter()
        .map(|broken| format!("{} {}", broken.part, broken.fault));
    let mut words: Vec<String> = faults.collect();
    if let Some(slip) = &case.slip {
        words.push(format!("reading {} {}", slip.reading, slip.what));
    }
    if words.is_empty() {
        words.push(case.kind.clone());
    }
    words.join(" + ")
}
