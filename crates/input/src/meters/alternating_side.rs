//! What a meter of `meters.toml` is to alternating volts.
//!
//! The `ac` section of a meter comes in; its input, its error and what it responds to go out. The meter's direct volts
//! are not known here.

use circuit::{AcInput, Response};
use units::Unit;

use super::accuracy;
use super::meter_section::{Reader, COUNTS};
use crate::diagnostic::Diagnostic;
use crate::settings::tree::Section;
use crate::values::Reported;
use crate::words::Words;

const AC: [&str; 6] = [
    "input",
    "sensitivity",
    "capacitance",
    "blocking",
    "accuracy",
    "responds",
];

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
            Some(entry) => Err(entry
                .error("one input for every range was expected")
                .report(out)),
            None => self.input(section, None, out),
        };
        let capacitance = section.positive("capacitance", Unit::Farad, out);
        let blocking = section.positive("blocking", Unit::Farad, out);
        let accuracy = accuracy::stated(section, counts == Ok(None) && self.whole, COUNTS, out);
        let responds = match section.words("responds", out) {
            Ok(Some(words)) => response(&words, out),
            Ok(None) => {
                let message = "does not say what it responds to";
                Err(section.missing(message, "responds = \"average\"", out))
            }
            Err(Reported) => Err(Reported),
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

fn response(words: &Words, out: &mut Vec<Diagnostic>) -> Result<Response, Reported> {
    let plain = words.text.to_lowercase().replace('-', " ");
    let found = RESPONSES.iter().find(|(word, _)| *word == plain);
    found.map(|(_, response)| *response).ok_or_else(|| {
        let message = format!("'{}' is not known", words.text);
        words.unknown(message, &RESPONSES.map(|(word, _)| word), out)
    })
}
