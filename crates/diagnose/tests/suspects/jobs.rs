//! Jobs for the tests: from texts, and from the sample folders.

use std::path::Path;

use circuit::Job;
use diagnose::{AmbiguityGroup, Fault, Member};
use input::{read_job, JobSources, Sources};

/// A job of four texts.
pub fn job(settings: &str, netlist: &str, manual: &str, readings: &str) -> Job {
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", settings)),
        netlist: Some(sources.add("circuit.netlist", netlist)),
        manual: Some(sources.add("manual.csv", manual)),
        readings: vec![sources.add("readings.csv", readings)],
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics))
}

/// The intercom with one of its tables of readings.
pub fn intercom(readings: &str) -> Job {
    in_folder("lookout-intercom", Some(readings))
}

/// A sample set without readings.
pub fn sample(folder: &str) -> Job {
    in_folder(folder, None)
}

/// A sample set with these readings.
pub fn sample_read(folder: &str, readings: &str) -> Job {
    in_folder(folder, Some(readings))
}

/// The same with its socket chart, whose points the other tests do without.
pub fn charted(folder: &str, readings: &str) -> Job {
    read(folder, Some(readings), true)
}

fn in_folder(folder: &str, readings: Option<&str>) -> Job {
    read(folder, readings, false)
}

fn read(folder: &str, readings: Option<&str>, chart: bool) -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-data")
        .join(folder);
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(folder.join(name)).ok()?;
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        meters: add("meters.toml"),
        pin_chart: chart.then(|| add("pin-chart.csv")).flatten(),
        readings: readings.and_then(&mut add).into_iter().collect(),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}

/// A member's first fault in words: the part and what is wrong with it.
pub fn words(job: &Job, member: &Member) -> String {
    let one = |(hypothesis, size): &(diagnose::Hypothesis, Option<diagnose::Size>)| {
        let part = hypothesis
            .part()
            .map_or("", |id| &job.circuit.part(id).designator);
        let reading = hypothesis
            .reading()
            .map_or(String::new(), |r| job.readings[r].point.clone());
        let size = size.map_or(String::new(), |size| format!(" {:.4e}", size.to));
        format!("{part}{reading} {}{size}", hypothesis.name())
    };
    member
        .faults
        .iter()
        .map(one)
        .collect::<Vec<_>>()
        .join(" + ")
}

/// Whether a suspect holds this fault of this part.
pub fn holds(job: &Job, suspect: &AmbiguityGroup, part: &str, fault: Fault) -> bool {
    let id = job.circuit.part_named(part);
    let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
    faults.any(|(hypothesis, _)| hypothesis.part() == id && hypothesis.fault() == Some(fault))
}
