//! Numbers, inks, lines and words as SVG spells them inside a tag.
//!
//! What it owns: their spelling and the escaping of text. What comes in: the parts of a shape. What goes out:
//! pieces of text that may stand in an attribute. Not known here: elements.

use std::fmt::Write;

use crate::font::drawable_text;
use crate::picture::{Fill, Pen, Point};

/// The attribute for what a shape is filled with.
pub(super) fn filling(fill: Fill) -> String {
    match fill {
        Fill::Flat(ink) => format!(" fill=\"{}\"", ink.hex()),
        Fill::Open | Fill::Hatch(_) => " fill=\"none\"".to_string(),
    }
}

/// The attributes for a line; none without a pen.
pub(super) fn stroke(pen: Option<Pen>) -> String {
    let Some(pen) = pen else {
        return String::new();
    };
    let mut out = format!(
        " stroke=\"{}\" stroke-width=\"{}\"",
        pen.ink.hex(),
        number(pen.width)
    );
    if let Some([mark, gap]) = pen.dash.lengths(pen.width) {
        let _ = write!(
            out,
            " stroke-dasharray=\"{} {}\"",
            number(mark),
            number(gap)
        );
    }
    out
}

/// Points as an attribute lists them.
pub(super) fn list(points: &[Point]) -> String {
    let pairs: Vec<String> = points
        .iter()
        .map(|p| format!("{},{}", number(p.x), number(p.y)))
        .collect();
    pairs.join(" ")
}

/// A hundredth of a point is finer than any printer; more digits would only make the file longer.
pub(super) fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_string();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" {
        "0".to_string()
    } else {
        text.to_string()
    }
}

/// Text as it may stand between tags or inside a quoted attribute.
pub(super) fn escape(text: &str) -> String {
    maud::html! { (drawable_text(text)) }.into_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_always_finite() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.345), "12.35");
        assert_eq!(number(f64::INFINITY), "0");
    }
}
