//! Jobs for trials: a few lines of netlist and manual, or a sample folder.

use circuit::{meter_by_name, Job};
use input::{read_job, JobSources, Sources};

/// A job of these texts, for these built-in meters.
pub fn job(netlist: &str, manual: &str, meters: &[&str]) -> Job {
    let mut sources = Sources::default();
    let netlist = (!netlist.is_empty()).then(|| sources.add("circuit.netlist", netlist));
    let parts = JobSources {
        folder: "job".into(),
        netlist,
        manual: Some(sources.add("manual.csv", manual)),
        ..JobSources::default()
    };
    let mut job = read_job(&sources, &parts, &[]).job.unwrap();
    job.bench.meters = meters
        .iter()
        .map(|name| meter_by_name(name).unwrap())
        .collect();
    job
}

/// A folder of the sample data, without readings.
pub fn sample(name: &str) -> Job {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-data")
        .join(name);
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(folder.join(name)).ok()?;
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        folder: name.into(),
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        meters: add("meters.toml"),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job.unwrap()
}
