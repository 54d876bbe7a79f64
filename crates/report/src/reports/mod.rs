//! A report: the views of its jobs in, finished text or pages out, in every format that it has.

mod commands;

use std::rc::Rc;

use paper::{Document, Picture};

use crate::csv_text::{self, CsvTable};
use crate::document::Block;
use crate::error::ReportError;
use crate::format::{Format, PaperSize, Terminal};
use crate::pictures::svg_text;
use crate::{markdown, terminal};

pub use commands::check_flagged;

/// A finished report.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Rendered {
    /// Text, for a terminal too.
    Text(String),
    /// A file that is no text.
    Bytes(Vec<u8>),
}

impl Rendered {
    /// What is written to a file.
    #[must_use]
    pub fn as_bytes(&self) -> &[u8] {
        match self {
            Rendered::Text(text) => text.as_bytes(),
            Rendered::Bytes(bytes) => bytes,
        }
    }
}

/// What a report is made of in one format.
type Part<'a, T> = Box<dyn Fn() -> T + 'a>;

/// What it is made of for people: a list of blocks for each job.
type Blocks<'a> = Box<dyn Fn(Format) -> Vec<Vec<Block>> + 'a>;

/// A report, and how each of its formats is made. Nothing is set before it is asked for.
pub struct Report<'a> {
    /// What it is, in words.
    what: &'static str,
    /// What to do instead where it has no such format.
    help: &'static str,
    blocks: Option<Blocks<'a>>,
    rows: Option<Part<'a, CsvTable>>,
    json: Option<Part<'a, Result<String, ReportError>>>,
    pages: Option<Part<'a, Document>>,
    picture: Option<Part<'a, Option<Picture>>>,
}

impl<'a> Report<'a> {
    /// A report that has no format yet.
    fn new(what: &'static str, help: &'static str) -> Self {
        Report {
            what,
            help,
            blocks: None,
            rows: None,
            json: None,
            pages: None,
            picture: None,
        }
    }

    /// The same, for people.
    fn blocks(mut self, blocks: impl Fn(Format) -> Vec<Vec<Block>> + 'a) -> Self {
        self.blocks = Some(Box::new(blocks));
        self
    }

    /// The same, as rows for a spreadsheet.
    fn rows(mut self, rows: impl Fn() -> CsvTable + 'a) -> Self {
        self.rows = Some(Box::new(rows));
        self
    }

    /// The same, as a document for programs.
    fn json(mut self, json: impl Fn() -> Result<String, ReportError> + 'a) -> Self {
        self.json = Some(Box::new(json));
        self
    }

    /// The same, on pages.
    fn pages(mut self, pages: impl Fn() -> Document + 'a) -> Self {
        self.pages = Some(Box::new(pages));
        self
    }

    /// The same, as one picture; an empty one where there is nothing to show.
    fn picture(mut self, picture: impl Fn() -> Option<Picture> + 'a) -> Self {
        self.picture = Some(Box::new(picture));
        self
    }

    /// A report of views, each told for itself, with rows and a document of all.
    fn of<V: 'a>(
        what: &'static str,
        views: &Rc<Vec<V>>,
        blocks: impl Fn(&V) -> Vec<Block> + 'a,
        rows: impl Fn(&[V]) -> CsvTable + 'a,
    ) -> Self {
        let (told, listed) = (Rc::clone(views), Rc::clone(views));
        Report::new(what, "ask for another format")
            .blocks(move |_| told.iter().map(&blocks).collect())
            .rows(move || rows(&listed))
    }

    /// The finished report in this format, set for this terminal where it is text for people. The same views give
    /// the same bytes.
    ///
    /// # Errors
    /// [`ReportError`] if it has no such format, or a text or file cannot be made.
    pub fn render(&self, format: Format, on: Terminal) -> Result<Rendered, ReportError> {
        let text = match format {
            Format::Table => {
                let blocks = self.had(&self.blocks, format)?;
                joined(blocks(format), |blocks| terminal::render(blocks, on))
            }
            Format::Markdown => {
                let blocks = self.had(&self.blocks, format)?;
                joined(blocks(format), markdown::render)
            }
            Format::Csv => csv_text::render(&self.had(&self.rows, format)?())?,
            Format::Json => self.had(&self.json, format)?()?,
            Format::Html => paper::html(&self.had(&self.pages, format)?()),
            Format::Svg => svg_text(self.had(&self.picture, format)?()),
            Format::Pdf(size) => {
                let pages = self.had(&self.pages, format)?;
                let size = match size {
                    PaperSize::A4 => paper::PageSize::A4,
                    PaperSize::Letter => paper::PageSize::Letter,
                };
                return Ok(Rendered::Bytes(paper::pdf(&pages(), size)?));
            }
        };
        Ok(Rendered::Text(text))
    }

    /// What this format is made of, or that the report has no such format.
    fn had<'r, T>(&self, part: &'r Option<T>, format: Format) -> Result<&'r T, ReportError> {
        part.as_ref().ok_or(ReportError::NoSuchFormat {
            what: self.what,
            format,
            help: self.help,
        })
    }

    /// The same, and what to do where it has no such format.
    fn or(self, help: &'static str) -> Self {
        Report { help, ..self }
    }
}

/// One job after the other, an empty line between them.
fn joined(jobs: Vec<Vec<Block>>, set: impl Fn(&[Block]) -> String) -> String {
    let texts = jobs.iter().map(|blocks| set(blocks));
    texts.collect::<Vec<_>>().join("\n")
}
