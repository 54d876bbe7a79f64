//! The section `worksheet` of `job.toml`: the order in which the stages are worked through.
//!
//! Names are kept as words with their place, because the parts are known only after the netlist is
//! read.

use crate::diagnostic::Diagnostic;

use super::tree::Section;
use super::Named;

const KEYS: [&str; 1] = ["order"];

/// The section `worksheet`.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct WorksheetSettings {
    /// Designators of stages, or the words `rails` and `power-off`.
    pub order: Vec<Named>,
}

pub(super) fn read_worksheet(
    section: &Section<'_>,
    out: &mut Vec<Diagnostic>,
) -> WorksheetSettings {
    section.only(&KEYS, out);
    let Some(entry) = section.entry("order") else {
        return WorksheetSettings::default();
    };
    let mut order = Vec::new();
    for words in entry.list(out).unwrap_or_default() {
        if words.is_blank() {
            let error = words.error("a designator was expected here");
            out.push(error.help("write `order = [\"rails\", \"V3\", \"V2\"]`"));
        } else {
            order.push(words.into());
        }
    }
    WorksheetSettings { order }
}
