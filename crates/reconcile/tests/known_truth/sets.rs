//! The sets of known truth, as their files hold them.

use std::collections::BTreeMap;
use std::path::Path;

use circuit::Job;
use input::{read_job, JobSources, Sources};
use serde::Deserialize;

/// A set.
#[derive(Deserialize)]
pub struct Set {
    pub id: String,
    netlist: String,
    job: String,
    manual: String,
    pub points: Vec<Point>,
    wrong: Option<Wrong>,
    /// How it was made: among others the spread of its `parts`, and form and limit of the manual's `meter`.
    #[allow(dead_code, reason = "the benchmark and the contrasts do not ask")]
    #[serde(default)]
    pub made: BTreeMap<String, String>,
}

/// What its specimens show at one point.
#[derive(Deserialize)]
pub struct Point {
    pub place: String,
    pub bench_range_20k: f64,
    pub manual_specimen: BTreeMap<String, f64>,
    pub bench_specimen: BTreeMap<String, f64>,
    #[allow(dead_code, reason = "the benchmark has no planted faults")]
    pub faulty_specimen: Option<BTreeMap<String, f64>>,
    /// What was misprinted, and what was read.
    pub slip: Option<BTreeMap<String, String>>,
}

/// A slip of the drawing.
#[derive(Deserialize)]
struct Wrong {
    line: String,
    instead: String,
}

/// The sets of a family.
pub fn family(name: &str) -> Vec<Set> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reconcile/tests/vectors");
    let Ok(text) = std::fs::read_to_string(folder.join(format!("{name}.jsonl"))) else {
        panic!("{name}.jsonl cannot be read");
    };
    let set = |line: &str| match serde_json::from_str(line) {
        Ok(set) => set,
        Err(error) => panic!("{name}.jsonl: {error}"),
    };
    text.lines().map(set).collect()
}

impl Set {
    /// The lines of the slip of its drawing: as it should be and as it is drawn, empty if it is not; none where
    /// it has none.
    #[allow(dead_code, reason = "the benchmark does not ask")]
    pub fn wrong_lines(&self) -> Option<[&str; 2]> {
        let wrong = self.wrong.as_ref()?;
        Some([&wrong.line, &wrong.instead])
    }

    /// The job with some lines of its netlist replaced.
    #[allow(dead_code, reason = "the benchmark does not ask")]
    pub fn with_lines(&self, lines: &[[&str; 2]]) -> Job {
        let replaced = |netlist: String, [line, instead]: &[&str; 2]| {
            let own = |known: &str| if known == *line { *instead } else { known }.to_owned();
            netlist.lines().map(own).collect::<Vec<_>>().join("\n")
        };
        let netlist = lines.iter().fold(self.netlist.clone(), replaced);
        read(&self.job, &netlist, &self.manual)
    }

    /// The lines of its netlist.
    #[allow(dead_code, reason = "the benchmark does not ask")]
    pub fn netlist_lines(&self) -> impl Iterator<Item = &str> {
        self.netlist.lines()
    }
    /// The job as it is drawn, or with the slip in its drawing; none where it has none.
    pub fn job(&self, wrong: bool) -> Option<Job> {
        let netlist = match (&self.wrong, wrong) {
            (Some(wrong), true) => self.netlist.replacen(&wrong.line, &wrong.instead, 1),
            (None, true) => return None,
            (_, false) => self.netlist.clone(),
        };
        Some(read(&self.job, &netlist, &self.manual))
    }
}

/// A job of its texts.
pub fn read(settings: &str, netlist: &str, manual: &str) -> Job {
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", settings)),
        netlist: Some(sources.add("circuit.netlist", netlist)),
        manual: Some(sources.add("manual.csv", manual)),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    let Some(job) = read.job else {
        panic!("the job does not read: {:?}", read.diagnostics);
    };
    job
}
