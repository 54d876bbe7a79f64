//! Sets with known faults, as their file holds them.

use std::path::Path;

use circuit::{Job, NodeId, Origin, Port, Reading, Shown};
use input::{read_job, JobSources, Sources};
use serde::Deserialize;
use units::{Figure, Unit};

/// A drawing with its manual, and sets of its make on a bench.
#[derive(Deserialize)]
pub struct Design {
    /// Its name; the first letter tells its family.
    pub id: String,
    netlist: String,
    job: String,
    manual: String,
    /// Nodes that are no point of the manual, in the order of their readings.
    pub bare: Vec<String>,
    /// The sets.
    pub cases: Vec<Case>,
}

/// A set on the bench.
#[derive(Deserialize)]
pub struct Case {
    /// `even`, `trade`, `order`, `slip`, `two`, `foreign`.
    pub kind: String,
    /// What is broken.
    #[serde(default)]
    pub faults: Vec<Broken>,
    /// What is foreign to the drawing.
    pub what: Option<String>,
    /// Which reading was written down wrongly.
    pub slip: Option<Slip>,
    /// Points that the fault moves beyond the manual's tolerance.
    pub moved: Vec<usize>,
    /// Readings of the manual's points.
    pub read: Vec<String>,
    /// Readings of the bare nodes against the reference.
    pub bare: Vec<String>,
}

/// A fault that a set has.
#[derive(Deserialize)]
pub struct Broken {
    /// Designator.
    pub part: String,
    /// In the words of the trade.
    pub fault: String,
    /// The place of a lost electrode among the part's terminals.
    pub terminal: Option<usize>,
    /// Of two faults: points that it moves beside the other one.
    #[serde(default)]
    pub moved: Vec<usize>,
}

/// A reading written down wrongly.
#[derive(Deserialize)]
pub struct Slip {
    /// How.
    pub what: String,
    /// Which point.
    pub reading: usize,
}

/// All designs of a file; that of the tree if none is named.
pub fn designs(path: Option<&str>) -> Vec<Design> {
    let own = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors/faults.jsonl");
    let path = path.map_or(own, std::path::PathBuf::from);
    let Ok(text) = std::fs::read_to_string(&path) else {
        panic!("{} cannot be read", path.display());
    };
    let design = |line: &str| match serde_json::from_str(line) {
        Ok(design) => design,
        Err(error) => panic!("{}: {error}", path.display()),
    };
    text.lines().map(design).collect()
}

impl Design {
    /// The job without readings.
    pub fn job(&self) -> Job {
        let mut sources = Sources::default();
        let parts = JobSources {
            settings: Some(sources.add("job.toml", &self.job)),
            netlist: Some(sources.add("circuit.netlist", &self.netlist)),
            manual: Some(sources.add("manual.csv", &self.manual)),
            ..JobSources::default()
        };
        let read = read_job(&sources, &parts, &[]);
        let Some(job) = read.job else {
            panic!("{} does not read: {:?}", self.id, read.diagnostics);
        };
        job
    }

    /// Chassis, boards or networks.
    pub fn family(&self) -> &'static str {
        match self.id.as_bytes().first() {
            Some(b'c') => "tube chassis",
            Some(b'b') => "transistor boards",
            _ => "networks",
        }
    }

    /// What a case shows at a bare node.
    pub fn at_node(&self, job: &Job, case: &Case, node: NodeId) -> Option<Reading> {
        let name = &job.circuit.nodes()[node.0].name;
        let place = self.bare.iter().position(|bare| bare == name)?;
        let island = circuit::islands(&job.circuit);
        let island = island.iter().find(|island| island.nodes.contains(&node))?;
        let minus = *island.references.first()?;
        let port = Port { plus: node, minus };
        reading(job, &format!("at {name}"), port, case.bare.get(place)?)
    }
}

impl Case {
    /// What it shows at an entry of the manual.
    pub fn at_entry(&self, job: &Job, entry: usize) -> Option<Reading> {
        let known = job.manual.get(entry)?;
        reading(job, &known.point, known.port?, self.read.get(entry)?)
    }

    /// The job with these entries read.
    pub fn read(&self, job: &Job, entries: impl Iterator<Item = usize>) -> Job {
        let mut read = job.clone();
        read.readings = entries
            .filter_map(|entry| self.at_entry(job, entry))
            .collect();
        read
    }

    /// Whether its fault moves one of these points.
    pub fn shows(&self, entries: &[usize]) -> bool {
        self.moved
            .iter()
            .any(|point| entries.contains(&(point - 1)))
    }
}

fn reading(job: &Job, point: &str, port: Port, text: &str) -> Option<Reading> {
    Some(Reading {
        point: point.to_owned(),
        port: Some(port),
        shown: Shown::Value(Figure::parse(text, Unit::Volt).ok()?),
        meter: job.bench.meters.first()?.clone(),
        range: None,
        set: "bench".into(),
        date: String::new(),
        note: String::new(),
        origin: Origin::default(),
    })
}
