//! What a meter of `meters.toml` is to alternating volts.
//!
//! The `ac` section of a meter comes in; its input, its error and what it responds to go out. The meter's direct volts
//! are not known here.

use circuit::{AcInput, Response};
use units::Unit;

use super::accuracy;
use super::meter_section::{Reader, COUNTS};
use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::settings::tree::{Entry, Section};
use crate::values::{self, Reported};
use crate::words::Words;

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

impl Reader<'_> {
    pub(super) fn ac(
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
