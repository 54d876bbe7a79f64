//! The sockets as rows: a line for each pin and each of its conditions.

use super::drawn::{none, rows_key, title, value, word};
use super::pins::{contacts, Told};
use super::seats::seats;
use crate::clean::clean;
use crate::csv_text::CsvTable;
use crate::document::Block;
use crate::live_chassis::live_chassis;
use crate::table::{Align, Cell, Column, Table};
use crate::views::WorksheetView;

/// A table for each socket.
pub(crate) fn blocks(view: &WorksheetView<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Title(title(view.job))];
    blocks.extend(live_chassis(view.job));
    let seats = seats(view.job);
    if seats.is_empty() {
        blocks.push(Block::Lines(vec![none(view.job)]));
        return blocks;
    }
    blocks.push(Block::Lines(vec![rows_key(view)]));
    for seat in &seats {
        let columns = vec![
            Column::new("pin", "", Align::Right),
            Column::new("", "", Align::Left),
            Column::new("leads to", "", Align::Left),
            Column::new("shows", "", Align::Left),
            Column::new("limits", "", Align::Left),
            Column::new("read", "", Align::Left),
            Column::new("verdict", "", Align::Left),
            Column::new("when", "", Align::Left),
        ];
        let mut rows = Vec::new();
        for contact in contacts(view, seat) {
            let common = contact.common.iter();
            let electrode = common.fold(contact.place.electrode.clone(), |electrode, common| {
                format!("{electrode}: {common}")
            });
            let start = [
                contact.place.name.clone(),
                contact.mark.to_owned(),
                electrode,
            ];
            if contact.told.is_empty() {
                rows.push(line(start, [const { String::new() }; 5]));
                continue;
            }
            for (n, told) in contact.told.iter().enumerate() {
                let start = match n {
                    0 => start.clone(),
                    _ => [const { String::new() }; 3],
                };
                rows.push(line(start, cells(told)));
            }
        }
        let name = format!("{} {}", clean(seat.name), clean(seat.type_name));
        blocks.push(Block::Caption(name));
        blocks.push(Block::Table(Table { columns, rows }));
    }
    blocks
}

fn cells(told: &Told) -> [String; 5] {
    [
        value(told),
        told.limits.clone(),
        told.read.clone(),
        told.verdict
            .map_or(String::new(), |verdict| word(verdict).to_owned()),
        told.conditions.clone(),
    ]
}

fn line(start: [String; 3], more: [String; 5]) -> Vec<Cell> {
    start.into_iter().chain(more).map(Cell::from).collect()
}

/// The same for a spreadsheet.
pub(crate) fn csv(view: &WorksheetView<'_>) -> CsvTable {
    let mut rows = Vec::new();
    for seat in &seats(view.job) {
        for contact in contacts(view, seat) {
            for told in &contact.told {
                let [_, limits, read, verdict, conditions] = cells(told);
                rows.push(vec![
                    view.job.folder.clone(),
                    seat.name.to_owned(),
                    seat.type_name.to_owned(),
                    contact.place.name.clone(),
                    contact.place.electrode.clone(),
                    contact.mark.to_owned(),
                    told.point.clone(),
                    conditions,
                    told.value.clone(),
                    if told.as_printed {
                        "as printed"
                    } else {
                        "carried over"
                    }
                    .to_owned(),
                    limits,
                    read,
                    verdict,
                ]);
            }
        }
    }
    let heads = "job,socket,type,pin,leads to,danger,point,conditions,shows (V),how,limits (V),\
         read,verdict";
    CsvTable::listed(heads, rows)
}
