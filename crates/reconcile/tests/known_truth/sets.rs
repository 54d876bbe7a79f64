//! The sets of known truth, as their files hold them.

use std::collections::BTreeMap;
use std::path::Path;

use circuit::Job;
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
}

/// What its specimens show at one point.
#[derive(Deserialize)]
pub struct Point {
    pub place: String,
    pub bench_range_20k: f64,
    pub manual_specimen: BTreeMap<String, f64>,
    pub bench_specimen: BTreeMap<String, f64>,
}

/// A slip of the drawing.
#[derive(Deserialize)]
struct Wrong {
    line: String,
    instead: String,
}

/// Every family of sets by its name.
pub fn families() -> Vec<(&'static str, Vec<Set>)> {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../reconcile/tests/vectors");
    let read = |name: &'static str| {
        let Ok(text) = std::fs::read_to_string(folder.join(format!("{name}.jsonl"))) else {
            panic!("{name}.jsonl cannot be read");
        };
        let set = |line: &str| match serde_json::from_str(line) {
            Ok(set) => set,
            Err(error) => panic!("{name}.jsonl: {error}"),
        };
        (name, text.lines().map(set).collect())
    };
    ["networks", "chassis", "boards", "slips"].map(read).into()
}

impl Set {
    /// The job as it is drawn, or with the slip in its drawing; none where it has none.
    pub fn job(&self, wrong: bool) -> Option<Job> {
        let netlist = match (&self.wrong, wrong) {
            (Some(wrong), true) => self.netlist.replacen(&wrong.line, &wrong.instead, 1),
            (None, true) => return None,
            (_, false) => self.netlist.clone(),
        };
        let texts = [
            ("job.toml", &self.job),
            ("circuit.netlist", &netlist),
            ("manual.csv", &self.manual),
        ];
        Some(crate::bench_job::read(
            &texts.map(|(label, text)| (label.to_owned(), text.clone())),
        ))
    }
}
