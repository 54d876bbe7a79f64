//! The sample sets that a fault can be planted in: those that are drawn. The ridge line panel has no
//! schematic, so no part of it can be at fault.

use std::path::Path;

use circuit::{meter_by_name, Job};
use input::{read_job, JobSources, Sources};

/// Folders of the samples.
pub const SETS: [&str; 4] = [
    "gate-post-preamplifier",
    "call-bell-board",
    "ferry-landing-amplifier",
    "lookout-intercom",
];

/// The meter of the ferry landing's manual, which names none: `check` finds this one.
const UNNAMED: &str = "1k/V";

/// The set of that name.
pub fn named(word: &str) -> Option<&'static str> {
    SETS.into_iter().find(|set| *set == word)
}

/// A sample without its readings.
pub fn read(folder: &str) -> Option<Job> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-data")
        .join(folder);
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(path.join(name)).ok()?;
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        meters: add("meters.toml"),
        ..JobSources::default()
    };
    let job = read_job(&sources, &parts, &[]).job?;
    let meter = meter_by_name(UNNAMED)?;
    Some(job.with_unknown_meter(&meter))
}
