//! Blocks set for pages: HTML and PDF through the crate `paper`.
//!
//! Finished blocks come in, blocks of a document with pages go out. Nothing is rounded here.

use paper::Text;

use crate::clean::clean;
use crate::document::{Block, Card};
use crate::labels;
use crate::page_table::table;
use crate::wrap::glue;

/// Letters of a title that fit at the head of every page beside what else stands there.
const RUNNING_TITLE: usize = 60;

/// A blank to fill in.
const BLANK: &str = "________________________";

/// Blocks of a report as blocks of a document. A caption stays with the block below it; so does a line
/// that ends in a colon, and what is said before small pictures. What is to be filled in below lines to
/// write on stays with them.
pub(crate) fn blocks(blocks: &[Block]) -> Vec<paper::Block> {
    let mut whole = Vec::new();
    for (n, block) in blocks.iter().enumerate() {
        let mut own = set(block);
        match (block, blocks.get(n + 1)) {
            (Block::Lines(lines), Some(next)) if leads(lines, next) => {
                if let Some(paper::Block::Paragraph(text)) = own.pop() {
                    own.push(paper::Block::Lead(text));
                }
            }
            (Block::Facts(_), _) if n > 0 && matches!(blocks[n - 1], Block::WriteLines(_)) => {
                let lines = whole.pop();
                own = vec![paper::Block::KeepTogether(
                    lines.into_iter().chain(own).collect(),
                )];
            }
            _ => {}
        }
        whole.extend(own);
    }
    whole
}

/// Whether the last of these lines says nothing without the block after it.
fn leads(lines: &[String], next: &Block) -> bool {
    matches!(next, Block::Pictures(_)) || lines.last().is_some_and(|line| line.ends_with(':'))
}

fn set(block: &Block) -> Vec<paper::Block> {
    let paragraph = |line: &String| paper::Block::paragraph(words(line));
    match block {
        Block::Title(title) => vec![paper::Block::heading(1, words(title))],
        Block::Headline(headline) => vec![paper::Block::heading(1, words(&headline.text))],
        Block::Caption(caption) => vec![paper::Block::heading(2, words(caption))],
        Block::Lines(lines) | Block::Notes(lines) | Block::Drawing(lines) => {
            lines.iter().map(paragraph).collect()
        }
        Block::Numbered(lines) => {
            let lines = lines.iter().map(|line| Text::from(words(line)));
            vec![paper::Block::Numbered(lines.collect())]
        }
        Block::Cards(cards) => cards.iter().map(card).collect(),
        Block::Danger(lead, body) => {
            let lead = match lead.as_str() {
                "" => String::new(),
                lead => format!("{}.", words(lead)),
            };
            let body = Text::from(words(body));
            vec![paper::Block::Caution { lead, body }]
        }
        Block::Facts(pairs) => {
            let pairs = pairs.iter().map(|(label, value)| {
                let value = match value.as_str() {
                    "" => BLANK.to_owned(),
                    value => words(value),
                };
                (words(label), Text::from(value))
            });
            vec![paper::Block::Facts(pairs.collect())]
        }
        Block::Table(model) => vec![paper::Block::Table(table(model))],
        Block::Picture(picture) => vec![paper::Block::Picture(picture.clone())],
        Block::Pictures(pictures) => vec![paper::Block::Pictures(pictures.clone())],
        Block::WriteLines(lines) => vec![paper::Block::WriteLines {
            label: String::new(),
            lines: *lines,
        }],
        Block::Next(step) => {
            let text = Text::default().bold("Next: ").then(words(step));
            vec![paper::Block::Paragraph(text)]
        }
    }
}

/// A card as one paragraph, kept on one page.
fn card(card: &Card) -> paper::Block {
    let label = match words(&card.label) {
        label if label.is_empty() => label,
        label => format!("{label}  "),
    };
    let start = Text::default().bold(format!("{label}{}", words(&card.head)));
    let lines = card.lines.iter();
    let text = lines.fold(start, |text, line| text.then(format!("\n{}", words(line))));
    paper::Block::KeepTogether(vec![paper::Block::Paragraph(text)])
}

/// Words fit for a page: numbers stay with their units.
pub(crate) fn words(text: &str) -> String {
    glue(&clean(text))
}

/// As much of a title as fits at the head of a page.
pub(crate) fn shortened(title: &str) -> String {
    labels::shortened(title, RUNNING_TITLE)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_line_before_pictures_or_with_a_colon_leads_and_blanks_stay_with_the_lines_above() {
        let line = |text: &str| Block::Lines(vec!["first".to_owned(), text.to_owned()]);
        let facts = || Block::Facts(vec![("Date".to_owned(), String::new())]);
        let picture = || Block::Pictures(vec![paper::Picture::default()]);
        let made = blocks(&[
            line("next:"),
            line("plain"),
            facts(),
            line("before"),
            picture(),
            Block::WriteLines(4),
            facts(),
        ]);
        let leads: Vec<&paper::Block> = made
            .iter()
            .filter(|block| matches!(block, paper::Block::Lead(_)))
            .collect();
        let want = ["next:", "before"].map(|text| paper::Block::Lead(text.into()));
        assert_eq!(leads, want.iter().collect::<Vec<_>>());
        let Some(paper::Block::KeepTogether(inner)) = made.last() else {
            panic!("{made:?}");
        };
        assert!(matches!(
            inner[0],
            paper::Block::WriteLines { lines: 4, .. }
        ));
        assert!(matches!(inner[1], paper::Block::Facts(_)));
    }

    #[test]
    fn a_long_title_is_cut_at_the_head_of_the_page_only() {
        let title = "x".repeat(120);
        assert_eq!(shortened(&title).chars().count(), RUNNING_TITLE);
        assert_eq!(shortened("Ωµ <set> & co"), "Ωµ <set> & co");
    }
}
