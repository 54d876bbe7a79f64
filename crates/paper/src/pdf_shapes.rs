//! Shapes drawn on the pages of a PDF file.
//!
//! What it owns: paths, colours, strokes and glyphs in the file's own terms. What comes in: one shape. Not known
//! here: pages, and what is read out.

use krilla::geom::{Path, PathBuilder, Point as At, Rect};
use krilla::num::NormalizedF32;
use krilla::paint::{Fill as Filling, FillRule, LineCap, LineJoin, Stroke, StrokeDash};
use krilla::surface::Surface;
use krilla::text::{Font, GlyphId, KrillaGlyph};

use crate::font::{drawable_text, glyph, Weight};
use crate::picture::{Fill, Ink, Label, Pen, Point, Shape, TextAnchor};

/// The two faces of the type.
pub(crate) struct Faces {
    pub(crate) regular: Font,
    pub(crate) bold: Font,
}

/// The label at the same place with a space after it, so that words of a picture are not joined when they are
/// copied.
pub(crate) fn with_space(label: &Label) -> Label {
    Label {
        at: label.start(),
        anchor: TextAnchor::Start,
        text: format!("{} ", label.text),
        ..label.clone()
    }
}

pub(crate) fn draw(surface: &mut Surface<'_>, shape: &Shape, faces: &Faces) {
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
        }
        Shape::Circle {
            centre,
            radius,
            fill: inside,
            pen,
        } => {
            paint(surface, || circle(*centre, *radius), *inside, *pen);
        }
        Shape::Marker { .. } => {}
        Shape::Text(label) => text(surface, label, faces),
    }
    for part in shape.parts() {
        draw(surface, &part, faces);
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

pub(crate) fn text(surface: &mut Surface<'_>, label: &Label, faces: &Faces) {
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
    surface.draw_glyphs(
        At::from_xy(start.x as f32, start.y as f32),
        &glyphs,
        font.clone(),
        &drawn,
        label.size as f32,
        false,
    );
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
        let label = Label::new((100.0, 50.0), "read 7.453", 11.0).anchored(TextAnchor::End);
        let spaced = with_space(&label);
        assert!(spaced.text.ends_with(' ') && spaced.anchor == TextAnchor::Start);
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
