//! Words of a text and their place, so that a fault inside them gets its exact place.
//!
//! The words of a quoted cell or string can differ from the bytes in the file (doubled quotes,
//! escapes); then the whole cell is marked rather than a wrong part of it.

use std::fmt::Display;
use std::ops::Range;

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Span};

/// Trimmed words and their place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct Words {
    /// The words, decoded, without blanks around them.
    pub text: String,
    /// Their place; without the quotes if the words are in the file unchanged.
    pub span: Span,
    /// What they state, for messages: `[bench-dmm]: 'ranges'`, `column 'value', row of point '3'`.
    what: String,
    verbatim: bool,
}

impl Words {
    /// Words decoded from `raw`, a byte range of `text`, which may have quotes around it.
    pub fn new(source: SourceId, text: &str, raw: Range<usize>, decoded: &str) -> Self {
        let trimmed = decoded.trim();
        let written = text.get(raw.clone()).unwrap_or("");
        let unquoted = written.get(1..written.len().saturating_sub(1));
        let start = if written == decoded {
            Some(raw.start)
        } else if unquoted == Some(decoded) {
            Some(raw.start + 1)
        } else {
            None
        };
        let bytes = start.map(|start| {
            let first = start + (decoded.len() - decoded.trim_start().len());
            first..first + trimmed.len()
        });
        Words {
            text: trimmed.to_owned(),
            what: String::new(),
            verbatim: bytes.is_some(),
            span: Span::new(source, bytes.unwrap_or(raw)),
        }
    }

    /// No words at a place.
    pub fn blank(source: SourceId, byte: usize) -> Self {
        Words {
            text: String::new(),
            span: Span::new(source, byte..byte),
            what: String::new(),
            verbatim: true,
        }
    }

    /// Words that are marked as a whole, such as a key.
    pub fn keyed(span: Span, text: &str) -> Self {
        Words {
            text: text.trim().to_owned(),
            span,
            what: String::new(),
            verbatim: false,
        }
    }

    /// The same words, with what they state.
    pub fn named(self, what: String) -> Self {
        Words { what, ..self }
    }

    pub fn error(&self, message: impl Display) -> Diagnostic {
        Diagnostic::error(self.span.clone(), format!("{}: {message}", self.what))
    }

    pub fn warning(&self, message: impl Display) -> Diagnostic {
        Diagnostic::warning(self.span.clone(), format!("{}: {message}", self.what))
    }

    pub fn note(&self, message: impl Display) -> Diagnostic {
        Diagnostic::note(self.span.clone(), format!("{}: {message}", self.what))
    }

    pub fn error_in(&self, range: &Range<usize>, message: impl Display) -> Diagnostic {
        Diagnostic::error(self.part(range), format!("{}: {message}", self.what))
    }

    /// The place of a byte range of the words.
    pub fn part(&self, range: &Range<usize>) -> Span {
        let inside = range.start <= range.end && range.end <= self.text.len();
        if self.verbatim && inside {
            let start = self.span.bytes.start;
            Span::new(self.span.source, start + range.start..start + range.end)
        } else {
            self.span.clone()
        }
    }

    /// A byte range of the words as words of their own.
    pub fn cut(&self, range: Range<usize>) -> Words {
        let text = self.text.get(range.clone()).unwrap_or("");
        let start = range.start + (text.len() - text.trim_start().len());
        Words {
            text: text.trim().to_owned(),
            span: self.part(&(start..start + text.trim().len())),
            what: self.what.clone(),
            verbatim: self.verbatim,
        }
    }

    /// Whether there are none.
    pub fn is_blank(&self) -> bool {
        self.text.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_part_of_quoted_words_is_found_unless_they_are_encoded() {
        let id = SourceId(0);
        let words = Words::new(id, "x,\" 4,7k\",y", 2..9, " 4,7k");
        assert_eq!(words.span.bytes, 4..8);
        assert_eq!(words.part(&(1..2)).bytes, 5..6);
        let encoded = Words::new(id, "\"a\"\"b\"", 0..6, "a\"b");
        assert_eq!(encoded.part(&(0..1)).bytes, 0..6);
    }
}
