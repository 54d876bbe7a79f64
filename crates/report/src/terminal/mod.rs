//! Blocks set for a terminal: at most the given width, words whole, numbers under each other.

mod grid;

use crate::clean::clean;
use crate::document::{Block, Card, Headline};
use crate::format::Terminal;
use crate::tone::Tone;
use crate::wrap::{columns, hanging, wrap};

use grid::table_lines;

/// A blank to fill in.
const BLANK: &str = "____________________";

/// Columns of a line to write on.
const WRITE: usize = 72;

/// The blocks as text, each followed by an empty line but the last.
pub(crate) fn render(blocks: &[Block], on: Terminal) -> String {
    let set = blocks.iter().map(|block| lines_of(block, on));
    let set: Vec<String> = set
        .filter(|lines| !lines.is_empty())
        .map(|lines| join(&lines))
        .collect();
    set.join("\n")
}

/// Lines as text, without blanks at their ends.
fn join(lines: &[String]) -> String {
    lines
        .iter()
        .map(|line| format!("{}\n", line.trim_end()))
        .collect()
}

fn lines_of(block: &Block, on: Terminal) -> Vec<String> {
    let width = on.columns();
    match block {
        Block::Title(title) => ruled(title, "=", width),
        Block::Headline(headline) => answer(headline, on),
        Block::Caption(caption) => ruled(caption, "-", width),
        Block::Lines(lines) | Block::Notes(lines) => {
            lines.iter().flat_map(|line| broken(line, width)).collect()
        }
        Block::Numbered(lines) => {
            let numbered = lines.iter().enumerate();
            let hung =
                |(n, line): (usize, &String)| hanging(&format!("{:>2}. ", n + 1), line, width);
            numbered.flat_map(hung).collect()
        }
        Block::Cards(cards) => card_lines(cards, width),
        Block::Danger(lead, words) => {
            let words = match lead.as_str() {
                "" => words.clone(),
                lead => format!("{lead}. {words}"),
            };
            painted_start(wrap(&words, width), lead, Tone::Bad, on)
        }
        Block::Facts(pairs) => {
            let line = |(label, value): &(String, String)| match value.as_str() {
                "" => vec![format!("{label}: {BLANK}")],
                value => broken(&format!("{label}: {value}"), width),
            };
            pairs.iter().flat_map(line).collect()
        }
        Block::Drawing(lines) => lines.clone(),
        Block::Table(table) => table_lines(table, on),
        Block::Picture(_) | Block::Pictures(_) => Vec::new(),
        Block::WriteLines(count) => {
            let line = "_".repeat(width.min(WRITE));
            (0..*count)
                .flat_map(|_| [String::new(), line.clone()])
                .collect()
        }
        Block::Next(words) => {
            let lines = broken(&format!("Next: {words}"), width);
            painted_start(lines, "Next:", Tone::Strong, on)
        }
    }
}

/// A heading and a rule under it.
fn ruled(heading: &str, rule: &str, width: usize) -> Vec<String> {
    let mut lines = wrap(heading, width);
    let longest = lines.iter().map(|line| columns(line)).max().unwrap_or(0);
    lines.push(rule.repeat(longest));
    lines
}

/// A line broken where it must be, what follows indented.
fn broken(line: &str, width: usize) -> Vec<String> {
    let lines = wrap(line, width - 2).into_iter().enumerate();
    lines
        .map(|(number, line)| match number {
            0 => line,
            _ => format!("  {line}"),
        })
        .collect()
}

fn answer(headline: &Headline, on: Terminal) -> Vec<String> {
    let lines = wrap(&headline.text, on.columns()).into_iter();
    lines
        .map(|line| {
            let tones = headline.tones.iter();
            tones.fold(line, |line, (word, tone)| {
                line.replacen(word, &tone.paint(word, on.colour), 1)
            })
        })
        .collect()
}

fn painted_start(mut lines: Vec<String>, word: &str, tone: Tone, on: Terminal) -> Vec<String> {
    if let Some(first) = lines.first_mut() {
        if let Some(rest) = first.strip_prefix(word) {
            *first = format!("{}{rest}", tone.paint(word, on.colour));
        }
    }
    lines
}

/// Cards with their labels in a column of their own.
fn card_lines(cards: &[Card], width: usize) -> Vec<String> {
    let widths = cards.iter().map(|card| columns(&clean(&card.label)));
    let label = widths.max().unwrap_or(0).min(width / 4);
    let mut lines = Vec::new();
    for card in cards {
        let start = match label {
            0 => String::new(),
            _ => format!("{}  ", crate::wrap::pad_left(&clean(&card.label), label)),
        };
        lines.extend(hanging(&start, &card.head, width));
        let indent = " ".repeat(columns(&start).max(2));
        lines.extend(
            card.lines
                .iter()
                .flat_map(|line| hanging(&indent, line, width)),
        );
    }
    lines
}
