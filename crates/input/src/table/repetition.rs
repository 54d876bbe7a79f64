//! Readings that were noted twice by mistake.

use std::collections::hash_map::{Entry, HashMap};

use circuit::Reading;

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Span};

/// Properties that two readings of one file share only by mistake: file, point, set, date, meter
/// and range.
type Kind = (SourceId, [String; 4], Option<u64>);

/// The place of the first reading of each kind.
#[derive(Default)]
pub(super) struct Repetitions {
    first: HashMap<Kind, Span>,
}

impl Repetitions {
    /// Warns about a repeated reading. Two meters or two ranges on one point are intended, and so are
    /// two files from before and after the repair; the same meter and range twice in one file are a
    /// mistake.
    pub fn doubt(&mut self, reading: &Reading, span: Span, out: &mut Vec<Diagnostic>) {
        let Reading {
            point, set, date, ..
        } = reading;
        let words = [point, set, date, &reading.meter.name].map(String::clone);
        let kind = (span.source, words, reading.range.map(f64::to_bits));
        match self.first.entry(kind) {
            Entry::Vacant(place) => {
                place.insert(span);
            }
            Entry::Occupied(first) => {
                let message = format!(
                    "point '{point}' is read a second time with the same meter, set and date"
                );
                let first = first.get().clone();
                out.push(Diagnostic::warning(span, message).related(first, "first here"));
            }
        }
    }
}
