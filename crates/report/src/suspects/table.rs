//! The ranking as a table for people, with what stands above and below it.
//!
//! A view comes in; blocks go out. Faults that no reading tells apart stand under one number.

use diagnose::{Fault, Member, Suspect, Suspects};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::manual;
use crate::table::{Align, Cell, Column, Table};
use crate::views::SuspectsView;

use super::next::next_lines;
use super::notes::notes;
use super::verdict::{kind, points, verdict};
use super::words::suspect_words;

/// Suspects shown, at most and at least; beyond the least only those of this probability.
const MOST: usize = 12;
const FEWEST: usize = 3;
const WORTH_A_LINE: f64 = 0.01;

/// Faults under one number that get a line each, and the share of its probability below which one
/// does not.
const MEMBERS: usize = 6;
const MEMBER_SHARE: f64 = 0.05;

/// Heading, what can be said, the ranking, the next probes and notes of one job.
pub(crate) fn blocks(view: &SuspectsView<'_>) -> Vec<Block> {
    let (job, suspects) = (view.job, view.suspects);
    let mut blocks = heading::blocks(job);
    blocks.extend(manual::heading_block(view.manual));
    blocks.push(Block::Lines(verdict(job, suspects)));
    let table = table(view);
    if !table.rows.is_empty() {
        blocks.push(Block::Caption("Suspects".to_owned()));
        blocks.push(Block::Table(table));
        blocks.extend(rest(suspects).map(|words| Block::Lines(vec![words])));
    }
    let next = next_lines(job, suspects);
    if !next.is_empty() {
        blocks.push(Block::Caption("Where to probe next".to_owned()));
        blocks.push(Block::Lines(next));
    }
    blocks.push(Block::Caption("Notes".to_owned()));
    blocks.push(Block::Lines(notes(view)));
    blocks
}

/// The suspects worth a line, with their places; none without a reading that counts, for then there
/// are only the assumptions, and those say nothing of this set.
pub(crate) fn shown(suspects: &Suspects) -> impl Iterator<Item = (usize, &Suspect)> {
    let most = if suspects.readings.is_empty() {
        0
    } else {
        MOST
    };
    let ranked = suspects.hypotheses.iter().enumerate().take(most);
    ranked.filter(|(rank, suspect)| *rank < FEWEST || suspect.probability >= WORTH_A_LINE)
}

/// What the suspects without a line have together.
fn rest(suspects: &Suspects) -> Option<String> {
    let count = suspects.hypotheses.len() - shown(suspects).count();
    let seen: f64 = shown(suspects).map(|(_, one)| one.probability).sum();
    let all: f64 = suspects.hypotheses.iter().map(|one| one.probability).sum();
    match count {
        0 => None,
        1 => Some(format!(
            "1 more suspect, {} %.",
            figures::probability(all - seen)
        )),
        many => Some(format!(
            "{many} more suspects, {} % together.",
            figures::probability(all - seen)
        )),
    }
}

fn table(view: &SuspectsView<'_>) -> Table {
    let mut columns = vec![
        Column::new("no.", "", Align::Left),
        Column::new("suspect", "", Align::Left),
        Column::new("likely", "%", Align::Right),
    ];
    let odd = odd(view.suspects);
    if odd > 0 {
        columns.push(Column::new("explains", "of the odd", Align::Right));
    }
    columns.push(Column::new("fits", "readings", Align::Right));
    columns.push(Column::new("does not fit", "points", Align::Left));
    let rows = shown(view.suspects).flat_map(|(rank, suspect)| rows_of(view, rank, suspect, odd));
    Table {
        rows: rows.collect(),
        columns,
    }
}

/// How many readings a set in order does not fit.
fn odd(suspects: &Suspects) -> usize {
    let plain = |suspect: &&Suspect| {
        let mut members = suspect.members.iter();
        members.any(|member| kind(member) == Some(Fault::NothingWrong))
    };
    let in_order = suspects.hypotheses.iter().find(plain);
    in_order.map_or(0, |suspect| suspect.unexplained.len())
}

fn rows_of(view: &SuspectsView<'_>, rank: usize, suspect: &Suspect, odd: usize) -> Vec<Vec<Cell>> {
    let used = view.suspects.readings.len();
    let (own, others) = members(suspect);
    let hidden = suspect.members.len() - own.len();
    let mut rows = Vec::new();
    for (place, member) in own.into_iter().enumerate() {
        let words = suspect_words(view.job, member);
        let start = match place {
            0 => [(rank + 1).to_string(), words],
            _ => ["or".to_owned(), words],
        };
        // The first line stands for all of its number.
        let figures = match place {
            0 => [
                figures::probability(suspect.probability),
                format!("{} of {odd}", suspect.explained.len()),
                format!("{} of {used}", used - suspect.unexplained.len()),
                match points(view.job, view.suspects, &suspect.unexplained) {
                    none if none.is_empty() => "none".to_owned(),
                    some => some,
                },
            ],
            _ => [
                figures::probability(member.probability),
                String::new(),
                String::new(),
                String::new(),
            ],
        };
        rows.push(cells(start, figures, odd));
    }
    if hidden > 0 {
        let words = match hidden {
            1 => "one more fault that no reading tells from it".to_owned(),
            many => format!("one of {many} more faults that no reading tells from it"),
        };
        let figures = [
            figures::probability(others),
            String::new(),
            String::new(),
            String::new(),
        ];
        rows.push(cells(["or".to_owned(), words], figures, odd));
    }
    rows
}

/// The members that get a line, and the probability of the others.
fn members(suspect: &Suspect) -> (Vec<&Member>, f64) {
    let own = suspect
        .members
        .iter()
        .enumerate()
        .filter(|(place, member)| {
            let large = member.probability >= MEMBER_SHARE * suspect.probability;
            *place == 0 || (*place < MEMBERS && large)
        });
    let own: Vec<&Member> = own.map(|(_, member)| member).collect();
    let sum: f64 = own.iter().map(|member| member.probability).sum();
    (own, (suspect.probability - sum).max(0.0))
}

fn cells(start: [String; 2], figures: [String; 4], odd: usize) -> Vec<Cell> {
    let [likely, explains, fits, does_not_fit] = figures;
    let explains = (odd > 0).then_some(explains);
    let all = start.into_iter().chain([likely]).chain(explains);
    all.chain([fits, does_not_fit]).map(Cell::from).collect()
}
