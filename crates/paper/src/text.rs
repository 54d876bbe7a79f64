//! A text made of runs, each regular or bold.
//!
//! What it owns: the runs. What comes in: words. What goes out: the same words, with their weight.
//! What it refuses to know: sizes, lines, colours.

use crate::font::Weight;

/// A stretch of text of one weight.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Run {
    /// The words; a line feed begins a new line.
    pub text: String,
    /// Their weight.
    pub weight: Weight,
}

/// A text with bold runs in it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Text {
    /// The runs, in order.
    pub runs: Vec<Run>,
}

impl Text {
    /// Adds a bold run.
    #[must_use]
    pub fn bold(self, text: impl Into<String>) -> Self {
        self.with(text.into(), Weight::Bold)
    }

    /// Adds a regular run.
    #[must_use]
    pub fn then(self, text: impl Into<String>) -> Self {
        self.with(text.into(), Weight::Regular)
    }

    fn with(mut self, text: String, weight: Weight) -> Self {
        self.runs.push(Run { text, weight });
        self
    }

    /// The words without their weights.
    #[must_use]
    pub fn plain_text(&self) -> String {
        self.runs.iter().map(|run| run.text.as_str()).collect()
    }

    /// Whether there is no letter in it.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.runs.iter().all(|run| run.text.is_empty())
    }
}

impl From<&str> for Text {
    fn from(text: &str) -> Self {
        Text::default().then(text)
    }
}

impl From<String> for Text {
    fn from(text: String) -> Self {
        Text::default().then(text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_are_added_in_order() {
        let text = Text::from("reads ").bold("250 V").then(" cold");
        assert_eq!(text.plain_text(), "reads 250 V cold");
        assert_eq!(text.runs[1].weight, Weight::Bold);
        assert!(Text::default().is_empty() && Text::from("").is_empty() && !text.is_empty());
    }
}
