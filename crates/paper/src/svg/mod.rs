//! Pictures as SVG text.
//!
//! What it owns: the element for each shape in Scalable Vector Graphics 1.1.
//! What comes in: a [`Picture`]. What goes out: one well-formed `svg` element that stands alone as a file
//! and may be set inside an HTML page. Not known here: files, pages, what the picture means.

mod attributes;

use std::fmt::Write;

use attributes::{escape, filling, list, number, stroke};

use crate::font::Weight;
use crate::picture::{Ink, Label, Picture, Shape, TextAnchor};

/// Faces to be tried by the reader's machine; the first is the one the labels were measured with.
pub(crate) const FONT_STACK: &str =
    "'DejaVu Sans Condensed','Liberation Sans Narrow',Arial,sans-serif";

/// White round a picture that is a file of its own, in points.
const MARGIN: f64 = 10.0;

/// The picture as a file of its own: one `svg` element on white paper, without an XML declaration.
///
/// Size and coordinates are in points; numbers that are not finite are written as 0.
#[must_use]
pub fn svg(picture: &Picture) -> String {
    written(picture, Some(Ink::Paper), MARGIN)
}

/// The picture as one `svg` element inside a page, on the page's own ground.
pub(crate) fn inside(picture: &Picture) -> String {
    written(picture, None, 0.0)
}

fn written(picture: &Picture, ground: Option<Ink>, margin: f64) -> String {
    let (width, height) = (
        number(picture.width + 2.0 * margin),
        number(picture.height + 2.0 * margin),
    );
    let corner = number(-margin);
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" role=\"img\" width=\"{width}pt\" height=\"{height}pt\" \
         viewBox=\"{corner} {corner} {width} {height}\" font-family=\"{FONT_STACK}\">"
    );
    let _ = write!(out, "<title>{}</title>", escape(&picture.title));
    if !picture.description.is_empty() {
        let _ = write!(out, "<desc>{}</desc>", escape(&picture.description));
    }
    if let Some(ink) = ground {
        let _ = write!(
            out,
            "<rect x=\"{corner}\" y=\"{corner}\" width=\"{width}\" height=\"{height}\" fill=\"{}\"/>",
            ink.hex()
        );
    }
    for shape in &picture.shapes {
        draw(&mut out, shape);
    }
    out.push_str("</svg>");
    out
}

// Writing to a String cannot fail; `let _ =` says so without an unwrap.
fn draw(out: &mut String, shape: &Shape) {
    match shape {
        Shape::Line { from, to, pen } => {
            let _ = write!(
                out,
                "<line x1=\"{}\" y1=\"{}\" x2=\"{}\" y2=\"{}\"{}/>",
                number(from.x),
                number(from.y),
                number(to.x),
                number(to.y),
                stroke(Some(*pen))
            );
        }
        Shape::Polyline { points, pen } => {
            let _ = write!(
                out,
                "<polyline points=\"{}\" fill=\"none\" stroke-linejoin=\"round\"{}/>",
                list(points),
                stroke(Some(*pen))
            );
        }
        Shape::Polygon { points, ink } => {
            let _ = write!(
                out,
                "<polygon points=\"{}\" fill=\"{}\"/>",
                list(points),
                ink.hex()
            );
        }
        Shape::Rectangle {
            corner,
            width,
            height,
            fill,
            pen,
        } => {
            let _ = write!(
                out,
                "<rect x=\"{}\" y=\"{}\" width=\"{}\" height=\"{}\"{}{}/>",
                number(corner.x),
                number(corner.y),
                number(width.max(0.0)),
                number(height.max(0.0)),
                filling(*fill),
                stroke(*pen)
            );
        }
        Shape::Circle {
            centre,
            radius,
            fill,
            pen,
        } => {
            let _ = write!(
                out,
                "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{}{}/>",
                number(centre.x),
                number(centre.y),
                number(radius.max(0.0)),
                filling(*fill),
                stroke(*pen)
            );
        }
        Shape::Marker { .. } => {}
        Shape::Text(label) => text(out, label),
    }
    for part in shape.parts() {
        draw(out, &part);
    }
}

fn text(out: &mut String, label: &Label) {
    let (x, y) = (number(label.at.x), number(label.at.y));
    let _ = write!(
        out,
        "<text x=\"{x}\" y=\"{y}\" font-size=\"{}\" fill=\"{}\"",
        number(label.size),
        label.ink.hex()
    );
    if label.weight == Weight::Bold {
        out.push_str(" font-weight=\"bold\"");
    }
    match label.anchor {
        TextAnchor::Start => {}
        TextAnchor::Middle => out.push_str(" text-anchor=\"middle\""),
        TextAnchor::End => out.push_str(" text-anchor=\"end\""),
    }
    let _ = write!(out, ">{}</text>", escape(&label.text));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::{Dash, Fill, MarkerKind, Pen, Point};

    const MARKERS: [MarkerKind; 4] = [
        MarkerKind::Circle,
        MarkerKind::Square,
        MarkerKind::Triangle,
        MarkerKind::Cross,
    ];

    fn one_of_each() -> Picture {
        let mut picture =
            Picture::new(200.0, 100.0, "A <b> & \"c\"").described("−5 V ± 2 %, 10 kΩ | µ");
        let at = Point { x: 10.0, y: 10.0 };
        picture.line(
            (0.0, 0.0),
            (f64::NAN, 5.0),
            Pen::rule().dashed(Dash::Dashed),
        );
        picture.add(Shape::Polyline {
            points: vec![at, (20.0, 20.0).into()],
            pen: Pen::hairline(),
        });
        for kind in MARKERS {
            picture.marker(at, kind, 5.0);
        }
        let (fill, pen) = (Fill::Hatch(Ink::Mid), Some(Pen::hairline()));
        picture.rectangle(at, (20.0, 8.0), fill, pen);
        picture.add(Label::new(at, "a<b>&\"'\u{1}Ω µ − ± | \u{FFFF}", 9.0).bold());
        picture
    }

    #[test]
    fn it_is_well_formed_and_the_text_survives() {
        let written = svg(&one_of_each());
        let tree = roxmltree::Document::parse(&written).unwrap();
        let root = tree.root_element();
        assert_eq!(root.attribute("role"), Some("img"));
        assert_eq!(root.attribute("viewBox"), Some("-10 -10 220 120"));
        let in_svg = |name: &'static str| ("http://www.w3.org/2000/svg", name);
        assert!(root
            .children()
            .any(|n| n.has_tag_name(in_svg("title")) && n.text() == Some("A <b> & \"c\"")));
        assert!(root
            .children()
            .any(|n| n.has_tag_name(in_svg("desc")) && n.text() == Some("−5 V ± 2 %, 10 kΩ | µ")));
        assert!(root
            .children()
            .any(|n| n.has_tag_name(in_svg("text")) && n.text() == Some("a<b>&\"' Ω µ − ± | □")));
    }

    #[test]
    fn what_is_no_number_is_not_written() {
        assert!(!svg(&one_of_each()).contains("NaN"));
    }

    #[test]
    fn every_marker_is_drawn_differently() {
        let written = MARKERS.map(|kind| {
            let mut picture = Picture::new(10.0, 10.0, "");
            picture.marker((5.0, 5.0), kind, 5.0);
            svg(&picture)
        });
        for (n, one) in written.iter().enumerate() {
            assert!(written[n + 1..].iter().all(|other| other != one));
        }
    }
}
