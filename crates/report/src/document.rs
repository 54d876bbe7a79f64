//! The page model: a report for people, as blocks that every renderer knows how to set.
//!
//! A view is made once for each command, every figure already rounded; one renderer for each medium
//! (terminal, Markdown, pages) sets it. A new view is one file, a new medium another.

use paper::Picture;

use crate::table::Table;
use crate::tone::Tone;

/// One block of a report.
#[derive(Clone, Debug, PartialEq)]
pub(crate) enum Block {
    /// The heading of a job.
    Title(String),
    /// The answer, before everything else.
    Headline(Headline),
    /// A smaller heading.
    Caption(String),
    /// Lines that stand together, each a sentence or a fact.
    Lines(Vec<String>),
    /// Lines of small print: what the words and signs above mean.
    Notes(Vec<String>),
    /// Numbered sentences.
    Numbered(Vec<String>),
    /// Things in an order, each with a few lines of its own.
    Cards(Vec<Card>),
    /// A danger in a frame: the bold words it begins with, and what to do.
    Danger(String, String),
    /// Labels and values; an empty value is to be filled in.
    Facts(Vec<(String, String)>),
    /// A picture made of letters, its lines as they are.
    Drawing(Vec<String>),
    /// A table.
    Table(Table),
    /// A picture, for media that show some; the others say its title.
    Picture(Picture),
    /// Small pictures side by side on a page of their own, likewise.
    Pictures(Vec<Picture>),
    /// So many lines to write on.
    WriteLines(usize),
    /// The last line: what to do next.
    Next(String),
}

/// The answer in one line.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Headline {
    /// The line.
    pub text: String,
    /// Its bad words, each with how it is meant.
    pub tones: Vec<(String, Tone)>,
}

impl Headline {
    /// A line without a word that stands out.
    pub(crate) fn plain(text: impl Into<String>) -> Block {
        Block::Headline(Headline {
            text: text.into(),
            tones: Vec::new(),
        })
    }
}

/// One thing of an ordered list.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct Card {
    /// Its number, share or box; empty without one.
    pub label: String,
    /// What it is.
    pub head: String,
    /// What there is to say of it.
    pub lines: Vec<String>,
}

/// A caption and the lines below it; nothing without lines.
pub(crate) fn section(caption: &str, lines: Vec<String>) -> Vec<Block> {
    match lines.is_empty() {
        true => Vec::new(),
        false => vec![Block::Caption(caption.to_owned()), Block::Lines(lines)],
    }
}
