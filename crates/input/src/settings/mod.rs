//! The contents of `job.toml`: the set's title, the job's files, how the manual's values were read,
//! and what is on the bench.
//!
//! Text comes in; settings and diagnostics go out. Names of meters and of the reference are kept as
//! words with their place, because the meters and nodes are known only after all files are read.

mod bare;
mod suspects;
pub(crate) mod tree;
mod worksheet;

use units::{Tolerance, Unit};

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Sources, Span};
use crate::values;
use crate::words::Words;
use bare::Wanted;
use suspects::read_suspects;
use tree::{Entry, Section};
use worksheet::read_worksheet;

pub use crate::table::decibel::DecibelZero;
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

/// The section `as-documented`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct DocumentedSettings {
    /// The meter of every row that names none.
    pub meter: Option<Named>,
    /// The tolerance of every row that states none.
    pub tolerance: Option<Tolerance>,
    /// The node that the manual's values are measured against.
    pub reference: Option<Named>,
    /// Line volts of the manual.
    pub line: Option<f64>,
    /// Full scale in volts of the range on which all its values were read.
    pub range: Option<f64>,
    /// What 0 dB stands for in its cells of decibels.
    pub decibel_zero: Option<DecibelZero>,
    /// Conditions in the manual's words; empty if unstated.
    pub conditions: String,
}

/// The section `on-the-bench`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct BenchSettings {
    /// The meters, the first of them the one in use.
    pub meters: Vec<Named>,
    /// Line volts at the bench.
    pub line: Option<f64>,
    /// Guard band as a multiple of the expanded uncertainty, 0 to 10.
    pub guard: Option<f64>,
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
const DOCUMENTED: [&str; 7] = [
    "meter",
    "tolerance",
    "reference",
    "line",
    "range",
    "decibel-zero",
    "conditions",
];
const BENCH: [&str; 3] = ["meter", "line", "guard"];

/// With ten times the expanded uncertainty no reading could pass: more is a mistake.
const GUARD: Wanted = Wanted {
    fits: |guard| (0.0..=10.0).contains(&guard),
    words: "a number from 0 to 10",
    example: "1",
};

/// Reads `job.toml`. Returns what could be read of it, and every fault.
pub fn read_settings(sources: &Sources, id: SourceId) -> (JobSettings, Vec<Diagnostic>) {
    let tree = tree::parse(sources, id);
    let mut found = Vec::new();
    let out = &mut found;
    let mut settings = JobSettings::default();
    let top = tree.top();
    top.only(&TOP, out);
    settings.title = text(&top, "title", out);
    settings.serial = text(&top, "serial", out).unwrap_or_default();
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
    if let Some(section) = section(&top, "as-documented", out) {
        settings.documented = read_documented(&section, out);
    }
    if let Some(section) = section(&top, "on-the-bench", out) {
        settings.bench = read_bench(&section, out);
    }
    if let Some(section) = section(&top, "worksheet", out) {
        settings.worksheet = read_worksheet(&section, out);
    }
    if let Some(section) = section(&top, "suspects", out) {
        settings.suspects = read_suspects(&section, out);
    }
    settings.whole = tree.is_whole() && !found.iter().any(Diagnostic::is_error);
    let diagnostics = tree.finish(found);
    (settings, diagnostics)
}

fn section<'s>(top: &Section<'s>, key: &str, out: &mut Vec<Diagnostic>) -> Option<Section<'s>> {
    top.entry(key)?.needs_section(out).ok()
}

fn read_documented(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> DocumentedSettings {
    section.only(&DOCUMENTED, out);
    DocumentedSettings {
        meter: name(section, "meter", out),
        tolerance: section.entry("tolerance").and_then(|entry| {
            let words = entry.words(out).ok()?;
            values::tolerance(&words, &entry.what(), Unit::Volt, out).ok()
        }),
        reference: name(section, "reference", out),
        line: line_volts(section, out),
        range: section.entry("range").and_then(|entry| {
            let words = entry.words(out).ok()?;
            values::positive(&words, &entry.what(), Unit::Volt, out).ok()
        }),
        decibel_zero: decibel_zero(section, out),
        conditions: text(section, "conditions", out).unwrap_or_default(),
    }
}

fn read_bench(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> BenchSettings {
    section.only(&BENCH, out);
    BenchSettings {
        meters: section
            .entry("meter")
            .and_then(|entry| names(&entry, out))
            .unwrap_or_default(),
        line: line_volts(section, out),
        guard: section
            .entry("guard")
            .and_then(|entry| entry.number_of(&GUARD, out).ok()),
    }
}

fn text(section: &Section<'_>, key: &str, out: &mut Vec<Diagnostic>) -> Option<String> {
    let words = section.words(key, out).ok().flatten();
    words.map(|words| words.text)
}

fn decibel_zero(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> Option<DecibelZero> {
    let entry = section.entry("decibel-zero")?;
    let words = entry.words(out).ok()?;
    let found = DecibelZero::parse(&words.text);
    if found.is_none() {
        let message = format!("{}: this is no zero of decibels", entry.what());
        let help = "write a power and its ohms: `1 mW in 600 ohm`, or `6 mW in 500 ohm`";
        out.push(Diagnostic::error(words.span, message).help(help));
    }
    found
}

fn line_volts(section: &Section<'_>, out: &mut Vec<Diagnostic>) -> Option<f64> {
    let entry = section.entry("line")?;
    let words = entry.words(out).ok()?;
    values::positive(&words, &entry.what(), Unit::Volt, out).ok()
}

fn name(section: &Section<'_>, key: &str, out: &mut Vec<Diagnostic>) -> Option<Named> {
    let entry = section.entry(key)?;
    let words = entry.words(out).ok()?;
    filled(&entry, words, out)
}

fn names(entry: &Entry<'_>, out: &mut Vec<Diagnostic>) -> Option<Vec<Named>> {
    let list = entry.list(out).ok()?;
    Some(
        list.into_iter()
            .filter_map(|words| filled(entry, words, out))
            .collect(),
    )
}

fn filled(entry: &Entry<'_>, words: Words, out: &mut Vec<Diagnostic>) -> Option<Named> {
    if words.is_blank() {
        let message = format!("{}: a name was expected here", entry.what());
        out.push(Diagnostic::error(entry.span(), message));
        return None;
    }
    Some(words.into())
}
