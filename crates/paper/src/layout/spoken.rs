//! What shapes on a page are to a reader program: a heading, a paragraph, a cell of a table, a picture.
//!
//! What it owns: the names of the parts. What comes in: nothing. What goes out: for a run of shapes the part of its
//! block that they are. Not known here: how a file format writes it down. Shapes that belong to no part are
//! decoration and are not read out.

use std::ops::Range;
use std::rc::Rc;

/// Part of a block.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SpokenPart {
    /// The title of the document.
    Title,
    /// A heading of this level, 1 to 3, with its words.
    Heading(u8, String),
    /// A paragraph, by its place in its block.
    Paragraph(usize),
    /// The number or sign of an item of a list, or the label of a value.
    Label(usize),
    /// An item of a list, or a value.
    Item(usize),
    /// A line above a table.
    Caption,
    /// The heading of a column.
    ColumnHead(usize),
    /// A heading across all columns, by the row it stands in.
    Group(usize),
    /// A cell, by row and column.
    Cell(usize, usize),
    /// A box to write in, by row and column, and what is to be written.
    WritingBox(usize, usize, Rc<str>),
    /// A picture, and what it shows.
    Figure(Rc<str>),
    /// A small picture in a cell, by row and column, and what it shows.
    CellFigure(usize, usize, Rc<str>),
}

/// A run of shapes that is read out.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spoken {
    /// Which shapes.
    pub shapes: Range<usize>,
    /// Number of the block they belong to, in the order of the document.
    pub block: usize,
    /// What they are in it.
    pub part: SpokenPart,
}
