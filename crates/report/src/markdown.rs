//! Blocks set as Markdown (CommonMark with pipe tables).
//!
//! Every text of the job is escaped, so that `B+|<x>*` shows as it was written.

use crate::clean::clean;
use crate::document::Block;
use crate::table::{Align, Table};

/// The blocks, an empty line between them.
pub(crate) fn render(blocks: &[Block]) -> String {
    let set: Vec<String> = blocks.iter().map(block).collect();
    set.join("\n")
}

fn block(block: &Block) -> String {
    match block {
        Block::Title(title) => format!("# {}\n", escape(title)),
        Block::Caption(caption) => format!("## {}\n", escape(caption)),
        Block::Lines(lines) => lines
            .iter()
            .map(|line| format!("- {}\n", escape(line)))
            .collect(),
        Block::Drawing(lines) => format!("```\n{}\n```\n", clean_lines(lines)),
        Block::Table(model) => table(model),
    }
}

/// Lines of a picture, which a fence keeps as they are.
fn clean_lines(lines: &[String]) -> String {
    let lines: Vec<String> = lines.iter().map(|line| clean(line)).collect();
    lines.join("\n")
}

fn table(model: &Table) -> String {
    let heads: Vec<String> = model
        .columns
        .iter()
        .map(|column| {
            let head = escape(&column.head);
            match column.unit.is_empty() {
                true => head,
                false => format!("{head} ({})", escape(&column.unit)),
            }
        })
        .collect();
    let rules: Vec<String> = model
        .columns
        .iter()
        .map(|column| match column.align {
            Align::Left => "---".to_owned(),
            Align::Right | Align::Decimal | Align::Limits => "---:".to_owned(),
        })
        .collect();
    let rows = model.rows.iter().map(|row| {
        row.iter()
            .map(|cell| escape(&cell.text))
            .collect::<Vec<_>>()
    });
    [heads, rules]
        .into_iter()
        .chain(rows)
        .map(|cells| format!("| {} |\n", cells.join(" | ")))
        .collect()
}

/// The text with a backslash before every sign that Markdown may take for its own.
pub(crate) fn escape(text: &str) -> String {
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
