//! Pages and pictures: from words, numbers and shapes to PDF, HTML and SVG.
//!
//! What it owns: pictures made of plain shapes, charts that build them, documents made of blocks, and the three
//! back-ends. The writer of PDF is left out without the feature `pdf`. What comes in: strings and numbers that
//! the caller has computed and rounded. What goes out: text or bytes of a file. Not known here: circuits,
//! meters, units, files, the clock.

mod chart;
mod document;
mod error;
mod font;
mod html;
mod layout;
#[cfg(feature = "pdf")]
mod outline;
#[cfg(feature = "pdf")]
mod pdf;
#[cfg(not(feature = "pdf"))]
#[path = "without_pdf.rs"]
mod pdf;
#[cfg(feature = "pdf")]
mod pdf_shapes;
mod picture;
mod svg;
#[cfg(feature = "pdf")]
mod tags;
mod text;
mod wrap;

pub use chart::{
    ticks, Axis, Bar, BarChart, Curve, CurveChart, Dot, Feet, IntervalChart, IntervalRow, Key,
    Locator, Mark, RulerChart, RulerRow, RulerStop, Scale, Shade, Sign, Socket, SocketContact,
    State, StripChart, StripRow, TintedBand,
};
pub use document::{
    Align, Block, Cell, Column, Day, Document, NamedCell, Orientation, PageSize, Row, Running,
    Table, Width,
};
pub use error::PaperError;
pub use font::{text_width, Weight};
pub use html::html;
pub use layout::{cell_width, pages, Bookmark, Page, Spoken, SpokenPart};
pub use pdf::pdf;
pub use picture::{Dash, Fill, Ink, Label, MarkerKind, Pen, Picture, Point, Shape, TextAnchor};
pub use svg::svg;
pub use text::{Run, Text};
