//! A document: the content of the pages, without positions.
//!
//! What it owns: the blocks and their order. What comes in: texts, tables, pictures. What goes out: the same,
//! to be laid out by a back-end. Not known here: page breaks, files, the clock (a date is passed in).

mod size;
mod table;

pub use size::{Orientation, PageSize};
pub(crate) use table::split_at_point;
pub use table::{Align, Cell, Column, NamedCell, Row, Table, Width};

use crate::picture::Picture;
use crate::text::Text;

/// Named in files as their maker; no version and no machine, so that files can be compared.
pub(crate) const PRODUCER: &str = "fairvolt";

/// A calendar day, written into the file instead of the time of making, so that two runs give the same bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Day {
    /// Year of the common era.
    pub year: u16,
    /// Month, 1 to 12.
    pub month: u8,
    /// Day of the month, 1 to 31.
    pub day: u8,
}

/// What stands above and below the text of every page.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Running {
    /// Above the text, at the left.
    pub left: String,
    /// Above the text, at the right.
    pub right: String,
    /// Below the text, at the left; the page number stands at the right by itself.
    pub foot: String,
}

/// A document, first block to last.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    /// Title: set large at the head of the first page, and named in the file.
    pub title: String,
    /// A line below the title; may be empty.
    pub subtitle: String,
    /// Author named in the file only; may be empty.
    pub author: String,
    /// Subject named in the file only; may be empty.
    pub subject: String,
    /// Date named in the file only.
    pub date: Option<Day>,
    /// Which way round its pages lie.
    pub orientation: Orientation,
    /// Head and foot of every page.
    pub running: Running,
    /// The blocks.
    pub blocks: Vec<Block>,
}

/// One block of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    /// A heading; level 1 is the largest, 3 the smallest. Never the last thing on a page.
    Heading {
        /// 1, 2 or 3; anything else counts as 3.
        level: u8,
        /// The words.
        text: String,
    },
    /// A paragraph.
    Paragraph(Text),
    /// A paragraph that leads to the next block and stays on its page.
    Lead(Text),
    /// Numbered steps.
    Numbered(Vec<Text>),
    /// A framed warning of danger to life or to the set, with an exclamation mark in a triangle.
    Caution {
        /// The bold words it begins with; small print where there are none.
        lead: String,
        /// The words after them.
        body: Text,
    },
    /// Labels and values, set in two columns of pairs.
    Facts(Vec<(String, Text)>),
    /// A table.
    Table(Table),
    /// A picture, scaled down to the width of the text if it is wider.
    Picture(Picture),
    /// Small pictures, side by side where there is room.
    Pictures(Vec<Picture>),
    /// A new page, unless the page is still empty.
    PageBreak,
    /// Blocks that stay on one page, if one page holds them.
    KeepTogether(Vec<Block>),
    /// Ruled lines to write on, below a label; all but two may be left out where that saves a page.
    WriteLines {
        /// What is to be written; may be empty.
        label: String,
        /// How many lines.
        lines: usize,
    },
}

impl Block {
    /// A heading of level 1, 2 or 3.
    #[must_use]
    pub fn heading(level: u8, text: impl Into<String>) -> Self {
        Block::Heading {
            level,
            text: text.into(),
        }
    }

    /// A paragraph.
    #[must_use]
    pub fn paragraph(text: impl Into<Text>) -> Self {
        Block::Paragraph(text.into())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_block_is_made_from_plain_words() {
        assert_eq!(Block::paragraph("a"), Block::Paragraph(Text::from("a")));
        assert!(Document::default().blocks.is_empty());
    }
}
