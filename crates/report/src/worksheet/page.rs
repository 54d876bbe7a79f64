//! The sheet as a document with pages, to be printed and written on.
//!
//! The sheet's own model comes in, rounded and in words; a document goes out. It refuses to know
//! the size of the paper and where a page ends.

use paper::{Block, Document, Orientation, Remark, Running, Text};

use crate::clean::clean;
use crate::page;
use crate::remarks;

use super::cautions::LIVE_CHASSIS_MARK;
use super::model::Worksheet;
use super::page_points::points;
use super::page_readings::results;
use super::text::{facts, SUSPECTS};

/// A line to write a few words on.
const BLANK: &str = "________________________";

/// Said above readings that are told one by one.
const OTHERS: &str = "All others pass; each stands in its box.";

/// Lines to write on at the end; every row has room of its own.
const NOTE_LINES: usize = 4;

/// The whole sheet, with pictures of its readings and sockets where there are some.
pub(crate) fn document(sheet: &Worksheet, extras: Vec<Block>) -> Document {
    let title = clean(&sheet.title);
    let mut blocks = Vec::new();
    if let Some(words) = sheet.live_chassis {
        let mark = format!("{LIVE_CHASSIS_MARK}.");
        blocks.push(Block::note(Remark::Caution, mark, words));
    }
    blocks.push(Block::Facts(pairs(sheet)));
    blocks.push(Block::heading(1, "Cautions"));
    blocks.push(Block::Numbered(
        sheet
            .cautions
            .iter()
            .map(|words| Text::from(*words))
            .collect(),
    ));
    blocks.push(Block::paragraph(sheet.marks));
    blocks.push(Block::note(Remark::Caution, "", sheet.deferring));
    blocks.push(Block::heading(1, "Points"));
    blocks.push(Block::Table(points(sheet)));
    blocks.push(Block::paragraph(remarks::BAND));
    blocks.extend(
        sheet
            .box_note
            .iter()
            .chain(&sheet.missing)
            .map(|words| Block::paragraph(clean(words))),
    );
    if let Some(found) = results(sheet) {
        let sums = sheet
            .sums
            .iter()
            .map(|words| Block::paragraph(clean(words)));
        let heading = Block::heading(1, "Readings so far");
        blocks.push(Block::KeepTogether(
            std::iter::once(heading).chain(sums).collect(),
        ));
        if let Some(table) = found.table {
            if found.others > 0 {
                blocks.push(Block::paragraph(OTHERS));
            }
            blocks.push(Block::Table(table));
        }
        blocks.extend(
            sheet
                .words
                .iter()
                .map(|words| Block::paragraph(clean(words))),
        );
    }
    blocks.extend(suspects(sheet));
    blocks.extend(extras);
    blocks.push(Block::KeepTogether(vec![
        Block::heading(1, "Notes"),
        Block::WriteLines {
            label: String::new(),
            lines: NOTE_LINES,
        },
        Block::Facts(vec![
            ("Worked by".to_owned(), BLANK.into()),
            ("Date, signature".to_owned(), BLANK.into()),
        ]),
    ]));
    Document {
        subtitle: "Worksheet for the bench".to_owned(),
        subject: "Worksheet".to_owned(),
        running: Running {
            left: page::shortened(&title),
            right: match sheet.live_chassis {
                Some(_) => format!("!! {LIVE_CHASSIS_MARK}: line potential"),
                None => String::new(),
            },
            foot: "An aid to calculation, not a safety procedure.".to_owned(),
        },
        // Eight columns, three of them to write in.
        orientation: Orientation::Landscape,
        title,
        blocks,
        ..Document::default()
    }
}

/// Who is suspected by the readings so far, and where to probe next.
fn suspects(sheet: &Worksheet) -> Vec<Block> {
    let Some(found) = &sheet.suspects else {
        return Vec::new();
    };
    let paragraph = |words: &String| Block::paragraph(clean(words));
    let mut ranking = vec![Block::heading(1, SUSPECTS)];
    ranking.extend(found.said.iter().map(paragraph));
    let boxed = |words: &String| Block::paragraph(format!("☐ {}", clean(words)));
    ranking.extend(found.ranking.iter().map(boxed));
    let mut blocks = vec![Block::KeepTogether(ranking)];
    if !found.next.is_empty() {
        blocks.push(Block::heading(2, "Next"));
    }
    blocks.extend(next(&found.next));
    blocks
}

/// Places to probe next, the lines of each kept together.
fn next(lines: &[String]) -> Vec<Block> {
    let mut places: Vec<Vec<Block>> = Vec::new();
    for line in lines {
        let block = Block::paragraph(clean(line));
        match places.last_mut() {
            Some(place) if !line.starts_with(|c: char| c.is_ascii_digit()) => place.push(block),
            _ => places.push(vec![block]),
        }
    }
    places.into_iter().map(Block::KeepTogether).collect()
}

/// What stands above the cautions, in pairs; an empty one is to be filled in.
fn pairs(sheet: &Worksheet) -> Vec<(String, Text)> {
    let mut pairs = vec![
        (
            "Set or serial no.".to_owned(),
            match sheet.serial.as_str() {
                "" => BLANK.into(),
                serial => clean(serial).into(),
            },
        ),
        ("Date".to_owned(), BLANK.into()),
    ];
    for fact in facts(sheet) {
        let fact = clean(&fact);
        pairs.push(match fact.split_once(": ") {
            Some((label, words)) => (label.to_owned(), words.into()),
            None => ("Note".to_owned(), fact.into()),
        });
    }
    pairs
}
