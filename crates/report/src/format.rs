//! The formats of a report, and what a text or a page is set for.
//!
//! The caller chooses; renderers are told. What a report holds is not known here.

/// How a report is written.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Format {
    /// For people at a terminal.
    #[default]
    Table,
    /// For a spreadsheet.
    Csv,
    /// For programs.
    Json,
    /// For a page or a note.
    Markdown,
    /// One page for the browser, which also prints it.
    Html,
    /// Pages of this size.
    Pdf(PaperSize),
    /// A picture (Scalable Vector Graphics).
    Svg,
}

impl Format {
    /// Its name in a sentence.
    #[must_use]
    pub fn name(self) -> &'static str {
        match self {
            Format::Table => "a table",
            Format::Csv => "CSV",
            Format::Json => "JSON",
            Format::Markdown => "Markdown",
            Format::Html => "HTML",
            Format::Pdf(_) => "PDF",
            Format::Svg => "a picture",
        }
    }
}

/// The terminal that a table is laid out for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Terminal {
    /// Columns; fewer than [`Terminal::NARROWEST`] are taken as that.
    pub width: usize,
    /// Whether verdicts and warnings may be coloured besides being written out.
    pub colour: bool,
}

/// A size of paper.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PaperSize {
    /// 210 mm by 297 mm.
    #[default]
    A4,
    /// 8.5 inch by 11 inch.
    Letter,
}

impl Terminal {
    /// The fewest columns that reports are laid out for.
    pub const NARROWEST: usize = 60;

    /// Columns to lay out for.
    pub(crate) fn columns(self) -> usize {
        self.width.max(Self::NARROWEST)
    }
}
