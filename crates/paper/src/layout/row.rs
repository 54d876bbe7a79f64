//! One row of a table as strips.
//!
//! What it owns: wrapping the text of each cell, its place in the cell, boxes to write in and to tick. What
//! comes in: cells and the columns they stand in. What goes out: one strip; several only where a single row
//! is higher than a page. What it refuses to know: headings and page breaks.

use super::framed::writing_box;
use super::slab::{set_line, Setting, Slab};
use super::spoken::Part;
use crate::document::{split_at_point, Align, Cell, Text};
use crate::font::{text_width, Weight};
use crate::picture::{Ink, Picture, Shape};
use crate::wrap::{wrap, Line};

/// Type of an ordinary cell.
pub(crate) const CELL: Setting = Setting {
    size: 9.25,
    lead: 12.4,
    ink: Ink::Black,
};
/// Type of a value that matters. The same lead as [`CELL`], so that base lines meet across a row.
const VALUE: Setting = Setting {
    size: 11.0,
    lead: 12.4,
    ink: Ink::Black,
};
/// Type of boxes to tick, larger for the sake of the pencil.
const TICK: Setting = Setting {
    size: 11.0,
    lead: 14.5,
    ink: Ink::Black,
};
/// White at the left and right of a cell, in points.
pub(crate) const SIDE: f64 = 4.0;
/// White above and below the text of a cell, in points.
const ABOVE: f64 = 3.2;
/// Least height of a box to write in: 9 mm.
const BLANK: f64 = 26.0;
/// White around a box to write in.
const AROUND: f64 = 2.0;

/// A column as it stands on the page.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Slot {
    /// Left edge, in points from the left edge of the paper.
    pub left: f64,
    /// Width, in points.
    pub width: f64,
    pub align: Align,
    /// Room to the right of the decimal point; `None` if the column is not aligned on one.
    pub after_point: Option<f64>,
}

impl Slot {
    /// Width there is for text.
    pub fn inner(self) -> f64 {
        (self.width - 2.0 * SIDE).max(1.0)
    }

    /// The same column without so many points at its left, and without the white beside them.
    fn right_of(self, width: f64) -> Self {
        let taken = (width + SIDE).min(self.width / 2.0);
        Slot {
            left: self.left + taken,
            width: self.width - taken,
            ..self
        }
    }

    /// Where a line of this width begins.
    pub fn begin(self, width: f64) -> f64 {
        let free = (self.inner() - width).max(0.0);
        self.left
            + SIDE
            + match self.align {
                Align::Left => 0.0,
                Align::Centre => free / 2.0,
                Align::Right | Align::Decimal => free,
            }
    }
}

/// Widths of a cell's text before and after the decimal point, if it is a number on one line.
pub(crate) fn around_point(cell: &Cell) -> Option<(f64, f64)> {
    let (text, setting) = worded(cell)?;
    let plain = text.plain_text();
    if !plain.contains(|c: char| c.is_ascii_digit()) || plain.contains('\n') {
        return None;
    }
    let weight = text.runs.first().map_or(Weight::Regular, |run| run.weight);
    let (before, after) = split_at_point(&plain);
    Some((
        text_width(before, setting.size, weight),
        text_width(after, setting.size, weight),
    ))
}

/// The words of a cell and their type; nothing for a cell without words.
fn worded(cell: &Cell) -> Option<(Text, Setting)> {
    match cell {
        Cell::Empty | Cell::Blank => None,
        Cell::Text(text) | Cell::Pictured(_, text) => Some((text.clone(), CELL)),
        Cell::Value(value) => Some((Text::default().bold(value.clone()), VALUE)),
        Cell::Ticks(labels) => {
            // No-break spaces hold the box and its words together.
            let one = |label: &String| format!("☐\u{a0}{}", label.replace(' ', "\u{a0}"));
            let all: Vec<String> = labels.iter().map(one).collect();
            Some((all.join("   ").into(), TICK))
        }
    }
}

struct Words {
    column: usize,
    lines: Vec<Line>,
    setting: Setting,
    slot: Slot,
    before_point: Option<f64>,
}

impl Words {
    fn height(&self) -> f64 {
        self.lines.len() as f64 * self.setting.lead
    }

    fn begin(&self, line: &Line) -> f64 {
        match (self.before_point, self.slot.after_point) {
            (Some(before), Some(after)) if self.lines.len() == 1 => {
                self.slot.left + self.slot.width - SIDE - after - before
            }
            _ => self.slot.begin(line.width),
        }
    }
}

/// What of a row is not words: boxes to write in, and small pictures.
#[derive(Default)]
struct Things<'a> {
    /// Column, place, and what is to be written there.
    boxes: Vec<(usize, Slot, String)>,
    pictures: Vec<(usize, Slot, &'a Picture)>,
}

/// Lays out a row of this number. A row higher than `limit` points goes on in further strips. `heads` are the
/// headings of the columns.
pub(crate) fn row(
    cells: &[Cell],
    (slots, heads): (&[Slot], &[&str]),
    (number, limit): (usize, f64),
) -> Vec<Slab> {
    let mut words: Vec<Words> = Vec::new();
    let mut things = Things::default();
    for (column, (cell, slot)) in cells.iter().zip(slots).enumerate() {
        match cell {
            Cell::Blank => {
                let head = heads.get(column).copied().unwrap_or_default();
                let to_write = format!("box to write in: {head}");
                let to_write = to_write.trim_end_matches([' ', ':']).to_owned();
                things.boxes.push((column, *slot, to_write));
            }
            Cell::Pictured(picture, _) => things.pictures.push((column, *slot, picture)),
            _ => {}
        }
        if let Some((text, setting)) = worded(cell) {
            let slot = match cell {
                Cell::Pictured(picture, _) => slot.right_of(picture.width),
                _ => *slot,
            };
            let lines = wrap(&text, setting.size, slot.inner());
            words.push(Words {
                column,
                lines,
                setting,
                slot,
                before_point: around_point(cell).map(|(before, _)| before),
            });
        }
    }
    let tall = !things.boxes.is_empty() || cells.iter().any(|cell| matches!(cell, Cell::Ticks(_)));
    let mut slabs = vec![first_strip(&mut words, &things, tall, (number, limit))];
    while words.iter().any(|w| !w.lines.is_empty()) {
        slabs.push(first_strip(
            &mut words,
            &Things::default(),
            false,
            (number, limit),
        ));
    }
    // Cells without anything in them keep their place for whoever hears the table.
    if let Some(first) = slabs.first_mut() {
        for (column, _) in cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| **cell == Cell::Empty)
        {
            first.say(Part::Cell(number, column), []);
        }
    }
    slabs
}

/// Takes as many lines as fit into `limit` from each cell and sets them.
fn first_strip(
    words: &mut [Words],
    things: &Things<'_>,
    tall: bool,
    (number, limit): (usize, f64),
) -> Slab {
    let mut parts: Vec<Words> = Vec::new();
    for cell in words.iter_mut() {
        let most = ((limit - 2.0 * ABOVE) / cell.setting.lead).floor().max(1.0) as usize;
        let rest = cell.lines.split_off(most.min(cell.lines.len()));
        let lines = std::mem::replace(&mut cell.lines, rest);
        parts.push(Words { lines, ..*cell });
    }
    let text = parts.iter().map(Words::height).fold(CELL.lead, f64::max) + 2.0 * ABOVE;
    let least = if things.boxes.is_empty() {
        0.0
    } else {
        BLANK + 2.0 * AROUND
    };
    let pictured = things.pictures.iter();
    let pictured = pictured.map(|(_, _, picture)| picture.height + 2.0 * ABOVE);
    let mut slab = Slab::new(pictured.fold(text.max(least), f64::max));
    for (column, slot, to_write) in &things.boxes {
        let corner = (slot.left + AROUND, AROUND).into();
        let shape = writing_box(
            corner,
            slot.width - 2.0 * AROUND,
            slab.height - 2.0 * AROUND,
        );
        slab.say(
            Part::WritingBox(number, *column, to_write.as_str().into()),
            [shape],
        );
    }
    for (column, slot, picture) in &things.pictures {
        let top = (slab.height - picture.height) / 2.0;
        let shapes = picture.shapes.iter();
        let shapes = shapes.map(|shape| shape.placed(1.0, slot.left + SIDE, top));
        slab.say(
            Part::CellFigure(number, *column, picture.spoken().into()),
            shapes,
        );
    }
    for cell in &parts {
        // Beside a box the words stand in the middle; elsewhere they begin at the top, where the eye reads on.
        let top = if tall {
            (slab.height - cell.height()) / 2.0
        } else {
            ABOVE
        };
        let mut shapes: Vec<Shape> = Vec::new();
        for (n, line) in cell.lines.iter().enumerate() {
            let y = top + n as f64 * cell.setting.lead + cell.setting.base();
            shapes.extend(set_line(line, cell.begin(line), y, cell.setting));
        }
        slab.say(Part::Cell(number, cell.column), std::mem::take(&mut shapes));
    }
    slab
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::picture::Label;

    fn slot(left: f64, width: f64, align: Align) -> Slot {
        Slot {
            left,
            width,
            align,
            after_point: None,
        }
    }

    fn labels(slab: &Slab) -> Vec<&Label> {
        slab.shapes.iter().filter_map(Shape::label).collect()
    }

    #[test]
    fn text_never_leaves_its_cell() {
        let long =
            "Donaudampfschiffahrtselektrizitätenhauptbetriebswerkbauunterbeamter reads 100.25 V";
        for align in [Align::Left, Align::Right, Align::Centre, Align::Decimal] {
            let slots = [slot(50.0, 40.0, align), slot(90.0, 70.0, align)];
            let cells = [Cell::Text(long.into()), Cell::Value(long.into())];
            for slab in row(&cells, (&slots, &[]), (0, 600.0)) {
                for label in labels(&slab) {
                    let (from, to) = (label.at.x, label.at.x + label.width());
                    let inside = |s: &Slot| from >= s.left - 1e-6 && to <= s.left + s.width + 1e-6;
                    // 1e-6 point: float sums only.
                    assert!(slots.iter().any(inside), "{align:?} {from} {to}");
                }
            }
        }
    }

    #[test]
    fn decimal_points_stand_below_each_other() {
        let at = Slot {
            after_point: Some(20.0),
            ..slot(100.0, 80.0, Align::Decimal)
        };
        let points: Vec<f64> = ["1.5", "−120.75", "47", "0.001"]
            .iter()
            .map(|number| {
                let slabs = row(&[Cell::from(*number)], (&[at], &[]), (0, 600.0));
                let label = labels(&slabs[0])[0];
                label.at.x + text_width(split_at_point(&label.text).0, label.size, label.weight)
            })
            .collect();
        for point in &points {
            // Float sums only.
            assert!((point - points[0]).abs() <= 1e-6, "{points:?}");
        }
    }

    #[test]
    fn a_row_higher_than_a_page_goes_on() {
        let text = "word ".repeat(400);
        let slabs = row(
            &[Cell::from(text.as_str())],
            (&[slot(0.0, 60.0, Align::Left)], &[]),
            (0, 200.0),
        );
        assert!(slabs.len() > 1);
        assert!(slabs.iter().all(|slab| slab.height <= 200.0));
        let kept: usize = slabs
            .iter()
            .flat_map(labels)
            .map(|l| l.text.matches("word").count())
            .sum();
        assert_eq!(kept, 400);
    }

    #[test]
    fn a_box_to_write_in_is_nine_millimetres_high() {
        let slabs = row(
            &[Cell::Blank, "x".into()],
            (
                &[slot(0.0, 60.0, Align::Left), slot(60.0, 60.0, Align::Left)],
                &["Found", "V"],
            ),
            (0, 600.0),
        );
        let height = slabs[0].shapes.iter().find_map(|s| {
            if let Shape::Rectangle { height, .. } = s {
                Some(*height)
            } else {
                None
            }
        });
        // 9 mm is 25.5 points.
        assert!(height.unwrap() >= 25.5);
    }

    #[test]
    fn a_small_picture_stands_left_of_its_text() {
        let mut picture = Picture::new(30.0, 40.0, "socket");
        picture.line((0.0, 0.0), (30.0, 40.0), crate::picture::Pen::rule());
        let cell = Cell::Pictured(picture, "red V3 grid, black chassis".into());
        let slabs = row(
            &[cell],
            (&[slot(50.0, 120.0, Align::Left)], &[]),
            (0, 600.0),
        );
        assert!(slabs[0].height >= 40.0);
        assert!(labels(&slabs[0])
            .iter()
            .all(|label| label.at.x >= 50.0 + 30.0));
        let figure = slabs[0]
            .spoken
            .iter()
            .find(|(_, part)| matches!(part, Part::CellFigure(..)));
        assert!(figure.is_some());
    }

    #[test]
    fn ticks_keep_box_and_word_together() {
        let cell = Cell::Ticks(vec!["as printed".into(), "off".into()]);
        let slabs = row(&[cell], (&[slot(0.0, 75.0, Align::Left)], &[]), (0, 600.0));
        let texts = labels(&slabs[0]).into_iter().map(|l| l.text.trim_end());
        let texts: Vec<&str> = texts.collect();
        assert_eq!(texts, ["☐\u{a0}as\u{a0}printed", "☐\u{a0}off"]);
    }
}
