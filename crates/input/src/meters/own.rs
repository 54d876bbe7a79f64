//! `meters.toml`: the meters of this bench, one section for each.
//!
//! Text comes in; meters and diagnostics go out. A meter with a fault is left out.

use circuit::{meter_by_name, AcInput, Meter, MeterInput, MeterRange, Response};
use units::{Sensitivity, Unit};

use super::accuracy;
use super::input_by_range::{input_by_range, Input};
use super::instruments;
use super::probe;
use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::nearest::did_you_mean;
use crate::settings::tree::{parse, Entry, Section};
use crate::source::{SourceId, Sources};
use crate::values::{self, Reported};
use crate::words::Words;

/// What to write where the counts of the display are not known.
const COUNTS: &str = "say how many the display has: `counts = 20000`";

const METER: [&str; 10] = [
    "description",
    "input",
    "sensitivity",
    "ranges",
    "counts",
    "accuracy",
    "ac",
    "probe",
    "ohmmeter",
    "ammeter",
];
const AC: [&str; 6] = [
    "input",
    "sensitivity",
    "capacitance",
    "blocking",
    "accuracy",
    "responds",
];

/// The words of `responds`, and their meaning.
const RESPONSES: [(&str, Response); 3] = [
    ("average", Response::Average),
    ("true rms", Response::TrueRms),
    ("peak", Response::Peak),
];

/// The result of reading `meters.toml`.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct MetersRead {
    /// The meters that could be read.
    pub meters: Vec<Meter>,
    /// The meters that could not be read, and why.
    pub left_out: Vec<LeftOutMeter>,
    /// Whether the whole text was TOML; if not, a meter may be in a line that was lost.
    pub whole: bool,
    /// Everything that is wrong with it.
    pub diagnostics: Vec<Diagnostic>,
}

/// A section whose meter could not be read.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOutMeter {
    /// Its name.
    pub name: String,
    /// Its first fault, in one sentence without a full stop.
    pub reason: String,
    /// The line of its name, from 1.
    pub line: usize,
}

/// Reads `meters.toml`. A section with a fault costs that meter; a text that is not TOML costs the
/// job.
pub fn read_meters(sources: &Sources, id: SourceId) -> MetersRead {
    let tree = parse(sources, id);
    let mut found = Vec::new();
    let mut read = MetersRead {
        whole: tree.is_whole(),
        ..MetersRead::default()
    };
    for entry in tree.top().entries() {
        let before = found.len();
        if entry.key.trim().is_empty() {
            let message = "a meter needs a name";
            found.push(Diagnostic::error(entry.key_span.clone(), message));
        } else if let Some(section) = entry.section() {
            let reader = Reader {
                section,
                whole: tree.is_whole(),
            };
            let meter = reader.meter(entry.key, &mut found);
            match (cost_a_row(&mut found, before), meter) {
                (None, Some(meter)) => read.meters.push(meter),
                (fault, _) => read.left_out.push(LeftOutMeter {
                    name: entry.key.trim().to_owned(),
                    reason: fault.map_or_else(String::new, |fault| fault.message.clone()),
                    line: sources.line_column(&entry.key_span).0,
                }),
            }
        } else {
            let message = format!("'{}' stands outside a meter's section", entry.key);
            let help = "start each meter with its name in brackets: [bench-dmm]";
            found.push(Diagnostic::error(entry.key_span.clone(), message).help(help));
        }
        cost_a_row(&mut found, before);
    }
    read.diagnostics = tree.finish(found);
    read
}

/// One meter's section being read.
struct Reader<'s> {
    section: Section<'s>,
    /// Whether the whole text was TOML; if not, what seems to be missing may be in a faulty line.
    whole: bool,
}

impl Reader<'_> {
    fn meter(&self, name: &str, out: &mut Vec<Diagnostic>) -> Option<Meter> {
        let section = &self.section;
        section.only(&METER, out);
        if meter_by_name(name).is_some() {
            let message = format!("[{name}] takes the place of the built-in class of this name");
            out.push(Diagnostic::note(section.span.clone(), message));
        }
        let description = section.words("description", out);
        let ranges = self.ranges(out);
        let input = self.input(section, ranges.as_deref().ok(), out);
        let counts = section
            .entry("counts")
            .map(|entry| entry.count(out))
            .transpose();
        let accuracy = accuracy::stated(section, counts == Ok(None) && self.whole, COUNTS, out);
        let ac = match section.entry("ac") {
            Some(entry) => entry
                .needs_section(out)
                .and_then(|ac| self.ac(&ac, counts, out))
                .map(Some),
            None => Ok(None),
        };
        let probe = section.entry("probe").map(|entry| probe::read(&entry, out));
        let probe = probe.transpose();
        let shown_counts = counts.ok().flatten();
        let ohmmeter = section
            .entry("ohmmeter")
            .map(|entry| instruments::ohmmeter(&entry, shown_counts, out))
            .transpose();
        let ammeter = section
            .entry("ammeter")
            .map(|entry| instruments::ammeter(&entry, shown_counts, out))
            .transpose();
        let input = input.ok()?;
        let with_input = |full_scale: f64| MeterRange {
            full_scale,
            input: input.on(full_scale),
        };
        let meter = Meter {
            name: name.trim().to_owned(),
            description: description
                .ok()?
                .map(|words| words.text)
                .unwrap_or_default(),
            ranges: ranges.ok()?.into_iter().map(with_input).collect(),
            input: input.base,
            counts: counts.ok()?,
            accuracy: accuracy.ok()?,
            ac: ac.ok()?,
            ohmmeter: ohmmeter.ok()?,
            ammeter: ammeter.ok()?,
        };
        Some(match probe.ok()? {
            Some(probe) => probe.on(meter),
            None => meter,
        })
    }

    fn ranges(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<f64>, Reported> {
        let Some(entry) = self.section.entry("ranges") else {
            return Err(self.missing(
                &self.section,
                "lists no ranges",
                "ranges = [\"2.5V\", \"10V\"]",
                out,
            ));
        };
        let list = entry.list(out)?;
        if list.is_empty() {
            let message = format!("{}: at least one range is needed", entry.what());
            out.push(Diagnostic::error(entry.span(), message));
            return Err(Reported);
        }
        let mut rising: Vec<f64> = Vec::new();
        let mut all_read = Ok(());
        for words in &list {
            let Ok(volts) = values::positive(words, &entry.what(), Unit::Volt, out) else {
                all_read = Err(Reported);
                continue;
            };
            // Only the first range out of order is reported: later ones follow from it.
            if rising.last().is_some_and(|last| volts <= *last) && all_read.is_ok() {
                let message = format!("{}: the ranges must rise", entry.what());
                let error = Diagnostic::error(words.span.clone(), message);
                out.push(error.label("not above the range before it"));
                all_read = Err(Reported);
            }
            rising.push(volts);
        }
        all_read.map(|()| rising)
    }

    fn input(
        &self,
        section: &Section<'_>,
        ranges: Option<&[f64]>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Input, Reported> {
        match (section.entry("input"), section.entry("sensitivity")) {
            (Some(input), Some(sensitivity)) => {
                let message = format!(
                    "{} and {} exclude each other",
                    input.what(),
                    sensitivity.what()
                );
                let (first, second) = (input.key_span, sensitivity.key_span);
                out.push(
                    Diagnostic::error(second, message)
                        .related(first, "and here")
                        .help("`input` is for a fixed input, `sensitivity` for ohms per volt"),
                );
                Err(Reported)
            }
            (None, None) => {
                let help = "input = \"10M\"` or `sensitivity = \"20k/V\"";
                Err(self.missing(section, "has no input", help, out))
            }
            (None, Some(entry)) => {
                let words = entry.words(out)?;
                let sensitivity = Sensitivity::parse(&words.text)
                    .map_err(|error| values::report(&error, &words, &entry.what(), out))?;
                Ok(Input {
                    base: MeterInput::Sensitivity(sensitivity),
                    by_range: Vec::new(),
                })
            }
            (Some(entry), None) => match entry.section() {
                Some(table) => input_by_range(&entry, &table, ranges, out),
                None => {
                    let words = entry.words(out)?;
                    let ohms = values::positive(&words, &entry.what(), Unit::Ohm, out)?;
                    Ok(Input {
                        base: MeterInput::Fixed(ohms),
                        by_range: Vec::new(),
                    })
                }
            },
        }
    }

    fn ac(
        &self,
        section: &Section<'_>,
        counts: Result<Option<u32>, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<AcInput, Reported> {
        section.only(&AC, out);
        let input = match section
            .entry("input")
            .filter(|entry| entry.section().is_some())
        {
            Some(entry) => {
                let message = format!("{}: one input for every range was expected", entry.what());
                out.push(Diagnostic::error(entry.span(), message));
                Err(Reported)
            }
            None => self.input(section, None, out),
        };
        let mut farads = |key: &str| {
            let entry = section.entry(key);
            let farads = entry.map(|entry| {
                let words = entry.words(out)?;
                values::positive(&words, &entry.what(), Unit::Farad, out)
            });
            farads.transpose()
        };
        let (capacitance, blocking) = (farads("capacitance"), farads("blocking"));
        let accuracy = accuracy::stated(section, counts == Ok(None) && self.whole, COUNTS, out);
        let responds = match section.entry("responds") {
            Some(entry) => entry
                .words(out)
                .and_then(|words| response(&words, &entry, out)),
            None => {
                let message = "does not say what it responds to";
                Err(self.missing(section, message, "responds = \"average\"", out))
            }
        };
        Ok(AcInput {
            input: input?.base,
            capacitance: capacitance?.unwrap_or(0.0),
            blocking: blocking?,
            accuracy: accuracy?,
            responds: responds?,
        })
    }

    fn missing(
        &self,
        section: &Section<'_>,
        message: &str,
        example: &str,
        out: &mut Vec<Diagnostic>,
    ) -> Reported {
        if self.whole {
            let message = format!("{} {message}", section.name);
            let help = format!("add `{example}`");
            out.push(Diagnostic::error(section.span.clone(), message).help(help));
        }
        Reported
    }
}

fn response(
    words: &Words,
    entry: &Entry<'_>,
    out: &mut Vec<Diagnostic>,
) -> Result<Response, Reported> {
    let plain = words.text.to_lowercase().replace('-', " ");
    if let Some((_, response)) = RESPONSES.iter().find(|(word, _)| *word == plain) {
        return Ok(*response);
    }
    let message = format!("{}: '{}' is not known", entry.what(), words.text);
    let known = RESPONSES.map(|(word, _)| word);
    let nearest = did_you_mean(&words.text, known);
    let error = Diagnostic::error(words.span.clone(), message);
    let help = format!("write one of: {}", known.join(", "));
    out.push(error.help(help).maybe_help(nearest));
    Err(Reported)
}
