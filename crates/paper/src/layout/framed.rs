//! Framed boxes and pairs of label and value, as strips.
//!
//! What it owns: the frame, the warning sign, and the two columns of pairs. What comes in: a caution or pairs.
//! What goes out: strips; a long box may break between two lines and keeps its sides. Not known here: page
//! breaks.

use super::spoken::SpokenPart;
use super::strip::{
    keep_all, keep_ends, said, set_line, Frame, Setting, Strip, ITEM, RUNNING_TEXT,
};
use super::{BODY, LEAD};
use crate::font::{text_width, Weight};
use crate::picture::{placed, Ink, Label, Pen, Picture, Shape, TextAnchor};
use crate::text::Text;
use crate::wrap::wrap;

/// White inside the frame, above and below the text.
const PAD: f64 = 7.0;
/// From the frame to the text, with the sign in between.
const INDENT: f64 = 34.0;
/// A box of up to this many lines stays on one page.
const SHORT: usize = 14;
/// Breadth of a sign.
const SIGN: f64 = 16.0;
/// White between the two columns of pairs.
const GUTTER: f64 = 18.0;

/// The sign of a caution, 16 points square: its shape tells what it is, not its colour.
pub(crate) fn sign() -> Picture {
    let mut picture = Picture::new(SIGN, SIGN, "Caution");
    let points = vec![
        (SIGN / 2.0, 0.3).into(),
        (SIGN, 14.8).into(),
        (0.0, 14.8).into(),
    ];
    picture.add(Shape::Polygon {
        points,
        ink: Ink::Black,
    });
    let mark = Label::new((SIGN / 2.0, 13.2), "!", 10.0)
        .bold()
        .anchored(TextAnchor::Middle)
        .inked(Ink::Paper);
    picture.add(mark);
    picture
}

/// A framed box as one strip for each line.
pub(crate) fn caution(lead: &str, body: &Text, frame: Frame) -> Vec<Strip> {
    let inner = frame.inset(INDENT, 10.0);
    // What has no lead is small print.
    let (mut words, setting) = match lead {
        "" => (Text::default(), ITEM),
        lead => (Text::default().bold(lead).then(" "), RUNNING_TEXT),
    };
    words.runs.extend(body.runs.iter().cloned());
    let mut strips = said(&words, inner, setting, &SpokenPart::Paragraph(0));
    if let Some(strip) = strips.first_mut() {
        strip.lower(PAD);
        let place = (PAD + LEAD / 2.0 - SIGN / 2.0).max(0.0);
        let sign = sign();
        let shapes = placed(&sign.shapes, 1.0, frame.left + 10.0, place);
        strip.say(SpokenPart::Figure(sign.title.as_str().into()), shapes);
        // In reading order the sign comes before its words.
        strip.spoken.rotate_right(1);
    }
    if let Some(strip) = strips.last_mut() {
        strip.height += PAD;
    }
    enclose(&mut strips, frame);
    if strips.len() <= SHORT {
        keep_all(&mut strips);
    } else {
        keep_ends(&mut strips);
    }
    strips
}

fn enclose(strips: &mut [Strip], frame: Frame) {
    let pen = Pen::new(Ink::Black, 1.2);
    let count = strips.len();
    for (n, strip) in strips.iter_mut().enumerate() {
        let (left, right, foot) = (frame.left, frame.right(), strip.height);
        let mut side = |from: (f64, f64), to: (f64, f64)| {
            strip.shapes.push(Shape::line(from, to, pen));
        };
        side((left, 0.0), (left, foot));
        side((right, 0.0), (right, foot));
        let over = pen.width / 2.0;
        if n == 0 {
            side((left - over, 0.0), (right + over, 0.0));
        }
        if n + 1 == count {
            side((left - over, foot), (right + over, foot));
        }
    }
}

/// Pairs of label and value, read down the left column and then down the right one.
pub(crate) fn facts(pairs: &[(String, Text)], frame: Frame) -> Vec<Strip> {
    let half = Frame {
        width: (frame.width - GUTTER) / 2.0,
        ..frame
    };
    let count = pairs.len().div_ceil(2);
    let (left, right) = pairs.split_at(count.min(pairs.len()));
    let mut strips: Vec<Strip> = (0..count).map(|_| Strip::new(0.0)).collect();
    for (column, x, before) in [
        (left, frame.left, 0),
        (right, frame.left + half.width + GUTTER, count),
    ] {
        let widest = column
            .iter()
            .map(|(label, _)| text_width(label, LABEL.size, Weight::Regular))
            .fold(0.0, f64::max);
        let label_width = widest.min(half.width * 0.45);
        let value = Frame { left: x, ..half }.inset(label_width + 9.0, 0.0);
        for (n, ((label, text), strip)) in column.iter().zip(&mut strips).enumerate() {
            let n = n + before;
            let labels = wrap(&label.as_str().into(), LABEL.size, label_width.max(1.0));
            let values = wrap(text, BODY, value.width);
            for (lines, at, setting, part) in [
                (&labels, x, LABEL, SpokenPart::Label(n)),
                (&values, value.left, RUNNING_TEXT, SpokenPart::Item(n)),
            ] {
                let shapes = lines.iter().enumerate().flat_map(|(n, line)| {
                    let y = RUNNING_TEXT.base() + n as f64 * LEAD;
                    set_line(line, at, y, setting)
                });
                strip.say(part, shapes);
            }
            let height = labels.len().max(values.len()) as f64 * LEAD + 2.0;
            strip.height = strip.height.max(height);
        }
    }
    if strips.len() <= SHORT {
        keep_all(&mut strips);
    }
    strips
}

const LABEL: Setting = Setting::new(9.0, LEAD, Ink::Dark);

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::strip::FRAME;

    #[test]
    fn a_box_is_closed_all_round() {
        let strips = caution("Danger:", &"300 V ".repeat(60).into(), FRAME);
        let rules = |strip: &Strip| {
            strip
                .shapes
                .iter()
                .filter(|s| matches!(s, Shape::Line { .. }))
                .count()
        };
        assert_eq!(rules(&strips[0]), 3);
        assert_eq!(strips.last().map(rules), Some(3));
        assert!(strips[1..strips.len() - 1]
            .iter()
            .all(|strip| rules(strip) == 2));
        assert!(strips[..strips.len() - 1].iter().all(|strip| strip.keep));
    }

    #[test]
    fn a_box_without_words_is_still_a_box() {
        assert_eq!(caution("", &Text::default(), FRAME).len(), 1);
    }

    #[test]
    fn pairs_run_down_the_left_column_first() {
        let pairs: Vec<(String, Text)> = (1..=5)
            .map(|n| (format!("L{n}"), format!("V{n}").into()))
            .collect();
        let strips = facts(&pairs, FRAME);
        assert_eq!(strips.len(), 3);
        let texts = |strip: &Strip| -> Vec<String> {
            strip
                .shapes
                .iter()
                .filter_map(|shape| Some(shape.label()?.text.clone()))
                .collect()
        };
        assert_eq!(texts(&strips[0]), ["L1", "V1", "L4", "V4"]);
        assert_eq!(texts(&strips[2]), ["L3", "V3"]);
        assert!(facts(&[], FRAME).is_empty());
    }
}
