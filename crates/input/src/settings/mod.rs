//! The contents of `job.toml`: the set's title, the job's files, how the manual's values were read,
//! and what is on the bench.
//!
//! Text comes in; settings and diagnostics go out. Names of meters and of the reference are kept as
//! words with their place, because the meters and nodes are known only after all files are read.

mod bare;
mod bench;
mod documented;
mod suspects;
pub(crate) mod tree;
mod worksheet;

use units::Unit;

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Sources, Span};
use crate::words::Words;
use bench::read_bench;
use documented::read_documented;
use suspects::read_suspects;
use tree::{Entry, Section};
use worksheet::read_worksheet;

pub use crate::table::decibel::DecibelZero;
pub use bench::BenchSettings;
pub use documented::DocumentedSettings;
pub use suspects::SuspectSettings;
pub use worksheet::WorksheetSettings;

/// A name written in `job.toml`, or its default.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Named {
    /// The name.
    pub name: String,
    /// Its place; none for a default, so that a file which is not named may be missing.
    pub span: Option<Span>,
}

/// The contents of `job.toml`.
#[derive(Clone, Debug, PartialEq)]
pub struct JobSettings {
    /// The name of the set.
    pub title: Option<String>,
    /// The set's serial number; empty if unstated.
    pub serial: String,
    /// Whether the set has no mains transformer; false if unstated.
    pub hot_chassis: bool,
    /// The netlist's file, `circuit.netlist` unless named.
    pub netlist: Named,
    /// The manual's file, `manual.csv` unless named.
    pub manual: Named,
    /// The manual's socket chart, `pin-chart.csv` unless named.
    pub pin_chart: Named,
    /// The manual's socket chart of resistances, `pin-chart-ohms.csv` unless named.
    pub pin_chart_ohms: Named,
    /// The file of the job's own meters, `meters.toml` unless named.
    pub meters: Named,
    /// The file of tube types that are not in the catalogue, `devices.toml` unless named.
    pub devices: Named,
    /// The files of readings, `readings.csv` unless named.
    pub readings: Vec<Named>,
    /// How the manual's values were read.
    pub documented: DocumentedSettings,
    /// What is on the bench.
    pub bench: BenchSettings,
    /// How the worksheet is to be laid out.
    pub worksheet: WorksheetSettings,
    /// Weights for the search for the faulty part.
    pub suspects: SuspectSettings,
    /// Whether the text was read without error; if not, what seems to be missing may be written
    /// there.
    pub whole: bool,
}

impl Default for JobSettings {
    fn default() -> Self {
        JobSettings {
            title: None,
            serial: String::new(),
            hot_chassis: false,
            netlist: Named::default_of("circuit.netlist"),
            manual: Named::default_of("manual.csv"),
            pin_chart: Named::default_of("pin-chart.csv"),
            pin_chart_ohms: Named::default_of("pin-chart-ohms.csv"),
            meters: Named::default_of("meters.toml"),
            devices: Named::default_of("devices.toml"),
            readings: vec![Named::default_of("readings.csv")],
            documented: DocumentedSettings::default(),
            bench: BenchSettings::default(),
            worksheet: WorksheetSettings::default(),
            suspects: SuspectSettings::default(),
            whole: true,
        }
    }
}

impl Named {
    fn default_of(name: &str) -> Self {
        Named {
            name: name.to_owned(),
            span: None,
        }
    }
}

impl From<Words> for Named {
    fn from(words: Words) -> Self {
        Named {
            name: words.text,
            span: Some(words.span),
        }
    }
}

const TOP: [&str; 14] = [
    "title",
    "serial",
    "hot-chassis",
    "netlist",
    "manual",
    "pin-chart",
    "pin-chart-ohms",
    "readings",
    "meters",
    "devices",
    "as-documented",
    "on-the-bench",
    "worksheet",
    "suspects",
];
/// Reads `job.toml`. Returns what could be read of it, and every fault.
pub fn read_settings(sources: &Sources, id: SourceId) -> (JobSettings, Vec<Diagnostic>) {
    let tree = tree::parse(sources, id);
    let mut found = Vec::new();
    let out = &mut found;
    let mut settings = JobSettings::default();
    let top = tree.top();
    top.only(&TOP, out);
    settings.title = text(&top, "title", out).map(|words| words.text);
    let serial = text(&top, "serial", out);
    settings.serial = serial.map_or_else(String::new, |words| words.text);
    settings.hot_chassis = top
        .entry("hot-chassis")
        .is_some_and(|entry| entry.truth(out).unwrap_or_default());
    for (key, file) in [
        ("netlist", &mut settings.netlist),
        ("manual", &mut settings.manual),
        ("pin-chart", &mut settings.pin_chart),
        ("pin-chart-ohms", &mut settings.pin_chart_ohms),
        ("meters", &mut settings.meters),
        ("devices", &mut settings.devices),
    ] {
        if let Some(name) = name(&top, key, out) {
            *file = name;
        }
    }
    if let Some(names) = top.entry("readings").and_then(|entry| names(&entry, out)) {
        settings.readings = names;
    }
    settings.documented = section(&top, "as-documented", read_documented, out);
    settings.bench = section(&top, "on-the-bench", read_bench, out);
    settings.worksheet = section(&top, "worksheet", read_worksheet, out);
    settings.suspects = section(&top, "suspects", read_suspects, out);
    settings.whole = tree.is_whole() && !found.iter().any(Diagnostic::is_error);
    let diagnostics = tree.finish(found);
    (settings, diagnostics)
}

/// The settings of a section; the usual ones if the file does not have it.
fn section<T: Default>(
    top: &Section<'_>,
    key: &str,
    read: fn(&Section<'_>, &mut Vec<Diagnostic>) -> T,
    out: &mut Vec<Diagnostic>,
) -> T {
    let entry = top.entry(key);
    let section = entry.and_then(|entry| entry.needs_section(out).ok());
    section.map_or_else(T::default, |section| read(&section, out))
}

fn text(section: &Section<'_>, key: &str, out: &mut Vec<Diagnostic>) -> Option<Words> {
    section.words(key, out).ok().flatten()
}

fn volts(section: &Section<'_>, key: &str, out: &mut Vec<Diagnostic>) -> Option<f64> {
    section.positive(key, Unit::Volt, out).ok().flatten()
}

fn name(section: &Section<'_>, key: &str, out: &mut Vec<Diagnostic>) -> Option<Named> {
    let entry = section.entry(key)?;
    let words = entry.words(out).ok()?;
    filled(&entry, words, out)
}

fn names(entry: &Entry<'_>, out: &mut Vec<Diagnostic>) -> Option<Vec<Named>> {
    let list = entry.list(out).ok()?.into_iter();
    let names = list.filter_map(|words| filled(entry, words, out));
    Some(names.collect())
}

fn filled(entry: &Entry<'_>, words: Words, out: &mut Vec<Diagnostic>) -> Option<Named> {
    if words.is_blank() {
        out.push(entry.error("a name was expected here"));
        return None;
    }
    Some(words.into())
}
