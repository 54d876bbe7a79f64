//! The plain blocks as strips: headings, paragraphs, lists, pictures, rules, lines to write on.
//!
//! What it owns: their type sizes and the white around them. What comes in: blocks and the room on a page.
//! What goes out: strips. Not known here: page breaks, and the inside of tables and boxes.

use super::spoken::SpokenPart;
use super::strip::{
    keep_all, keep_ends, keep_with_next, lines, said, Frame, Setting, Strip, ITEM, RUNNING_TEXT,
};
use super::{framed, table, BODY};
use crate::document::Block;
use crate::font::{text_width, Weight};
use crate::picture::{placed, Ink, Label, Pen, Picture, TextAnchor};
use crate::text::Text;

/// Height of a line to write on: 9 mm, as on ruled school paper for large handwriting (common practice).
const WRITING: f64 = 25.5;

/// Lines to write on that are never left out.
const LEAST_LINES: usize = 2;

/// All blocks, one after the other, numbered on from the last number given.
pub(crate) fn all(blocks: &[Block], frame: Frame, number: &mut usize) -> Vec<Strip> {
    let mut strips = Vec::new();
    let mut new_page = false;
    for block in blocks {
        if *block == Block::PageBreak {
            new_page = true;
            continue;
        }
        let mut more = match block {
            Block::KeepTogether(inner) => {
                let mut strips = all(inner, frame, number);
                keep_all(&mut strips);
                strips
            }
            block => {
                *number += 1;
                let mut strips = one(block, frame);
                for strip in &mut strips {
                    strip.block = *number;
                }
                strips
            }
        };
        if let Some(first) = more.first_mut() {
            first.new_page |= new_page;
            new_page = false;
        }
        strips.extend(more);
    }
    strips
}

fn one(block: &Block, frame: Frame) -> Vec<Strip> {
    match block {
        Block::Heading { level, text } => heading(*level, text, frame),
        Block::Paragraph(text) => spaced(6.0, paragraph(text, frame)),
        Block::Lead(text) => {
            let mut strips = spaced(6.0, paragraph(text, frame));
            keep_with_next(&mut strips);
            strips
        }
        Block::Numbered(items) => numbered(items, frame),
        Block::Caution { lead, body } => spaced(10.0, framed::caution(lead, body, frame)),
        Block::Facts(pairs) => spaced(8.0, framed::facts(pairs, frame)),
        Block::Table(content) => spaced(11.0, table::strips(content, frame)),
        Block::Picture(picture) => spaced(9.0, vec![placed_picture(picture, frame)]),
        Block::Pictures(pictures) => picture_rows(pictures, frame),
        // Both are dealt with where blocks are numbered.
        Block::PageBreak | Block::KeepTogether(_) => Vec::new(),
        Block::WriteLines { label, lines } => write_lines(label, *lines, frame),
    }
}

fn spaced(space: f64, mut strips: Vec<Strip>) -> Vec<Strip> {
    if let Some(first) = strips.first_mut() {
        first.space = space;
    }
    strips
}

fn heading(level: u8, text: &str, frame: Frame) -> Vec<Strip> {
    let (size, space) = match level {
        1 => (13.0, 14.0),
        2 => (11.0, 12.0),
        _ => (BODY, 9.0),
    };
    let setting = Setting::new(size, size * 1.35, Ink::Black);
    let part = SpokenPart::Heading(level.clamp(1, 3), text.to_string());
    let words = Text::default().bold(text);
    let mut strips = spaced(space, said(&words, frame, setting, &part));
    if let Some(first) = strips.first_mut() {
        first.bookmark = Some((level.clamp(1, 3), text.to_string()));
    }
    keep_with_next(&mut strips);
    strips
}

fn paragraph(text: &Text, frame: Frame) -> Vec<Strip> {
    let mut strips = lines(text, frame, RUNNING_TEXT);
    keep_ends(&mut strips);
    strips
}

/// Items with their number before each; the room for it is that of the last one.
fn numbered(items: &[Text], frame: Frame) -> Vec<Strip> {
    let sign = |n: usize| format!("{n}.");
    let indent = text_width(&sign(items.len().max(1)), ITEM.size, Weight::Regular) + 9.0;
    let mut strips = Vec::new();
    for (n, item) in items.iter().enumerate() {
        let mut more = said(item, frame.inset(indent, 0.0), ITEM, &SpokenPart::Item(n));
        keep_ends(&mut more);
        if let Some(first) = more.first_mut() {
            let at = (frame.left + indent - 5.0, ITEM.base());
            let label = Label::new(at, sign(n + 1), ITEM.size).anchored(TextAnchor::End);
            let words = std::mem::take(&mut first.shapes);
            first.spoken.clear();
            first.say(SpokenPart::Label(n), [label.into()]);
            first.say(SpokenPart::Item(n), words);
            first.space = if n == 0 { 5.0 } else { 2.0 };
        }
        strips.extend(more);
    }
    strips
}

fn placed_picture(picture: &Picture, frame: Frame) -> Strip {
    let fits = |room: f64, length: f64| if length > 0.0 { room / length } else { 1.0 };
    let scale = fits(frame.width, picture.width)
        .min(fits(frame.height, picture.height))
        .min(1.0);
    let mut strip = Strip::new((picture.height * scale).max(0.0));
    let shapes = placed(&picture.shapes, scale, frame.left, 0.0);
    strip.say(SpokenPart::Figure(picture.spoken().into()), shapes);
    strip
}

/// White between pictures that stand side by side, and between their rows.
const APART: (f64, f64) = (12.0, 16.0);

/// Pictures that stand side by side only if shrunk are, down to this scale: letters of 11 points stay above
/// 7.5, a point below the smallest of the text.
const LEAST_SCALE: f64 = 0.7;

/// Height of the heading and the words above the first row: on a page of their own they would look like a mistake.
const ABOVE_THEM: f64 = 96.0;

/// How far several pictures have to be shrunk for two of the widest to stand side by side; 1 where they do
/// anyway, or would be too small.
fn side_by_side(pictures: &[Picture], width: f64) -> f64 {
    let widest = pictures.iter().map(|picture| picture.width);
    let widest = widest.fold(0.0, f64::max);
    let fits = (width - APART.0) / (2.0 * widest);
    match pictures.len() > 1 && fits >= LEAST_SCALE {
        true => fits.min(1.0),
        false => 1.0,
    }
}

/// Pictures side by side, each tagged by itself.
fn picture_rows(pictures: &[Picture], frame: Frame) -> Vec<Strip> {
    let scale = side_by_side(pictures, frame.width);
    // Rounding must not part two that just fit.
    let width = frame.width / scale + 1e-6;
    let rows = Picture::in_rows(pictures, width, APART.0 / scale);
    let mut strips = Vec::new();
    for (n, row) in rows.into_iter().enumerate() {
        let mut strip = Strip::new(0.0);
        strip.space = APART.1;
        let below = frame.height - ABOVE_THEM;
        let shrinks = n == 0 && row.iter().all(|own| own.height * LEAST_SCALE <= below);
        let mut left = frame.left;
        for picture in row {
            let room = Frame {
                left,
                width: (picture.width * scale).min(frame.width),
                height: if shrinks { below } else { frame.height },
            };
            let own = placed_picture(picture, room);
            strip.height = strip.height.max(own.height);
            strip.say(SpokenPart::Figure(picture.spoken().into()), own.shapes);
            left += picture.width * scale + APART.0;
        }
        strips.push(strip);
    }
    strips
}

fn write_lines(label: &str, count: usize, frame: Frame) -> Vec<Strip> {
    let mut strips = Vec::new();
    if !label.is_empty() {
        strips.extend(lines(&Text::default().bold(label), frame, RUNNING_TEXT));
        keep_with_next(&mut strips);
    }
    for n in 0..count {
        let mut strip = Strip::new(WRITING);
        strip.spare = n >= LEAST_LINES;
        strip.across(WRITING - 2.0, Pen::hairline(), frame);
        strips.push(strip);
    }
    // A last page with only a few lines would look like a mistake.
    if strips.len() <= 12 {
        keep_all(&mut strips);
    }
    spaced(10.0, strips)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::layout::strip::FRAME;

    #[test]
    fn a_heading_keeps_with_what_follows() {
        let strips = all(
            &[Block::heading(2, "Checks"), Block::paragraph("One.")],
            FRAME,
            &mut 0,
        );
        assert!(strips[0].keep && !strips[1].keep);
        assert_eq!(strips[0].bookmark, Some((2, "Checks".to_string())));
    }

    #[test]
    fn a_lead_keeps_with_what_follows() {
        let long = "word ".repeat(60);
        let blocks = [Block::Lead(long.as_str().into()), Block::paragraph("One.")];
        let strips = all(&blocks, FRAME, &mut 0);
        let keeps: Vec<bool> = strips.iter().map(|strip| strip.keep).collect();
        assert!(keeps.len() > 2);
        assert_eq!(keeps.iter().filter(|keep| !**keep).count(), 1);
        assert_eq!(keeps.last(), Some(&false));
    }

    #[test]
    fn two_lines_to_write_on_are_never_spare() {
        let spare: Vec<bool> = write_lines("", 4, FRAME).iter().map(|s| s.spare).collect();
        assert_eq!(spare, [false, false, true, true]);
    }

    #[test]
    fn a_picture_is_scaled_down_but_never_up() {
        let wide = placed_picture(&Picture::new(1000.0, 100.0, ""), FRAME);
        // 500 / 1000 is exact in binary.
        assert!((wide.height - 50.0).abs() <= 1e-9);
        let high = placed_picture(&Picture::new(10.0, 1400.0, ""), FRAME);
        assert!((high.height - 700.0).abs() <= 1e-9);
        let first = &picture_rows(&[Picture::new(10.0, 650.0, "")], FRAME)[0];
        assert!((first.height - 604.0).abs() <= 1e-9, "room for its heading");
        let small = placed_picture(&Picture::new(10.0, 20.0, ""), FRAME);
        assert!((small.height - 20.0).abs() <= 1e-9);
        assert!(placed_picture(&Picture::default(), FRAME).height.abs() <= 1e-9);
    }

    #[test]
    fn a_page_break_is_carried_by_the_next_block() {
        let strips = all(
            &[
                Block::PageBreak,
                Block::PageBreak,
                Block::paragraph("a"),
                Block::paragraph("b"),
            ],
            FRAME,
            &mut 0,
        );
        assert_eq!(
            strips.iter().map(|s| s.new_page).collect::<Vec<_>>(),
            [true, false]
        );
    }

    #[test]
    fn kept_blocks_form_one_chain() {
        let inner = ["a", "b", "c"].map(Block::paragraph).to_vec();
        let blocks = [Block::KeepTogether(inner), Block::paragraph("d")];
        let strips = all(&blocks, FRAME, &mut 0);
        assert_eq!(
            strips.iter().map(|s| s.keep).collect::<Vec<_>>(),
            [true, true, false, false]
        );
    }

    #[test]
    fn each_step_has_its_number() {
        let items = ["first".into(), "second".into()];
        let strips = numbered(&items, FRAME);
        assert_eq!(strips.len(), 2);
        assert!(strips.iter().all(|strip| strip.shapes.len() == 2));
        assert_eq!(write_lines("Notes", 3, FRAME).len(), 4);
    }
}
