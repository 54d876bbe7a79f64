//! `meters.toml`: the meters of this bench, one section for each.
//!
//! Text comes in; meters and diagnostics go out. A meter with a fault is left out. What a section says of its meter is
//! not known here.

use circuit::Meter;

use super::meter_section::Reader;
use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::settings::tree::parse;
use crate::source::{SourceId, Sources};

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
                    reason: fault.unwrap_or_default(),
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
