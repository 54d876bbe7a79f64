//! A table as HTML.
//!
//! What it owns: its elements, and the alignment on the decimal point. What comes in: a table. What goes out:
//! markup. Not known here: colours and margins, which the style sheet holds.

use maud::{html, Markup};

use super::text;
use crate::document::{split_at_point, Align, Cell, Column, Row, Table, Width};
use crate::font::{drawable_text as clean, text_width, Weight};
use crate::text::Text;

/// The table with caption, heading and rows; each group is a table body of its own. Without a caption it is named
/// by the heading with this id. The roles are written out because narrow screens show rows as cards, which reader
/// programs would not recognise as a table.
pub(super) fn table(content: &Table, heading: Option<&str>) -> Markup {
    let count = content.columns.len().max(1);
    let shares = Shares::of(&content.columns);
    let fractions: Vec<f64> = (0..content.columns.len())
        .map(|n| fraction(content, n))
        .collect();
    let named_by = heading.filter(|_| content.caption.is_empty());
    html! {
        table role="table" aria-labelledby=[named_by] {
            @if !content.caption.is_empty() { caption { (clean(&content.caption)) } }
            @if !content.columns.is_empty() {
                colgroup { @for column in &content.columns { (width(column, &shares)) } }
                thead role="rowgroup" {
                    tr role="row" {
                        @for column in &content.columns {
                            th scope="col" role="columnheader" class=(class(column.align)) {
                                (clean(&column.heading))
                                @if !column.unit.is_empty() { span class="unit" { (clean(&column.unit)) } }
                            }
                        }
                    }
                }
            }
            @for (group, rows) in groups(&content.rows) {
                tbody role="rowgroup" {
                    @if let Some(words) = group {
                        tr class="group" role="row" { th scope="rowgroup" role="rowheader" colspan=(count) { (clean(words)) } }
                    }
                    @for cells in rows {
                        tr role="row" {
                            @for (n, column) in content.columns.iter().enumerate() {
                                (cell(
                                    cells.get(n).unwrap_or(&Cell::Empty),
                                    (n, column),
                                    fractions.get(n).copied().unwrap_or(0.0),
                                ))
                            }
                        }
                    }
                }
            }
        }
    }
}

type Group<'a> = (Option<&'a str>, Vec<&'a [Cell]>);

fn groups(rows: &[Row]) -> Vec<Group<'_>> {
    let mut groups: Vec<Group<'_>> = Vec::new();
    for row in rows {
        match row {
            Row::Group(words) => groups.push((Some(words), Vec::new())),
            Row::Cells(cells) => match groups.last_mut() {
                Some((_, rows)) => rows.push(cells),
                None => groups.push((None, vec![cells])),
            },
        }
    }
    groups
}

/// Width of the widest page in points, as the style sheet has it: 62 em of 12 points.
const PAGE: f64 = 744.0;

/// The least that columns without a fixed width take together, of the whole.
const LEAST: f64 = 0.2;

/// How the columns without a fixed width share what the others leave.
struct Shares {
    /// Their part of the widest page.
    part: f64,
    /// The sum of their shares.
    sum: f64,
}

impl Shares {
    fn of(columns: &[Column]) -> Self {
        let fixed: f64 = columns.iter().map(|column| column.width.points()).sum();
        Shares {
            part: (1.0 - fixed / PAGE).max(LEAST),
            sum: columns.iter().map(|column| column.width.share()).sum(),
        }
    }
}

fn width(column: &Column, shares: &Shares) -> Markup {
    let style = match column.width {
        Width::Fixed(points) if points.is_finite() && points > 0.0 => {
            format!("width:{points:.1}pt")
        }
        Width::Share(_) if shares.sum > 0.0 => {
            let percent = 100.0 * shares.part * column.width.share() / shares.sum;
            format!("width:{percent:.1}%")
        }
        _ => "width:auto".to_string(),
    };
    maud::PreEscaped(format!("<col style=\"{style}\"/>"))
}

fn class(align: Align) -> &'static str {
    match align {
        Align::Left => "l",
        Align::Right => "r",
        Align::Centre => "c",
        Align::Decimal => "r d",
    }
}

/// A cell; the first of a row is what the row is about. Each carries the heading of its column for cards.
fn cell(cell: &Cell, (n, column): (usize, &Column), fraction: f64) -> Markup {
    let align = column.align;
    let label = match column.unit.as_str() {
        "" => clean(&column.heading),
        unit => format!("{}, {}", clean(&column.heading), clean(unit)),
    };
    let (more, inner) = match cell {
        Cell::Empty => (" e", Markup::default()),
        Cell::Blank => {
            let words = format!("box to write in: {label}");
            let words = words.trim_end_matches([' ', ':']).to_owned();
            (" blank", html! { div role="img" aria-label=(words) {} })
        }
        Cell::Text(words) => ("", aligned(words, align, fraction)),
        Cell::Value(value) => (
            " v",
            html! { b { (aligned(&value.as_str().into(), align, fraction)) } },
        ),
        Cell::Judged(value, word) => (
            " v",
            html! { b { (clean(value)) } div class="details" { (clean(word)) } },
        ),
        Cell::Named(named) => (
            " p",
            html! {
                @if let Some(picture) = &named.picture { (super::picture(picture)) }
                div {
                    (text(&named.name))
                    @if !named.details.is_empty() { div class="details" { (text(&named.details)) } }
                }
            },
        ),
    };
    // A column of fixed width fits its contents.
    let whole = match column.width {
        Width::Fixed(_) => " n",
        Width::Share(_) => "",
    };
    let class = format!("{}{more}{whole}", class(align));
    let is_head = n == 0 && !matches!(cell, Cell::Empty | Cell::Blank);
    html! {
        @if is_head {
            th scope="row" role="rowheader" class=(class) data-label=(label) { (inner) }
        } @else {
            td role="cell" class=(class) data-label=(label) { (inner) }
        }
    }
}

/// The part after the point stands in a box as wide as the longest one of the column.
fn aligned(words: &Text, align: Align, fraction: f64) -> Markup {
    let plain = words.plain_text();
    let numeric =
        align == Align::Decimal && fraction > 0.0 && plain.contains(|c: char| c.is_ascii_digit());
    if !numeric || words.runs.len() > 1 {
        return text(words);
    }
    let (before, after) = split_at_point(&plain);
    let bold = words
        .runs
        .first()
        .is_some_and(|run| run.weight == Weight::Bold);
    let number = html! { (clean(before)) span class="f" style=(format!("min-width:{fraction:.2}em")) { (clean(after)) } };
    if bold {
        html! { b { (number) } }
    } else {
        number
    }
}

/// Room after the point in parts of the type size; 0 if no number of the column has anything there.
fn fraction(content: &Table, column: usize) -> f64 {
    let cells = content.rows.iter().filter_map(|row| match row {
        Row::Cells(cells) => cells.get(column),
        Row::Group(_) => None,
    });
    let after = |cell: &Cell| match cell {
        Cell::Text(words) => (words.runs.len() == 1).then(|| words.plain_text()),
        Cell::Value(value) | Cell::Judged(value, _) => Some(value.clone()),
        _ => None,
    };
    let numbers = cells
        .filter_map(after)
        .filter(|words| words.contains(|c: char| c.is_ascii_digit()));
    numbers
        .map(|words| text_width(split_at_point(&words).1, 1.0, Weight::Bold))
        .fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sample() -> Table {
        let columns = vec![
            Column::new("Point", Align::Left, 2.0),
            Column::new("Reading", Align::Decimal, 1.0).unit("V"),
        ];
        let mut table = Table::new("Test <points>", columns);
        table.row(vec!["1".into(), "2.25".into()]);
        table.group("Supply & bias");
        table.row(vec!["2".into(), Cell::Value("−250".into())]);
        table.row(vec!["3".into(), Cell::Blank]);
        table.row(vec!["short".into()]);
        table
    }

    #[test]
    fn it_is_well_formed_with_caption_and_scopes() {
        let written = table(&sample(), Some("h1")).into_string();
        let tree = roxmltree::Document::parse(&written).unwrap();
        let count = |name: &str| tree.descendants().filter(|n| n.has_tag_name(name)).count();
        assert_eq!(
            (count("caption"), count("thead"), count("tbody")),
            (1, 1, 2)
        );
        let scopes: Vec<&str> = tree
            .descendants()
            .filter_map(|n| n.attribute("scope"))
            .collect();
        assert_eq!(
            scopes,
            ["col", "col", "row", "rowgroup", "row", "row", "row"]
        );
        // Each of the four rows has one cell besides its head, the short one too.
        assert_eq!(count("td"), 4);
        assert_eq!(
            tree.descendants()
                .filter(|n| n.attribute("aria-label") == Some("box to write in: Reading, V"))
                .count(),
            1
        );
    }

    #[test]
    fn a_table_without_a_caption_goes_by_its_heading() {
        let plain = Table {
            caption: String::new(),
            ..sample()
        };
        let written = table(&plain, Some("h3")).into_string();
        let tree = roxmltree::Document::parse(&written).unwrap();
        assert_eq!(tree.root_element().attribute("aria-labelledby"), Some("h3"));
    }

    #[test]
    fn numbers_of_a_column_share_the_room_after_the_point() {
        let written = table(&sample(), Some("h1")).into_string();
        let tree = roxmltree::Document::parse(&written).unwrap();
        let rooms: Vec<&str> = tree
            .descendants()
            .filter(|n| n.attribute("class") == Some("f"))
            .filter_map(|n| n.attribute("style"))
            .collect();
        assert_eq!(rooms.len(), 2);
        assert_eq!(rooms[0], rooms[1]);
    }
}
