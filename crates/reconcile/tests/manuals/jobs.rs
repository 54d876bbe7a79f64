//! Jobs for the tests: from texts, and from the sample folders.

use std::path::Path;

use circuit::Job;
use input::{read_job, JobSources, Sources};
use units::{Figure, Unit};

/// A job of a netlist and a manual, its default meter named.
pub fn job(netlist: &str, manual: &str, meter: &str) -> Job {
    let settings = format!("[as-documented]\nmeter = \"{meter}\"\n");
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", &settings)),
        netlist: Some(sources.add("circuit.netlist", netlist)),
        manual: Some(sources.add("manual.csv", manual)),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics))
}

/// The intercom, with its socket chart or without.
pub fn intercom(chart: bool) -> Job {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../sample-data/lookout-intercom");
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(folder.join(name)).unwrap();
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        pin_chart: chart.then(|| add("pin-chart.csv")).flatten(),
        meters: add("meters.toml"),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}

/// Index of an entry by its label.
pub fn entry(job: &Job, label: &str) -> usize {
    let labelled = |entry: &circuit::ManualEntry| entry.point == label;
    job.manual.iter().position(labelled).unwrap()
}

/// A figure as printed.
pub fn figure(text: &str) -> Figure {
    Figure::parse(text, Unit::Volt).unwrap()
}
