//! A document as one HTML page.
//!
//! What it owns: the elements each block becomes. What comes in: a document. What goes out: one file without
//! scripts and without anything to be fetched, well-formed as HTML and as XML. Not known here: where
//! pages end, which the browser decides when it prints.

mod style;
mod table;

use maud::{html, Markup, PreEscaped};

use crate::document::{Block, Document, PRODUCER};
use crate::font::{drawable_text as clean, Weight};
use crate::layout::sign;
use crate::picture::Picture;
use crate::svg::inside;
use crate::text::Text;

/// The document as one HTML file.
#[must_use]
pub fn html(document: &Document) -> String {
    let running = &document.running;
    let page = html! {
        html xmlns="http://www.w3.org/1999/xhtml" lang="en" {
            head {
                // Written out, because the closing slash keeps the file well-formed as XML too.
                (PreEscaped("<meta charset=\"utf-8\"/>"))
                (PreEscaped("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\"/>"))
                title { (clean(&document.title)) }
                (named("generator", PRODUCER))
                (named("author", &document.author))
                (named("description", &document.subject))
                (named("color-scheme", "light dark"))
                style { (PreEscaped(style::css())) (PreEscaped(style::turned(document.orientation))) }
            }
            body {
                header {
                    @if !(running.left.is_empty() && running.right.is_empty()) {
                        div class="running" { span { (clean(&running.left)) } span { (clean(&running.right)) } }
                    }
                    h1 class="title" { (clean(&document.title)) }
                    @if !document.subtitle.is_empty() { p class="subtitle" { (clean(&document.subtitle)) } }
                }
                main { (blocks(&document.blocks)) }
                @if !running.foot.is_empty() { footer { (clean(&running.foot)) } }
            }
        }
    };
    format!("<!DOCTYPE html>\n{}\n", page.into_string())
}

/// A `meta` element, or nothing without content.
fn named(name: &str, content: &str) -> Markup {
    if content.is_empty() {
        return Markup::default();
    }
    let content = html! { (clean(content)) }.into_string();
    PreEscaped(format!("<meta name=\"{name}\" content=\"{content}\"/>"))
}

/// Blocks from one heading of the highest rank to the next form a section.
fn blocks(all: &[Block]) -> Markup {
    let starts = |block: &Block| matches!(block, Block::Heading { level: 1, .. });
    let mut sections: Vec<Vec<Markup>> = vec![Vec::new()];
    let mut new_page = false;
    let mut headings = Headings::default();
    for block in all {
        if *block == Block::PageBreak {
            new_page = true;
            continue;
        }
        if starts(block) {
            sections.push(Vec::new());
        }
        let markup = if new_page {
            html! { div class="newpage" { (one(block, &mut headings)) } }
        } else {
            one(block, &mut headings)
        };
        new_page = false;
        if let Some(section) = sections.last_mut() {
            section.push(markup);
        }
    }
    html! {
        @for section in sections.iter().filter(|section| !section.is_empty()) {
            section { @for markup in section { (markup) } }
        }
    }
}

/// The headings so far; the last of them names a table without a caption.
#[derive(Default)]
struct Headings(usize);

impl Headings {
    /// The name of the next heading.
    fn next(&mut self) -> String {
        self.0 += 1;
        self.last().unwrap_or_default()
    }

    /// The name of the last one.
    fn last(&self) -> Option<String> {
        (self.0 > 0).then(|| format!("h{}", self.0))
    }
}

fn one(block: &Block, headings: &mut Headings) -> Markup {
    match block {
        // The title is the h1 of the page, so headings begin one rank lower.
        Block::Heading { level: 1, text } => html! { h2 id=(headings.next()) { (clean(text)) } },
        Block::Heading { level: 2, text } => html! { h3 id=(headings.next()) { (clean(text)) } },
        Block::Heading { text, .. } => html! { h4 id=(headings.next()) { (clean(text)) } },
        Block::Paragraph(words) => html! { p { (text(words)) } },
        Block::Lead(words) => html! { p class="lead" { (text(words)) } },
        Block::Numbered(items) => html! { ol { @for item in items { li { (text(item)) } } } },
        Block::Caution { lead, body } => caution(lead, body),
        Block::Facts(pairs) => html! {
            dl class="facts" {
                @for (label, value) in pairs { div { dt { (clean(label)) } dd { (text(value)) } } }
            }
        },
        Block::Table(content) => table::table(content, headings.last().as_deref()),
        Block::Picture(content) => figure(content),
        Block::Pictures(all) => {
            html! { div class="pictures" { @for one in all { (figure(one)) } } }
        }
        Block::PageBreak => Markup::default(),
        Block::KeepTogether(inner) => {
            html! { div class="keep" { @for block in inner { (one(block, headings)) } } }
        }
        Block::WriteLines { label, lines } => html! {
            div class="write" {
                @if !label.is_empty() { p { b { (clean(label)) } } }
                @for n in 0..*lines {
                    div class="line" role="img" aria-label=(format!("line to write on, {} of {lines}", n + 1)) {}
                }
            }
        },
    }
}

/// A picture with its width, below which the style sheet does not shrink it much.
fn figure(content: &Picture) -> Markup {
    let width = format!("--w:{:.0}pt", content.width.max(0.0));
    html! { figure style=(width) { (picture(content)) } }
}

/// A text with its bold runs; a line feed becomes a new line.
fn text(words: &Text) -> Markup {
    let run = |words: &str| {
        html! {
            @for (n, line) in words.split('\n').enumerate() {
                @if n > 0 { (PreEscaped("<br/>")) }
                (clean(line))
            }
        }
    };
    html! {
        @for piece in &words.runs {
            @match piece.weight {
                Weight::Bold => b { (run(&piece.text)) },
                Weight::Regular => (run(&piece.text)),
            }
        }
    }
}

fn caution(lead: &str, body: &Text) -> Markup {
    html! {
        aside class="note caution" aria-label="Caution" {
            div class="sign" { (picture(&sign())) }
            div {
                p {
                    @if !lead.is_empty() { b { (clean(lead)) } " " }
                    (text(body))
                }
            }
        }
    }
}

fn picture(content: &Picture) -> Markup {
    PreEscaped(inside(content))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn parsed(blocks: Vec<Block>, check: impl Fn(&roxmltree::Document<'_>)) {
        let document = Document {
            title: "A < B & C".into(),
            author: "\"N\" & M".into(),
            blocks,
            ..Document::default()
        };
        let written = html(&document);
        let options = roxmltree::ParsingOptions {
            allow_dtd: true,
            ..roxmltree::ParsingOptions::default()
        };
        check(&roxmltree::Document::parse_with_options(&written, options).unwrap());
    }

    fn all_of(tree: &roxmltree::Document<'_>, name: &str) -> Vec<String> {
        let words = |node: roxmltree::Node<'_, '_>| {
            node.descendants()
                .filter_map(|n| n.text().filter(|_| n.is_text()))
                .collect()
        };
        tree.descendants()
            .filter(|n| n.tag_name().name() == name)
            .map(words)
            .collect()
    }

    #[test]
    fn text_is_escaped_and_signs_survive() {
        let words = Text::from("a<b>&c | Ω µ − ±\u{2}").bold("Δ\nnext");
        parsed(vec![Block::Paragraph(words)], |tree| {
            assert_eq!(all_of(tree, "p"), ["a<b>&c | Ω µ − ± Δnext"]);
            assert_eq!(all_of(tree, "br").len(), 1);
            assert_eq!(all_of(tree, "h1"), ["A < B & C"]);
            assert_eq!(tree.root_element().attribute("lang"), Some("en"));
            assert!(all_of(tree, "script").is_empty());
        });
    }

    #[test]
    fn sections_begin_at_the_highest_headings() {
        let blocks = vec![
            Block::paragraph("before"),
            Block::heading(1, "One"),
            Block::PageBreak,
            Block::heading(2, "One a"),
            Block::heading(1, "Two"),
        ];
        parsed(blocks, |tree| {
            assert_eq!(all_of(tree, "section"), ["before", "OneOne a", "Two"]);
            assert_eq!(all_of(tree, "h3"), ["One a"]);
        });
    }

    #[test]
    fn every_block_is_well_formed() {
        let blocks = vec![
            Block::Numbered(vec!["one".into(), "two".into()]),
            Block::Pictures(vec![Picture::new(10.0, 10.0, "dot"); 2]),
            Block::Caution {
                lead: "Danger:".into(),
                body: "300 V".into(),
            },
            Block::Facts(vec![("Set".into(), "hut".into())]),
            Block::Picture(Picture::new(10.0, 10.0, "dot")),
            Block::KeepTogether(vec![Block::paragraph("kept")]),
            Block::WriteLines {
                label: "Notes".into(),
                lines: 3,
            },
        ];
        parsed(blocks, |tree| {
            assert_eq!(all_of(tree, "li"), ["one", "two"]);
            assert_eq!(all_of(tree, "dd"), ["hut"]);
            // The sign of the caution, a picture, and two side by side.
            assert_eq!(all_of(tree, "svg").len(), 4);
        });
    }
}
