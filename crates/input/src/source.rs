//! The texts of a job and places in them.
//!
//! A [`SourceText`] is one file's label and content, already decoded; a [`Span`] is a byte range in
//! it. The command reads the files; here a text is a value.

use std::ops::Range;

/// Which of the job's texts: an index into [`Sources`].
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct SourceId(pub usize);

/// One file's text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SourceText {
    /// The file as the user names it, such as `circuit.netlist`.
    pub label: String,
    /// Its content, without a byte-order mark.
    pub text: String,
}

/// Every text of a job, so that a [`Span`] can be shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Sources {
    texts: Vec<SourceText>,
    /// Where the lines of each text start.
    starts: Vec<Vec<usize>>,
}

/// A byte range of one text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Span {
    /// The text.
    pub source: SourceId,
    /// Range of bytes, on character boundaries.
    pub bytes: Range<usize>,
}

impl Sources {
    /// Adds a text, without its byte-order mark.
    pub fn add(&mut self, label: impl Into<String>, text: &str) -> SourceId {
        let text = text.strip_prefix('\u{feff}').unwrap_or(text).to_owned();
        let ends = text.match_indices('\n').map(|(end, _)| end + 1);
        self.starts.push(std::iter::once(0).chain(ends).collect());
        self.texts.push(SourceText {
            label: label.into(),
            text,
        });
        SourceId(self.texts.len() - 1)
    }

    /// One text.
    pub fn get(&self, id: SourceId) -> &SourceText {
        &self.texts[id.0]
    }

    /// Line and column of the start of a span, both from 1, columns counted in characters.
    pub fn line_column(&self, span: &Span) -> (usize, usize) {
        let (text, starts) = (&self.get(span.source).text, &self.starts[span.source.0]);
        let byte = span.bytes.start.min(text.len());
        let line = starts.partition_point(|start| *start <= byte);
        (line, text[starts[line - 1]..byte].chars().count() + 1)
    }
}

impl Span {
    /// A span.
    pub fn new(source: SourceId, bytes: Range<usize>) -> Self {
        Span { source, bytes }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_count_characters_and_the_mark_is_left_behind() {
        let mut sources = Sources::default();
        let id = sources.add("a.csv", "\u{feff}point\nµA,3");
        assert_eq!(sources.get(id).text, "point\nµA,3");
        let comma = sources.get(id).text.find(',').unwrap();
        let span = Span::new(id, comma..comma + 1);
        assert_eq!(sources.line_column(&span), (2, 3));
    }
}
