//! One meter of `meters.toml`, from its section.
//!
//! A section comes in; a meter goes out, or diagnostics for all that is wrong with it. Other sections, and what stands
//! outside them, are not known here.

use circuit::{meter_by_name, Meter, MeterInput, MeterRange};
use units::{Sensitivity, Unit};

use super::accuracy;
use super::input_by_range::{input_by_range, Input};
use super::instruments;
use super::probe;
use crate::diagnostic::Diagnostic;
use crate::settings::tree::Section;
use crate::values::Reported;

/// What to write where the counts of the display are not known.
pub(super) const COUNTS: &str = "say how many the display has: `counts = 20000`";

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

pub(super) struct Reader<'s> {
    pub(super) section: Section<'s>,
    /// Whether the whole text was TOML; if not, what seems to be missing may be in a faulty line.
    pub(super) whole: bool,
}

impl Reader<'_> {
    pub(super) fn meter(&self, name: &str, out: &mut Vec<Diagnostic>) -> Option<Meter> {
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
            probe: None,
            ac: ac.ok()?,
            ohmmeter: ohmmeter.ok()?,
            ammeter: ammeter.ok()?,
        };
        Some(match probe.ok()? {
            Some(probe) => probe::on(probe, meter),
            None => meter,
        })
    }

    fn ranges(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<f64>, Reported> {
        let Some(entry) = self.section.entry("ranges") else {
            let example = "ranges = [\"2.5V\", \"10V\"]";
            return Err(self.section.missing("lists no ranges", example, out));
        };
        let list = entry.list(out)?;
        if list.is_empty() {
            return Err(entry.error("at least one range is needed").report(out));
        }
        let mut rising: Vec<f64> = Vec::new();
        let mut all_read = Ok(());
        for words in &list {
            let Ok(volts) = words.positive(Unit::Volt, out) else {
                all_read = Err(Reported);
                continue;
            };
            // Only the first range out of order is reported: later ones follow from it.
            if rising.last().is_some_and(|last| volts <= *last) && all_read.is_ok() {
                let error = words.error("the ranges must rise");
                all_read = Err(error.label("not above the range before it").report(out));
            }
            rising.push(volts);
        }
        all_read.map(|()| rising)
    }

    pub(super) fn input(
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
                let help = "`input` is for a fixed input, `sensitivity` for ohms per volt";
                let error = Diagnostic::error(sensitivity.key_span, message);
                let error = error.related(input.key_span, "and here");
                Err(error.help(help).report(out))
            }
            (None, None) => {
                let help = "input = \"10M\"` or `sensitivity = \"20k/V\"";
                Err(section.missing("has no input", help, out))
            }
            (None, Some(entry)) => {
                let words = entry.words(out)?;
                Sensitivity::parse(&words.text)
                    .map(|sensitivity| Input::same(MeterInput::Sensitivity(sensitivity)))
                    .map_err(|error| words.unreadable(&error, out))
            }
            (Some(entry), None) => match entry.section() {
                Some(table) => input_by_range(&entry, &table, ranges, out),
                None => {
                    let ohms = entry.words(out)?.positive(Unit::Ohm, out)?;
                    Ok(Input::same(MeterInput::Fixed(ohms)))
                }
            },
        }
    }
}
