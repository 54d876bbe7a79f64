//! The tags for reader programs: the tree of headings, paragraphs, lists, tables and pictures.
//!
//! What it owns: how the parts of a block are nested. What comes in: parts in reading order, each with the name
//! that the file gives its shapes. What goes out: the tree that the file format wants. Not known here: where
//! anything stands. Block and part numbers come from `layout`.

use std::num::{NonZeroU16, NonZeroU32};

use krilla::tagging::{Identifier, ListNumbering, Node, TableHeaderScope, Tag, TagGroup, TagTree};

use crate::layout::SpokenPart;

/// A part of a block, and the name of its shapes in the file.
pub(crate) type Named = (usize, SpokenPart, Identifier);

/// The tree of a document. Parts of one block may stand on several pages.
pub(crate) fn tree(named: Vec<Named>) -> TagTree {
    let mut blocks: Vec<(usize, Vec<(SpokenPart, Identifier)>)> = Vec::new();
    for (number, part, id) in named {
        match blocks.last_mut() {
            Some((last, parts)) if *last == number => parts.push((part, id)),
            _ => blocks.push((number, vec![(part, id)])),
        }
    }
    let mut tree = TagTree::new().with_lang(Some("en".to_owned()));
    for (_, parts) in blocks {
        for group in block(parts) {
            tree.push(group);
        }
    }
    tree
}

fn block(parts: Vec<(SpokenPart, Identifier)>) -> Vec<TagGroup> {
    let is = |wanted: fn(&SpokenPart) -> bool| parts.iter().any(|(part, _)| wanted(part));
    if is(|part| matches!(part, SpokenPart::ColumnHead(_) | SpokenPart::Caption)) {
        return vec![table(parts)];
    }
    if is(|part| matches!(part, SpokenPart::Label(_) | SpokenPart::Item(_))) {
        return vec![list(parts)];
    }
    let mut groups: Vec<(SpokenPart, TagGroup)> = Vec::new();
    for (part, id) in parts {
        match groups.last_mut() {
            Some((last, group)) if *last == part => group.push(id),
            _ => {
                let mut group = plain(&part);
                group.push(id);
                groups.push((part, group));
            }
        }
    }
    groups.into_iter().map(|(_, group)| group).collect()
}

/// What a part is that stands alone.
fn plain(part: &SpokenPart) -> TagGroup {
    match part {
        SpokenPart::Title => heading(1, None),
        // The title of the document is the heading of the first rank.
        SpokenPart::Heading(level, words) => heading(u16::from(*level) + 1, Some(words.clone())),
        SpokenPart::Figure(alt)
        | SpokenPart::CellFigure(_, _, alt)
        | SpokenPart::WritingBox(_, _, alt) => TagGroup::new(Tag::Figure(Some(alt.to_string()))),
        _ => TagGroup::new(Tag::P),
    }
}

fn heading(level: u16, words: Option<String>) -> TagGroup {
    let level = NonZeroU16::new(level).unwrap_or(NonZeroU16::MIN);
    TagGroup::new(Tag::Hn(level, words))
}

fn list(parts: Vec<(SpokenPart, Identifier)>) -> TagGroup {
    let mut items: Vec<(usize, Vec<Node>, Vec<Node>)> = Vec::new();
    for (part, id) in parts {
        let (n, is_label) = match part {
            SpokenPart::Label(n) => (n, true),
            SpokenPart::Item(n) => (n, false),
            _ => continue,
        };
        let place = items.iter().position(|(own, ..)| *own == n);
        let place = place.unwrap_or_else(|| {
            items.push((n, Vec::new(), Vec::new()));
            items.len() - 1
        });
        if let Some((_, labels, bodies)) = items.get_mut(place) {
            match is_label {
                true => labels.push(id.into()),
                false => bodies.push(id.into()),
            }
        }
    }
    // Pairs in two columns come line by line and are read down the left column first.
    items.sort_by_key(|(n, ..)| *n);
    let mut group = TagGroup::new(Tag::L(ListNumbering::None));
    for (_, labels, bodies) in items {
        let mut item = TagGroup::new(Tag::LI);
        item.push(TagGroup::with_children(Tag::Lbl, labels));
        item.push(TagGroup::with_children(Tag::LBody, bodies));
        group.push(item);
    }
    group
}

/// The cells of one row, by column; a heading across all columns stands alone.
enum Line {
    Group(Vec<Node>),
    Cells(Vec<(usize, Vec<Node>)>),
}

fn table(parts: Vec<(SpokenPart, Identifier)>) -> TagGroup {
    let mut caption = Vec::new();
    let mut heads: Vec<(usize, Vec<Node>)> = Vec::new();
    let mut rows: Vec<(usize, Line)> = Vec::new();
    for (part, id) in parts {
        let alone = match &part {
            SpokenPart::WritingBox(..) | SpokenPart::CellFigure(..) => {
                let mut figure = plain(&part);
                figure.push(id);
                Node::from(figure)
            }
            _ => id.into(),
        };
        match part {
            SpokenPart::Caption => caption.push(alone),
            SpokenPart::ColumnHead(column) => put(&mut heads, column, alone),
            SpokenPart::Group(row) => match rows.last_mut() {
                Some((last, Line::Group(nodes))) if *last == row => nodes.push(alone),
                _ => rows.push((row, Line::Group(vec![alone]))),
            },
            SpokenPart::Cell(row, column)
            | SpokenPart::WritingBox(row, column, _)
            | SpokenPart::CellFigure(row, column, _) => match rows.last_mut() {
                Some((last, Line::Cells(cells))) if *last == row => put(cells, column, alone),
                _ => rows.push((row, Line::Cells(vec![(column, vec![alone])]))),
            },
            _ => {}
        }
    }
    let columns = heads.len().max(1);
    let mut group = TagGroup::new(Tag::Table);
    if !caption.is_empty() {
        group.push(TagGroup::with_children(Tag::Caption, caption));
    }
    if !heads.is_empty() {
        let mut line = TagGroup::new(Tag::TR);
        heads.sort_by_key(|(column, _)| *column);
        for (_, nodes) in heads {
            line.push(TagGroup::with_children(
                Tag::TH(TableHeaderScope::Column),
                nodes,
            ));
        }
        group.push(TagGroup::with_children(Tag::THead, vec![line.into()]));
    }
    let body: Vec<Node> = rows
        .into_iter()
        .map(|(_, line)| row(line, columns).into())
        .collect();
    if !body.is_empty() {
        group.push(TagGroup::with_children(Tag::TBody, body));
    }
    group
}

fn put(cells: &mut Vec<(usize, Vec<Node>)>, column: usize, node: Node) {
    match cells.iter_mut().find(|(own, _)| *own == column) {
        Some((_, nodes)) => nodes.push(node),
        None => cells.push((column, vec![node])),
    }
}

/// A row of the body; its first cell is what the row is about.
fn row(line: Line, columns: usize) -> TagGroup {
    let mut group = TagGroup::new(Tag::TR);
    match line {
        Line::Group(nodes) => {
            let across = u32::try_from(columns).ok().and_then(NonZeroU32::new);
            let head = Tag::TH(TableHeaderScope::Both).with_col_span(across);
            group.push(TagGroup::with_children(head, nodes));
        }
        Line::Cells(mut cells) => {
            cells.sort_by_key(|(column, _)| *column);
            for (column, nodes) in cells {
                group.push(match column {
                    0 => TagGroup::with_children(Tag::TH(TableHeaderScope::Row), nodes),
                    _ => TagGroup::with_children(Tag::TD, nodes),
                });
            }
        }
    }
    group
}
