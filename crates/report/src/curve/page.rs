//! The curve as a page for a browser: the picture and the table.

use paper::{Block, Document};

use super::named::where_words;
use super::table::table;
use crate::clean::clean;
use crate::document;
use crate::heading;
use crate::page;
use crate::pictures::curve_picture;
use crate::views::CurveView;

/// Picture and table under the title of the job.
pub(crate) fn document(view: &CurveView<'_>) -> Document {
    let place = where_words(view);
    let mut blocks: Vec<Block> = heading::line(view.job)
        .into_iter()
        .map(Block::paragraph)
        .collect();
    blocks.extend(curve_picture(view).map(Block::Picture));
    blocks.extend(page::blocks(&[document::Block::Table(table(view))]));
    blocks.push(Block::paragraph(
        "Square: the manual's meter. Discs: meters of the bench, with the expanded uncertainty (95 %) as an upright \
         stroke. Crosses: common classes of meter, each on the range it would be read on. Tinted: what the manual's \
         tolerance allows, carried to each resistance.",
    ));
    Document {
        title: clean(&heading::title(view.job)),
        subtitle: format!("Reading over the resistance of the meter: {place}"),
        blocks,
        ..Document::default()
    }
}
