//! Laying out a document: from blocks to pages of plain shapes.
//!
//! What it owns: type sizes, spacing, page breaks, running head and foot. What comes in: a [`Document`] and a
//! paper size. What goes out: pages, each a list of placed shapes, so that what stands where can be checked
//! without opening a file. Not known here: the file format.

mod blocks;
mod cell_words;
mod columns;
mod flow;
mod framed;
mod row;
#[cfg(test)]
mod row_tests;
mod slot;
mod spoken;
mod strip;
mod table;

use crate::document::{Document, PageSize};
use crate::font::{text_width, Weight};
use crate::picture::{placed, Ink, Label, Pen, Shape, TextAnchor};
use flow::{paginate, Placed};
use strip::{Frame, Strip};

pub use columns::cell_width;
pub(crate) use framed::sign;
pub use spoken::{Spoken, SpokenPart};

/// Type size of running text, in points.
pub(crate) const BODY: f64 = 9.75;
/// Distance of two base lines of running text, in points.
pub(crate) const LEAD: f64 = 13.2;
/// Type size of the running head and foot, in points.
const RUNNING: f64 = 8.0;

/// A heading and where it stands, for the table of contents that a reader shows beside the pages.
#[derive(Debug, Clone, PartialEq)]
pub struct Bookmark {
    /// Level of the heading, 1 to 3.
    pub level: u8,
    /// Its words.
    pub text: String,
    /// Points below the upper edge of the page.
    pub y: f64,
}

/// One laid-out page.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Page {
    /// Everything on it, in points from the upper left corner of the paper.
    pub shapes: Vec<Shape>,
    /// The parts that are read out, each with its role, in reading order; the rest is decoration, head and
    /// foot.
    pub spoken: Vec<Spoken>,
    /// Its headings.
    pub bookmarks: Vec<Bookmark>,
    /// Where the text ends, in points below the upper edge; never below [`PageSize::text_bottom`], unless one
    /// unbreakable piece is higher than a page.
    pub lowest: f64,
}

/// Lays the document out on paper of the given size. There is always at least one page.
#[must_use]
pub fn pages(document: &Document, size: PageSize) -> Vec<Page> {
    let size = size.turned(document.orientation);
    let frame = Frame {
        left: size.text_left(),
        width: size.text_width(),
        height: size.text_bottom() - size.text_top(),
    };
    let mut strips = masthead(document, frame);
    strips.extend(blocks::all(&document.blocks, frame, &mut 0));
    let sheets = paginate(&strips, size.text_top(), size.text_bottom());
    let count = sheets.len();
    sheets
        .iter()
        .enumerate()
        .map(|(n, strips)| page(strips, document, size, (n + 1, count)))
        .collect()
}

fn page(
    strips: &[Placed<'_>],
    document: &Document,
    size: PageSize,
    (number, count): (usize, usize),
) -> Page {
    let mut page = Page {
        lowest: size.text_top(),
        ..Page::default()
    };
    for Placed { y, strip, again } in strips {
        let from = page.shapes.len();
        // A heading that is repeated at the top of a page has been read out before.
        let runs = strip.spoken.iter().filter(|_| !again);
        page.spoken.extend(runs.map(|(run, part)| Spoken {
            shapes: run.start + from..run.end + from,
            block: strip.block,
            part: part.clone(),
        }));
        page.shapes.extend(placed(&strip.shapes, 1.0, 0.0, *y));
        if let Some((level, text)) = &strip.bookmark {
            page.bookmarks.push(Bookmark {
                level: *level,
                text: text.clone(),
                y: *y,
            });
        }
        page.lowest = page.lowest.max(y + strip.height);
    }
    let (left, right) = (size.text_left(), size.text_left() + size.text_width());
    let running = &document.running;
    if !(running.left.is_empty() && running.right.is_empty()) {
        let y = size.margin() + 5.0;
        page.shapes
            .extend(opposite(&running.left, &running.right, left, right, y));
        let (from, to) = ((left, y + 5.0), (right, y + 5.0));
        page.shapes.push(Shape::line(from, to, Pen::hairline()));
    }
    let y = size.height() - size.margin();
    page.shapes.extend(opposite(
        &running.foot,
        &format!("page {number} of {count}"),
        left,
        right,
        y,
    ));
    page
}

/// Two texts at the two ends of a line. The right one goes first; the left one is cut to the room that is left.
fn opposite(left: &str, right: &str, from: f64, to: f64, y: f64) -> Vec<Shape> {
    let set = |x: f64, text: String, anchor: TextAnchor| {
        let label = Label::new((x, y), text, RUNNING);
        Shape::from(label.inked(Ink::Dark).anchored(anchor))
    };
    let right = shortened(right, (to - from) * 0.6);
    let room = to - from - text_width(&right, RUNNING, Weight::Regular) - 12.0;
    let left = shortened(left, room);
    [
        (from, left, TextAnchor::Start),
        (to, right, TextAnchor::End),
    ]
    .into_iter()
    .filter(|(_, text, _)| !text.is_empty())
    .map(|(x, text, anchor)| set(x, text, anchor))
    .collect()
}

/// The text, or as much of it as fits with "…" behind it.
fn shortened(text: &str, room: f64) -> String {
    if text_width(text, RUNNING, Weight::Regular) <= room {
        return text.to_string();
    }
    let mut kept: Vec<char> = text.chars().collect();
    loop {
        kept.pop();
        let shorter: String = kept.iter().collect::<String>().trim_end().to_string() + "…";
        if kept.is_empty() || text_width(&shorter, RUNNING, Weight::Regular) <= room {
            return shorter;
        }
    }
}

/// The title and the line below it.
fn masthead(document: &Document, frame: Frame) -> Vec<Strip> {
    let mut strips = Vec::new();
    if !document.title.is_empty() {
        let title = strip::Setting::new(17.0, 21.0, Ink::Black);
        let text = crate::text::Text::default().bold(document.title.clone());
        strips.extend(strip::said(&text, frame, title, &SpokenPart::Title));
    }
    if !document.subtitle.is_empty() {
        let subtitle = strip::Setting::new(10.0, 14.0, Ink::Dark);
        strips.extend(strip::lines(
            &document.subtitle.as_str().into(),
            frame,
            subtitle,
        ));
    }
    if !strips.is_empty() {
        let mut rule = Strip::new(4.0);
        rule.across(3.5, Pen::rule(), frame);
        strips.push(rule);
        strip::keep_all(&mut strips);
    }
    strips
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::document::{Block, Running};

    fn words(page: &Page) -> Vec<String> {
        let text = |shape: &Shape| match shape {
            Shape::Text(label) => Some(label.text.clone()),
            _ => None,
        };
        page.shapes.iter().filter_map(text).collect()
    }

    #[test]
    fn an_empty_document_is_one_numbered_page() {
        let laid = pages(&Document::default(), PageSize::A4);
        assert_eq!(laid.len(), 1);
        assert_eq!(words(&laid[0]), ["page 1 of 1"]);
    }

    #[test]
    fn head_and_foot_stand_on_every_page() {
        let running = Running {
            left: "Station".into(),
            right: "Sheet 7".into(),
            foot: "Ω".into(),
        };
        let blocks = vec![
            Block::paragraph("one"),
            Block::PageBreak,
            Block::paragraph("two"),
        ];
        let laid = pages(
            &Document {
                running,
                blocks,
                ..Document::default()
            },
            PageSize::Letter,
        );
        assert_eq!(laid.len(), 2);
        for (n, page) in laid.iter().enumerate() {
            for want in ["Station", "Sheet 7", "Ω", &format!("page {} of 2", n + 1)] {
                assert!(words(page).iter().any(|word| word == want), "{want}");
            }
        }
    }

    #[test]
    fn a_running_head_that_is_too_long_is_shortened() {
        let room = 100.0;
        let short = shortened(&"intercom ".repeat(30), room);
        assert!(short.ends_with('…') && text_width(&short, RUNNING, Weight::Regular) <= room);
        assert_eq!(shortened("a", 0.0), "…");
    }
}
