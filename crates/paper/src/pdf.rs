//! A document as a PDF file.
//!
//! What it owns: the file's metadata, its bookmarks, and the drawing of shapes on its pages. What comes in: a
//! document and a paper size. What goes out: the bytes of the file, the same on every run. Not known here:
//! where anything stands (see `layout`), files, the clock.

use krilla::geom::{Path, PathBuilder, Point as At, Rect, Transform};
use krilla::metadata::{DateTime, Metadata};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill as Filling, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::tagging::{Artifact, ArtifactType, ContentTag, SpanTag};
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::document::{Document, PageSize, PRODUCER};
use crate::error::PaperError;
use crate::font::{drawable_text, glyph, Weight, BOLD, REGULAR};
use crate::layout::{pages, Page, Part};
use crate::outline::outline;
use crate::picture::{
    hatching, marker_corners, Anchor, Fill, Ink, Label, MarkerKind, Pen, Point, Shape, Turn,
};

use crate::tags::{tree, Named};

struct Faces {
    regular: Font,
    bold: Font,
}

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
    let claimed: Vec<bool> = (0..page.shapes.len())
        .map(|n| page.spoken.iter().any(|spoken| spoken.shapes.contains(&n)))
        .collect();
    let mut done = vec![false; page.shapes.len()];
    let mut from = 0;
    for spoken in &page.spoken {
        let run = spoken.shapes.clone();
        let end = run.start.max(from);
        let before = page.shapes.iter().zip(&claimed).zip(&mut done);
        for ((shape, claimed), done) in before.take(end).skip(from) {
            if !claimed {
                ornament(surface, std::slice::from_ref(shape));
                *done = true;
            }
        }
        from = end;
        let is_figure = matches!(
            spoken.part,
            Part::Figure(_) | Part::CellFigure(..) | Part::WritingBox(..)
        );
        let tag = match is_figure {
            true => ContentTag::Other,
            false => ContentTag::Span(SpanTag::empty()),
        };
        let id = surface.start_tagged(tag);
        for n in run {
            if let (Some(shape), Some(done)) = (page.shapes.get(n), done.get_mut(n)) {
                match shape.label().filter(|_| is_figure) {
                    Some(label) => text(surface, &with_space(label), faces),
                    None => draw(surface, shape, faces),
                }
                *done = true;
            }
        }
        surface.end_tagged();
        named.push((spoken.block, spoken.part.clone(), id));
    }
    let rest = page.shapes.iter().zip(&done).filter(|(_, done)| !**done);
    let rest: Vec<Shape> = rest.map(|(shape, _)| shape.clone()).collect();
    ornament(surface, &rest);
}

/// The label at the same place with a space after it, so that words of a picture are not joined when they are
/// copied.
fn with_space(label: &Label) -> Label {
    Label {
        at: label.start(),
        anchor: Anchor::Start,
        text: format!("{} ", label.text),
        ..label.clone()
    }
}

fn draw(surface: &mut Surface<'_>, shape: &Shape, faces: &Faces) {
    match shape {
        Shape::Line { from, to, pen } => stroke(surface, path(&[*from, *to], false), *pen),
        Shape::Polyline { points, pen } => stroke(surface, path(points, false), *pen),
        Shape::Polygon { points, ink } => fill(surface, path(points, true), *ink),
        Shape::Rectangle {
            corner,
            width,
            height,
            fill: inside,
            pen,
        } => {
            let outline = || rectangle(*corner, *width, *height);
            paint(surface, outline, *inside, *pen);
            if let Fill::Hatch(ink) = inside {
                for (from, to) in hatching(*corner, *width, *height) {
                    stroke(surface, path(&[from, to], false), Pen::new(*ink, 0.4));
                }
            }
        }
        Shape::Circle {
            centre,
            radius,
            fill: inside,
            pen,
        } => {
            paint(surface, || circle(*centre, *radius), *inside, *pen);
        }
        Shape::Marker {
            at,
            kind,
            size,
            ink,
        } => match (marker_corners(*at, *kind, *size), kind) {
            (Some(points), _) => fill(surface, path(&points, true), *ink),
            (None, MarkerKind::Cross) => {
                let (half, pen) = (size * 0.45, Pen::new(*ink, size * 0.22));
                for turn in [half, -half] {
                    let ends = [
                        (at.x - half, at.y - turn).into(),
                        (at.x + half, at.y + turn).into(),
                    ];
                    stroke(surface, path(&ends, false), pen);
                }
            }
            (None, _) => fill(surface, circle(*at, size / 2.0), *ink),
        },
        Shape::Text(label) => text(surface, label, faces),
    }
}

fn paint(
    surface: &mut Surface<'_>,
    outline: impl Fn() -> Option<Path>,
    inside: Fill,
    pen: Option<Pen>,
) {
    if let Fill::Flat(ink) = inside {
        fill(surface, outline(), ink);
    }
    if let Some(pen) = pen {
        stroke(surface, outline(), pen);
    }
}

fn colour(ink: Ink) -> krilla::color::rgb::Color {
    let [red, green, blue] = ink.rgb();
    krilla::color::rgb::Color::new(red, green, blue)
}

fn filling(ink: Ink) -> Filling {
    Filling {
        paint: colour(ink).into(),
        opacity: NormalizedF32::ONE,
        rule: FillRule::NonZero,
    }
}

fn fill(surface: &mut Surface<'_>, path: Option<Path>, ink: Ink) {
    let Some(path) = path else {
        return;
    };
    surface.set_fill(Some(filling(ink)));
    surface.set_stroke(None);
    surface.draw_path(&path);
}

fn stroke(surface: &mut Surface<'_>, path: Option<Path>, pen: Pen) {
    let Some(path) = path else {
        return;
    };
    let dash = pen.dash.lengths(pen.width);
    surface.set_fill(None);
    surface.set_stroke(Some(Stroke {
        paint: colour(pen.ink).into(),
        width: pen.width.max(0.0) as f32,
        line_cap: LineCap::Butt,
        line_join: LineJoin::Round,
        dash: dash.map(|[mark, gap]| StrokeDash {
            array: vec![mark as f32, gap as f32],
            offset: 0.0,
        }),
        ..Stroke::default()
    }));
    surface.draw_path(&path);
}

/// A path through the points; nothing where a point is not a number.
fn path(points: &[Point], closed: bool) -> Option<Path> {
    if points.len() < 2 || !points.iter().all(|p| p.x.is_finite() && p.y.is_finite()) {
        return None;
    }
    let mut builder = PathBuilder::new();
    for (n, point) in points.iter().enumerate() {
        if n == 0 {
            builder.move_to(point.x as f32, point.y as f32);
        } else {
            builder.line_to(point.x as f32, point.y as f32);
        }
    }
    if closed {
        builder.close();
    }
    builder.finish()
}

fn rectangle(corner: Point, width: f64, height: f64) -> Option<Path> {
    let rect = Rect::from_xywh(
        corner.x as f32,
        corner.y as f32,
        width.max(0.0) as f32,
        height.max(0.0) as f32,
    )?;
    let mut builder = PathBuilder::new();
    builder.push_rect(rect);
    builder.finish()
}

/// Four Bézier curves; with handles of 0.5523 radii they leave the circle by less than 0.03 % of the radius.
fn circle(centre: Point, radius: f64) -> Option<Path> {
    if !(centre.x.is_finite() && centre.y.is_finite() && radius.is_finite() && radius > 0.0) {
        return None;
    }
    let (x, y, r) = (centre.x as f32, centre.y as f32, radius as f32);
    let k = 0.5523 * r;
    let mut builder = PathBuilder::new();
    builder.move_to(x + r, y);
    builder.cubic_to(x + r, y + k, x + k, y + r, x, y + r);
    builder.cubic_to(x - k, y + r, x - r, y + k, x - r, y);
    builder.cubic_to(x - r, y - k, x - k, y - r, x, y - r);
    builder.cubic_to(x + k, y - r, x + r, y - k, x + r, y);
    builder.close();
    builder.finish()
}

fn text(surface: &mut Surface<'_>, label: &Label, faces: &Faces) {
    let start = label.start();
    let drawn = drawable_text(&label.text);
    if drawn.is_empty()
        || !(start.x.is_finite()
            && start.y.is_finite()
            && label.size.is_finite()
            && label.size > 0.0)
    {
        return;
    }
    let glyphs: Vec<KrillaGlyph> = drawn
        .char_indices()
        .map(|(from, c)| {
            let glyph = glyph(c, label.weight);
            let range = from..from + c.len_utf8();
            KrillaGlyph::new(
                GlyphId::new(glyph.id),
                glyph.advance as f32,
                0.0,
                0.0,
                0.0,
                range,
                None,
            )
        })
        .collect();
    let font = match label.weight {
        Weight::Regular => &faces.regular,
        Weight::Bold => &faces.bold,
    };
    surface.set_fill(Some(filling(label.ink)));
    surface.set_stroke(None);
    let (x, y) = (start.x as f32, start.y as f32);
    let at = |x, y| At::from_xy(x, y);
    match label.turn {
        Turn::Level => surface.draw_glyphs(
            at(x, y),
            &glyphs,
            font.clone(),
            &drawn,
            label.size as f32,
            false,
        ),
        Turn::Upward => {
            // A quarter turn to the left: x runs upwards.
            surface.push_transform(&Transform::from_row(0.0, -1.0, 1.0, 0.0, x, y));
            surface.draw_glyphs(
                at(0.0, 0.0),
                &glyphs,
                font.clone(),
                &drawn,
                label.size as f32,
                false,
            );
            surface.pop();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn paths_that_are_not_numbers_are_left_out() {
        assert!(path(&[(0.0, 0.0).into()], false).is_none());
        assert!(path(&[(0.0, 0.0).into(), (f64::NAN, 1.0).into()], false).is_none());
        assert!(path(&[(0.0, 0.0).into(), (1.0, 1.0).into()], false).is_some());
        assert!(circle(Point::default(), f64::INFINITY).is_none());
        assert!(circle(Point::default(), 2.0).is_some());
    }

    #[test]
    fn a_space_behind_a_label_does_not_move_it() {
        let label = Label::new((100.0, 50.0), "read 7.453", 11.0).anchored(Anchor::End);
        let spaced = with_space(&label);
        assert!(spaced.text.ends_with(' ') && spaced.anchor == Anchor::Start);
        assert_eq!(spaced.start(), label.start());
    }

    #[test]
    fn the_handles_of_a_circle_are_close_enough() {
        // Middle of one Bézier quarter: (1 + 3 + 3k) / 8 in each direction, at 45 degrees.
        let middle = (4.0 + 3.0 * 0.5523) / 8.0 * std::f64::consts::SQRT_2;
        // 0.03 % of a 5 point radius is a five-hundredth of a hairline.
        assert!((middle - 1.0).abs() <= 3e-4, "{middle}");
    }
}
