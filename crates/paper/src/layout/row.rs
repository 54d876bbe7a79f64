//! One row of a table as strips.
//!
//! What it owns: the place of each cell's words in the row, boxes to write in and to tick. What
//! comes in: cells and the columns they stand in. What goes out: one strip; several only where a single row
//! is higher than a page. Not known here: headings and page breaks.

use super::cell_words::{around_point, details, worded, Place, Words, CELL};
use super::slot::{Slot, SIDE};
use super::spoken::SpokenPart;
use super::strip::{set_line, Strip};
use crate::document::Cell;
use crate::picture::{placed, Fill, Ink, Pen, Picture, Shape};
use crate::wrap::wrap;

/// White above and below the text of a cell, in points.
const ABOVE: f64 = 3.2;
/// Least height of a box to write in: 9 mm.
const BLANK: f64 = 26.0;
/// White around a box to write in.
const AROUND: f64 = 2.0;

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
    slots: &[Slot],
    heads: &[&str],
    number: usize,
    limit: f64,
) -> Vec<Strip> {
    let (mut words, things) = words_and_things(cells, slots, heads);
    let tall = !things.boxes.is_empty();
    let mut strips = vec![first_strip(&mut words, &things, tall, number, limit)];
    while words.iter().any(|w| !w.lines.is_empty()) {
        strips.push(first_strip(
            &mut words,
            &Things::default(),
            false,
            number,
            limit,
        ));
    }
    // Empty cells keep their place for reader programs.
    if let Some(first) = strips.first_mut() {
        for (column, _) in cells
            .iter()
            .enumerate()
            .filter(|(_, cell)| **cell == Cell::Empty)
        {
            first.say(SpokenPart::Cell(number, column), []);
        }
    }
    strips
}

/// The words of a row's cells, wrapped, and what of the row is not words.
fn words_and_things<'a>(
    cells: &'a [Cell],
    slots: &[Slot],
    heads: &[&str],
) -> (Vec<Words>, Things<'a>) {
    let mut words: Vec<Words> = Vec::new();
    let mut things = Things::default();
    // Columns up to this one have details below them.
    let mut covered = 0;
    for (column, (cell, slot)) in cells.iter().zip(slots).enumerate() {
        let mut slot = *slot;
        match cell {
            Cell::Blank => {
                let head = heads.get(column).copied().unwrap_or_default();
                let to_write = format!("box to write in: {head}");
                let to_write = to_write.trim_end_matches([' ', ':']).to_owned();
                things.boxes.push((column, slot, to_write));
            }
            Cell::Named(named) => {
                if let Some(picture) = &named.picture {
                    things.pictures.push((column, slot, picture));
                    slot = slot.right_of(picture.width);
                }
                covered = column + named.span.max(1);
            }
            Cell::Judged(..) => covered = column + 1,
            _ => {}
        }
        if let Some((text, setting)) = worded(cell) {
            words.push(Words {
                column,
                lines: wrap(&text, setting.size, slot.inner()),
                setting,
                slot,
                before_point: around_point(cell).map(|(before, _)| before),
                place: if column < covered {
                    Place::Above
                } else {
                    Place::Own
                },
            });
        }
        words.extend(details(cell, column, slot.up_to(slots, covered)));
    }
    (words, things)
}

/// Takes as many lines as fit into `limit` from each cell and sets them.
fn first_strip(
    words: &mut [Words],
    things: &Things<'_>,
    tall: bool,
    number: usize,
    limit: f64,
) -> Strip {
    let (parts, above) = what_fits(words, limit - 2.0 * ABOVE);
    let heights = parts.iter().map(|part| match part.place {
        Place::Below => above + part.height(),
        _ => part.height(),
    });
    let block = heights.clone().fold(0.0, f64::max);
    let text = block.max(CELL.lead) + 2.0 * ABOVE;
    let least = if things.boxes.is_empty() {
        0.0
    } else {
        BLANK + 2.0 * AROUND
    };
    let pictured = things.pictures.iter();
    let pictured = pictured.map(|(_, _, picture)| picture.height + 2.0 * ABOVE);
    let mut strip = Strip::new(pictured.fold(text.max(least), f64::max));
    set_things(&mut strip, things, number);
    let with_details = parts.iter().any(|part| part.place == Place::Below);
    for cell in &parts {
        // With details in a row, all of its words begin on one line.
        let height = if with_details { block } else { cell.height() };
        // Beside a box the words stand in the middle; elsewhere they begin at the top.
        let top = if tall {
            (strip.height - height) / 2.0
        } else {
            ABOVE
        };
        let top = match cell.place {
            Place::Below => top + above,
            Place::Own | Place::Above => top,
        };
        let mut shapes: Vec<Shape> = Vec::new();
        for (n, line) in cell.lines.iter().enumerate() {
            let y = top + n as f64 * cell.setting.lead + cell.setting.base();
            shapes.extend(set_line(line, cell.begin(line), y, cell.setting));
        }
        strip.say(SpokenPart::Cell(number, cell.column), shapes);
    }
    strip
}

/// Takes as many lines of each cell as fit into so many points. Beside them the height of those below which details
/// go on.
fn what_fits(words: &mut [Words], mut room: f64) -> (Vec<Words>, f64) {
    let mut parts: Vec<Words> = Vec::new();
    // What stands below comes last: it gets what the others leave.
    let mut order: Vec<usize> = (0..words.len()).collect();
    order.sort_by_key(|n| words[*n].place == Place::Below);
    let mut above = 0.0_f64;
    for n in order {
        let cell = &mut words[n];
        if cell.place == Place::Below {
            room = (room - above).max(0.0);
        }
        let least = if above > 0.0 { 0.0 } else { 1.0 };
        let most = (room / cell.setting.lead).floor().max(least) as usize;
        let rest = cell.lines.split_off(most.min(cell.lines.len()));
        let lines = std::mem::replace(&mut cell.lines, rest);
        let part = Words { lines, ..*cell };
        if part.place == Place::Above {
            above = above.max(part.height());
        }
        parts.push(part);
    }
    parts.sort_by_key(|part| (part.column, part.place == Place::Below));
    (parts, above)
}

/// Sets boxes to write in and small pictures.
fn set_things(strip: &mut Strip, things: &Things<'_>, number: usize) {
    for (column, slot, to_write) in &things.boxes {
        let shape = Shape::Rectangle {
            corner: (slot.left + AROUND, AROUND).into(),
            width: slot.width - 2.0 * AROUND,
            height: strip.height - 2.0 * AROUND,
            fill: Fill::Open,
            pen: Some(Pen::new(Ink::Dark, 0.4)),
        };
        let part = SpokenPart::WritingBox(number, *column, to_write.as_str().into());
        strip.say(part, [shape]);
    }
    for (column, slot, picture) in &things.pictures {
        let top = (strip.height - picture.height) / 2.0;
        let part = SpokenPart::CellFigure(number, *column, picture.spoken().into());
        strip.say(part, placed(&picture.shapes, 1.0, slot.left + SIDE, top));
    }
}
