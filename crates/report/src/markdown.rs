//! Blocks set as Markdown (CommonMark with pipe tables).
//!
//! Every text of the job is escaped, so that `B+|<x>*` shows as it was written.

use crate::clean::clean;
use crate::document::{Block, Card};
use crate::table::{group, Align, Cell, Kind, Table};

/// A line to write on.
const BLANK: &str = "\\_\\_\\_\\_\\_\\_\\_\\_";

/// The blocks, an empty line between them.
pub(crate) fn render(blocks: &[Block]) -> String {
    let set = blocks.iter().map(block).filter(|text| !text.is_empty());
    set.collect::<Vec<_>>().join("\n")
}

fn block(block: &Block) -> String {
    let list = |lines: &[String]| -> String {
        let lines = lines.iter().map(|line| format!("- {}\n", escape(line)));
        lines.collect()
    };
    match block {
        Block::Title(title) => format!("# {}\n", escape(title)),
        Block::Headline(headline) => format!("**{}**\n", escape(&headline.text)),
        Block::Caption(caption) => format!("## {}\n", escape(caption)),
        Block::Lines(lines) | Block::Notes(lines) => list(lines),
        Block::Numbered(lines) => {
            let numbered = lines.iter().enumerate();
            let line = |(n, line): (usize, &String)| format!("{}. {}\n", n + 1, escape(line));
            numbered.map(line).collect()
        }
        Block::Cards(cards) => cards.iter().map(card).collect(),
        Block::Danger(lead, words) if lead.is_empty() => format!("**{}**\n", escape(words)),
        Block::Danger(lead, words) => format!("**{}.** {}\n", escape(lead), escape(words)),
        Block::Facts(pairs) => {
            let line = |(label, value): &(String, String)| match value.as_str() {
                "" => format!("- {}: {BLANK}{BLANK}\n", escape(label)),
                value => format!("- {}: {}\n", escape(label), escape(value)),
            };
            pairs.iter().map(line).collect()
        }
        Block::Drawing(lines) => {
            // A fence keeps them as they are.
            let lines: Vec<String> = lines.iter().map(|line| clean(line)).collect();
            format!("```\n{}\n```\n", lines.join("\n"))
        }
        Block::Table(model) => table(model),
        Block::Picture(_) | Block::Pictures(_) => String::new(),
        Block::WriteLines(count) => format!("{BLANK}{BLANK}{BLANK}\n\n").repeat(*count),
        Block::Next(words) => format!("**Next:** {}\n", escape(words)),
    }
}

fn card(card: &Card) -> String {
    let label = match escape(&card.label) {
        label if label.is_empty() => label,
        label => format!("**{label}** "),
    };
    let lines = card
        .lines
        .iter()
        .map(|line| format!("  - {}\n", escape(line)));
    let lines: String = lines.collect();
    format!("- {label}{}\n{lines}", escape(&card.head))
}

/// A table; each group of rows is one of its own, under its heading.
fn table(model: &Table) -> String {
    let mut text = String::new();
    let mut rows: Vec<Vec<String>> = Vec::new();
    for row in &model.rows {
        match group(row) {
            None => rows.push(row.iter().map(cell).collect()),
            Some(own) => {
                text.push_str(&grid(model, &std::mem::take(&mut rows)));
                text.push_str(&format!("{}### {}\n\n", gap(&text), escape(&own.text)));
            }
        }
    }
    text.push_str(&grid(model, &rows));
    text
}

fn gap(text: &str) -> &'static str {
    match text.is_empty() {
        true => "",
        false => "\n",
    }
}

fn cell(cell: &Cell) -> String {
    let text = match (cell.kind, cell.text.as_str()) {
        (Kind::Box, "") => BLANK.to_owned(),
        (_, text) => escape(text),
    };
    match (text.as_str(), cell.under.as_str()) {
        (_, "") => text,
        ("", under) => escape(under),
        (text, under) => format!("{text}; {}", escape(under)),
    }
}

fn grid(model: &Table, rows: &[Vec<String>]) -> String {
    if rows.is_empty() {
        return String::new();
    }
    let heads = model.columns.iter().map(|column| {
        let head = escape(&column.head);
        match column.unit.is_empty() {
            true => head,
            false => format!("{head} ({})", escape(&column.unit)),
        }
    });
    let rules = model.columns.iter().map(|column| match column.align {
        Align::Left => "---".to_owned(),
        Align::Right | Align::Decimal | Align::Limits => "---:".to_owned(),
    });
    [heads.collect(), rules.collect::<Vec<_>>()]
        .iter()
        .chain(rows)
        .map(|cells| format!("| {} |\n", cells.join(" | ")))
        .collect()
}

/// The text with a backslash before every sign that Markdown may take for its own.
fn escape(text: &str) -> String {
    let mut escaped = String::with_capacity(text.len());
    for c in clean(text).chars() {
        match c {
            '\\' | '|' | '<' | '>' | '*' | '_' | '`' | '[' | ']' | '#' | '&' | '~' | '$' => {
                escaped.push('\\');
                escaped.push(c);
            }
            '\u{a0}' => escaped.push(' '),
            _ => escaped.push(c),
        }
    }
    escaped.trim().to_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Cell, Column};

    #[test]
    fn signs_of_the_markup_are_escaped_and_letters_are_not() {
        assert_eq!(
            escape("a|b <c> *d* `e` _f_ [g] & ~h \\ 4.7 kΩ"),
            "a\\|b \\<c\\> \\*d\\* \\`e\\` \\_f\\_ \\[g\\] \\& \\~h \\\\ 4.7 kΩ"
        );
    }

    #[test]
    fn a_table_keeps_its_columns() {
        let model = Table {
            columns: vec![
                Column::new("point", "", Align::Left),
                Column::new("manual", "V", Align::Decimal),
            ],
            rows: vec![vec![Cell::from("a|b"), Cell::from("145")]],
        };
        let want = "| point | manual (V) |\n| --- | ---: |\n| a\\|b | 145 |\n";
        assert_eq!(table(&model), want);
    }
}
