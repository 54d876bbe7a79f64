//! The diagnostics of one netlist.
//!
//! Byte ranges and words come in, placed diagnostics go out, in the order of the text.

use std::ops::Range;

use units::ValueError;

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Span};

/// Diagnostics of one text.
#[derive(Debug)]
pub(super) struct Findings {
    source: SourceId,
    found: Vec<Diagnostic>,
}

impl Findings {
    pub fn new(source: SourceId) -> Self {
        Findings {
            source,
            found: Vec::new(),
        }
    }

    /// The place of a byte range of this text.
    pub fn at(&self, bytes: &Range<usize>) -> Span {
        Span::new(self.source, bytes.clone())
    }

    /// An error to be completed and passed to [`Findings::push`].
    pub fn error(&self, bytes: &Range<usize>, message: impl Into<String>) -> Diagnostic {
        Diagnostic::error(self.at(bytes), message)
    }

    /// A warning to be completed and passed to [`Findings::push`].
    pub fn warning(&self, bytes: &Range<usize>, message: impl Into<String>) -> Diagnostic {
        Diagnostic::warning(self.at(bytes), message)
    }

    /// Adds an error: its place, what is wrong, words for the mark, what to write instead.
    pub fn refuse(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.push(self.error(bytes, message).label(label).help(help));
    }

    /// As [`Findings::refuse`], with a second place that the first conflicts with and words for its mark.
    pub fn refuse_beside(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
        (other, words): (&Range<usize>, &str),
    ) {
        let error = self.error(bytes, message).label(label).help(help);
        self.push(error.related(self.at(other), words));
    }

    /// As [`Findings::refuse`], of what is doubtful.
    pub fn doubt(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.push(self.warning(bytes, message).label(label).help(help));
    }

    /// As [`Findings::refuse_beside`], of what is doubtful.
    pub fn doubt_beside(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        label: impl Into<String>,
        help: impl Into<String>,
        (other, words): (&Range<usize>, &str),
    ) {
        let warning = self.warning(bytes, message).label(label).help(help);
        self.push(warning.related(self.at(other), words));
    }

    /// As [`Findings::refuse`], of what is only to be known.
    pub fn remark(&mut self, bytes: &Range<usize>, message: String, label: &str, help: &str) {
        let note = Diagnostic::note(self.at(bytes), message);
        self.push(note.label(label).help(help));
    }

    pub fn push(&mut self, diagnostic: Diagnostic) {
        self.found.push(diagnostic);
    }

    /// Adds the error of a value parser in the text that starts at byte `start`.
    pub fn push_value_error(&mut self, start: usize, error: &ValueError, label: String) {
        let bytes = start + error.span.start..start + error.span.end;
        let diagnostic = self
            .error(&bytes, error.to_string())
            .label(label)
            .help(
                "write a number, then its unit with or without a prefix, such as `4.7k` or `50mV`",
            )
            .maybe_help(error.help());
        self.push(diagnostic);
    }

    /// What a reader makes of its input in a test, and the messages.
    #[cfg(test)]
    pub fn of_test<T>(read: impl FnOnce(&mut Findings) -> T) -> (T, Vec<String>) {
        let mut findings = Findings::new(SourceId(0));
        let read = read(&mut findings);
        let found = findings.into_sorted().into_iter();
        (read, found.map(|one| one.message).collect())
    }

    pub fn is_empty(&self) -> bool {
        self.found.is_empty()
    }

    /// All of them, in the order of their places.
    pub fn into_sorted(self) -> Vec<Diagnostic> {
        let mut found = self.found;
        found.sort_by_key(|diagnostic| {
            let bytes = diagnostic.span.as_ref().map(|span| &span.bytes);
            bytes.map_or((0, 0), |bytes| (bytes.start, bytes.end))
        });
        found
    }
}
