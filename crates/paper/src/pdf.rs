//! A document as a PDF file.
//!
//! What it owns: the file's metadata, its bookmarks, its pages and what is read out of them. What comes in: a
//! document and a paper size. What goes out: the bytes of the file, the same on every run. Not known here:
//! where anything stands (see `layout`), how a shape is drawn, files, the clock.

use krilla::metadata::{DateTime, Metadata};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};
use krilla::text::Font;

use crate::document::{Document, PageSize, PRODUCER};
use crate::error::PaperError;
use crate::font::{BOLD, REGULAR};
use crate::layout::{pages, Page, SpokenPart};
use crate::outline::outline;
use crate::pdf_shapes::{draw, text, with_space, Faces};
use crate::picture::Shape;
use crate::tags::{tree, Named};

/// The document as a PDF file.
///
/// # Errors
/// [`PaperError::Face`] if an embedded face cannot be read, [`PaperError::Writing`] if the file cannot be put
/// together (a limit of the format is exceeded).
pub fn pdf(document: &Document, size: PageSize) -> Result<Vec<u8>, PaperError> {
    let faces = Faces {
        regular: Font::new(REGULAR.into(), 0).ok_or(PaperError::Face { bold: false })?,
        bold: Font::new(BOLD.into(), 0).ok_or(PaperError::Face { bold: true })?,
    };
    let size = size.turned(document.orientation);
    let laid = pages(document, size);
    let mut file = krilla::Document::new();
    file.set_metadata(metadata(document));
    let (width, height) = (size.width() as f32, size.height() as f32);
    let mut named: Vec<Named> = Vec::new();
    for page in &laid {
        let settings = krilla::page::PageSettings::from_wh(width, height).unwrap_or_default();
        let mut sheet = file.start_page_with(settings);
        let mut surface = sheet.surface();
        draw_page(&mut surface, page, &faces, &mut named);
        surface.finish();
        sheet.finish();
    }
    file.set_outline(outline(&laid, size));
    file.set_tag_tree(tree(named));
    file.finish().map_err(|error| PaperError::Writing {
        pages: laid.len(),
        reason: format!("{error:?}"),
    })
}

fn metadata(document: &Document) -> Metadata {
    let mut data = Metadata::new()
        .title(document.title.clone())
        .description(document.subject.clone())
        .language("en".to_string())
        .producer(PRODUCER.to_string());
    if !document.author.is_empty() {
        data = data.authors(vec![document.author.clone()]);
    }
    if let Some(day) = document.date {
        data = data.creation_date(DateTime::new(day.year).month(day.month).day(day.day));
    }
    data
}

/// Draws a page: the tagged parts, each under its own name, and the untagged decoration between them.
fn draw_page(surface: &mut Surface<'_>, page: &Page, faces: &Faces, named: &mut Vec<Named>) {
    let ornament = |surface: &mut Surface<'_>, shapes: &[Shape]| {
        if !shapes.is_empty() {
            let kind = Artifact::with_kind(ArtifactType::Layout);
            surface.start_tagged(ContentTag::Artifact(kind));
            for shape in shapes {
                draw(surface, shape, faces);
            }
            surface.end_tagged();
        }
    };
    // Text is copied out of the file in the order of drawing. So the parts are drawn in reading order, and
    // decoration keeps its place between them.
    let is_ornament = |n: &usize| !page.spoken.iter().any(|spoken| spoken.shapes.contains(n));
    let mut ornaments = (0..page.shapes.len()).filter(is_ornament).peekable();
    for spoken in &page.spoken {
        let run = spoken.shapes.clone();
        while let Some(n) = ornaments.next_if(|n| *n < run.start) {
            ornament(surface, &page.shapes[n..=n]);
        }
        let is_figure = matches!(
            spoken.part,
            SpokenPart::Figure(_) | SpokenPart::CellFigure(..) | SpokenPart::WritingBox(..)
        );
        let tag = match is_figure {
            true => ContentTag::Other,
            false => ContentTag::Span(SpanTag::empty()),
        };
        let id = surface.start_tagged(tag);
        for shape in page.shapes.get(run).unwrap_or_default() {
            match shape.label().filter(|_| is_figure) {
                Some(label) => text(surface, &with_space(label), faces),
                None => draw(surface, shape, faces),
            }
        }
        surface.end_tagged();
        named.push((spoken.block, spoken.part.clone(), id));
    }
    let rest: Vec<Shape> = ornaments.map(|n| page.shapes[n].clone()).collect();
    ornament(surface, &rest);
}
