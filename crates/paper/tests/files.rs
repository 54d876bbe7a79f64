//! The written PDF file, read back by an independent reader, and the pages it was written from.
#![cfg(feature = "pdf")]

use std::collections::BTreeSet;

use lopdf::Object;
use paper::{
    html, pages, pdf, Align, Block, Cell, Column, Day, Document, Label, Orientation, Page,
    PageSize, Shape, Table,
};

const ROWS: usize = 200;

/// 200 rows in groups of 25, each row with a number that occurs nowhere else.
fn long_table() -> Document {
    let columns = vec![
        Column::new("Socket", Align::Left, 2.0),
        Column::new("Printed", Align::Decimal, 1.0).unit("V"),
        Column::new("Reading", Align::Centre, 1.0).unit("V"),
    ];
    let mut table = Table::new("All sockets", columns);
    for n in 0..ROWS {
        if n % 25 == 0 {
            table.group(format!("Bay {}", n / 25 + 1));
        }
        table.row(vec![
            format!("row{n:03}").into(),
            Cell::Value(format!("{}.5", n)),
            Cell::Blank,
        ]);
    }
    Document {
        title: "Bays < 9 & more".into(),
        date: Some(Day {
            year: 2024,
            month: 5,
            day: 1,
        }),
        blocks: vec![
            Block::heading(1, "Table"),
            Block::Table(table),
            Block::paragraph("10 kΩ ± 5 %, −1.72 V, 47 µF, a|b <c> & d; no glyph: \u{4E2D}"),
        ],
        ..Document::default()
    }
}

fn labels(page: &Page) -> Vec<&Label> {
    page.shapes
        .iter()
        .filter_map(|shape| {
            if let Shape::Text(label) = shape {
                Some(label)
            } else {
                None
            }
        })
        .collect()
}

#[test]
fn every_row_stands_once_below_a_heading_and_above_the_margin() {
    for size in [PageSize::A4, PageSize::Letter] {
        let laid = pages(&long_table(), size);
        assert!(laid.len() > 4);
        let mut seen = BTreeSet::new();
        for page in &laid {
            let words = labels(page);
            let rows: Vec<&&Label> = words
                .iter()
                .filter(|label| label.text.starts_with("row"))
                .collect();
            for row in &rows {
                assert!(seen.insert(row.text.clone()), "{} twice", row.text);
                assert!(
                    row.at.y > size.text_top() && row.at.y < size.text_bottom(),
                    "{row:?}"
                );
            }
            if !rows.is_empty() {
                assert_eq!(
                    words.iter().filter(|label| label.text == "Socket").count(),
                    1
                );
                // The first row of a page stands below the name of its bay, new or continued.
                let first = rows
                    .iter()
                    .map(|row| row.at.y)
                    .fold(f64::INFINITY, f64::min);
                assert!(words
                    .iter()
                    .any(|label| label.text.starts_with("Bay ") && label.at.y < first));
            }
            // A thousandth of a point is far below what can be seen.
            assert!(page.lowest <= size.text_bottom() + 1e-3, "{}", page.lowest);
        }
        assert_eq!(seen.len(), ROWS);
        assert!(laid.iter().any(|page| labels(page)
            .iter()
            .any(|label| label.text.ends_with("… continued"))));
    }
}

#[test]
fn nothing_leaves_the_paper_sideways() {
    let size = PageSize::A4;
    for page in pages(&long_table(), size) {
        for label in labels(&page) {
            let from = label.start().x;
            // Float sums only.
            assert!(from >= size.text_left() - 1e-6, "{label:?}");
            assert!(
                from + label.width() <= size.text_left() + size.text_width() + 1e-6,
                "{label:?}"
            );
        }
    }
}

#[test]
fn a_heading_is_never_the_last_thing_on_a_page() {
    let size = PageSize::A4;
    for filler in 30..50 {
        let mut blocks: Vec<Block> = (0..filler)
            .map(|n| Block::paragraph(format!("line {n}")))
            .collect();
        blocks.push(Block::heading(2, "Heading"));
        blocks.push(Block::paragraph("what follows it"));
        let laid = pages(
            &Document {
                blocks,
                ..Document::default()
            },
            size,
        );
        let place = |text: &str| {
            laid.iter()
                .position(|page| labels(page).iter().any(|label| label.text == text))
        };
        assert!(place("Heading").is_some());
        assert_eq!(place("Heading"), place("what follows it"), "{filler}");
    }
}

/// The file as another reader sees it, and how many pages were laid out for it.
#[test]
fn the_name_of_a_group_is_never_the_last_thing_on_a_page() {
    let across = [Orientation::Portrait, Orientation::Landscape];
    let papers = [PageSize::A4, PageSize::Letter];
    for (orientation, size) in across
        .into_iter()
        .flat_map(|o| papers.map(|size| (o, size)))
    {
        for in_group in 2..24 {
            let columns = vec![
                Column::new("Socket", Align::Left, 2.0),
                Column::new("Reading", Align::Centre, 1.0),
            ];
            let mut table = Table::new("", columns);
            for n in 0..ROWS {
                if n % in_group == 0 {
                    table.group("Bay");
                }
                table.row(vec![format!("row{n:03}").into(), Cell::Blank]);
            }
            let document = Document {
                blocks: vec![Block::Table(table)],
                orientation,
                ..Document::default()
            };
            let laid = pages(&document, size);
            assert!(laid.len() > 4);
            for page in &laid {
                let lowest = |beginning: &str| {
                    let found = labels(page).into_iter();
                    let found = found.filter(|label| label.text.starts_with(beginning));
                    found.map(|label| label.at.y).fold(0.0, f64::max)
                };
                assert!(
                    lowest("Bay") < lowest("row"),
                    "{in_group} on {size:?} {orientation:?}"
                );
            }
        }
    }
}

fn opened(size: PageSize) -> Result<(lopdf::Document, usize), Box<dyn std::error::Error>> {
    let document = long_table();
    let bytes = pdf(&document, size)?;
    Ok((
        lopdf::Document::load_mem(&bytes)?,
        pages(&document, size).len(),
    ))
}

#[test]
fn two_runs_give_the_same_bytes() {
    assert_eq!(
        pdf(&long_table(), PageSize::A4).unwrap(),
        pdf(&long_table(), PageSize::A4).unwrap()
    );
}

#[test]
fn pages_are_counted_and_as_large_as_the_paper() {
    for (size, width, height) in [
        (PageSize::A4, 595.276, 841.890),
        (PageSize::Letter, 612.0, 792.0),
    ] {
        let (file, count) = opened(size).unwrap();
        let found = file.get_pages();
        assert_eq!(found.len(), count);
        for id in found.values() {
            let media = file
                .get_dictionary(*id)
                .and_then(|page| page.get(b"MediaBox"))
                .and_then(Object::as_array)
                .unwrap();
            let numbers: Vec<f32> = media
                .iter()
                .map(|number| number.as_float().unwrap())
                .collect();
            // ISO 216 and the inch give three decimals; the file holds single-precision numbers.
            for (got, want) in numbers.iter().zip([0.0, 0.0, width, height]) {
                assert!((got - want).abs() <= 2e-3, "{numbers:?}");
            }
        }
    }
}

#[test]
fn the_text_can_be_copied_out_of_the_file() {
    let (file, count) = opened(PageSize::A4).unwrap();
    let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
    let text = file.extract_text(&numbers).unwrap();
    for want in [
        "Bays < 9 & more",
        "row000",
        "row199",
        "10 kΩ ± 5 %, −1.72 V, 47 µF, a|b <c> & d",
    ] {
        assert!(text.contains(want), "{want} not in {text}");
    }
    assert!(text.contains(&format!("page {count} of {count}")));
}

#[test]
fn both_faces_are_embedded_as_subsets() {
    let (file, _) = opened(PageSize::A4).unwrap();
    let embedded: Vec<usize> = file
        .objects
        .values()
        .filter_map(|object| object.as_dict().ok())
        .filter(|dictionary| dictionary.has_type(b"FontDescriptor"))
        .filter_map(|descriptor| {
            let keys = [&b"FontFile2"[..], b"FontFile3"];
            let key = keys.into_iter().find(|key| descriptor.has(key))?;
            let stream = file
                .get_object(descriptor.get(key).and_then(Object::as_reference).ok()?)
                .ok()?;
            Some(stream.as_stream().ok()?.content.len())
        })
        .collect();
    assert_eq!(embedded.len(), 2);
    // The whole faces have about 680,000 bytes each; a subset of a few dozen glyphs has a small part of that.
    assert!(
        embedded
            .iter()
            .all(|bytes| *bytes > 500 && *bytes < 100_000),
        "{embedded:?}"
    );
}

#[test]
fn the_file_names_its_title_and_nothing_of_the_machine() {
    let (file, _) = opened(PageSize::A4).unwrap();
    let info = file
        .trailer
        .get(b"Info")
        .and_then(Object::as_reference)
        .and_then(|id| file.get_dictionary(id))
        .unwrap();
    let text = |key: &[u8]| {
        info.get(key)
            .ok()
            .and_then(|value| lopdf::decode_text_string(value).ok())
    };
    assert_eq!(text(b"Title").as_deref(), Some("Bays < 9 & more"));
    assert_eq!(text(b"Producer").as_deref(), Some("fairvolt"));
    assert!(
        text(b"CreationDate").is_some_and(|date| date.starts_with("D:20240501")),
        "{:?}",
        text(b"CreationDate")
    );
    let catalogue = file.catalog().unwrap();
    let language = catalogue
        .get(b"Lang")
        .and_then(|value| value.as_str().map(<[u8]>::to_vec))
        .unwrap();
    assert_eq!(language, b"en");
    assert!(catalogue.has(b"Outlines"));
}

#[test]
fn the_page_for_the_browser_holds_every_row_and_parses_as_xml() {
    let written = html(&long_table());
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    let tree = roxmltree::Document::parse_with_options(&written, options).unwrap();
    let rows = tree
        .descendants()
        .filter(|node| node.is_text() && node.text().is_some_and(|t| t.starts_with("row")));
    assert_eq!(rows.count(), ROWS);
}

/// The kinds of the structure elements of a file, each followed by its children in brackets, and all alternative
/// texts.
fn structure(file: &lopdf::Document) -> lopdf::Result<(String, Vec<String>)> {
    fn walk(file: &lopdf::Document, object: &Object, out: &mut String, alts: &mut Vec<String>) {
        let object = match object {
            Object::Reference(id) => file.get_object(*id).unwrap_or(&Object::Null),
            other => other,
        };
        match object {
            Object::Array(all) => all.iter().for_each(|one| walk(file, one, out, alts)),
            Object::Dictionary(element) => {
                let Ok(kind) = element.get(b"S").and_then(Object::as_name) else {
                    return;
                };
                out.push_str(&String::from_utf8_lossy(kind));
                let alt = element.get(b"Alt").and_then(lopdf::decode_text_string);
                alts.extend(alt);
                out.push('(');
                if let Ok(kids) = element.get(b"K") {
                    walk(file, kids, out, alts);
                }
                out.push(')');
            }
            _ => {}
        }
    }
    let root = file.catalog()?.get(b"StructTreeRoot")?;
    let root = file.get_dictionary(root.as_reference()?)?;
    let (mut out, mut alts) = (String::new(), Vec::new());
    walk(file, root.get(b"K")?, &mut out, &mut alts);
    Ok((out, alts))
}

#[test]
fn the_file_is_tagged_with_headings_table_and_pictures() {
    let mut document = long_table();
    let mut picture = paper::Picture::new(40.0, 20.0, "Socket V1").described("Pin 3 fails.");
    picture.line((0.0, 0.0), (40.0, 20.0), paper::Pen::rule());
    document.blocks.push(Block::Picture(picture));
    document
        .blocks
        .push(Block::Numbered(vec!["one".into(), "two".into()]));
    document.blocks.push(Block::Caution {
        lead: "Danger.".into(),
        body: "300 V".into(),
    });
    let file = lopdf::Document::load_mem(&pdf(&document, PageSize::A4).unwrap()).unwrap();
    let (tree, alts) = structure(&file).unwrap();
    // Title, heading, one table over all pages with its caption, head and rows, the paragraph, the picture, the list.
    assert!(
        tree.starts_with("Document(H1()H2()Table(Caption()THead(TR(TH()TH()TH()))TBody("),
        "{tree}"
    );
    let row = "TR(TH()TD()TD(Figure()))";
    assert_eq!(tree.matches(row).count(), ROWS, "{tree}");
    assert_eq!(tree.matches("Table(").count(), 1);
    let end = "P()Figure()L(LI(Lbl()LBody())LI(Lbl()LBody()))Figure()P())";
    assert!(tree.ends_with(end), "{tree}");
    assert!(
        alts.contains(&"Socket V1. Pin 3 fails.".to_owned()),
        "{alts:?}"
    );
    let boxes = alts.iter().filter(|alt| *alt == "box to write in: Reading");
    assert_eq!(boxes.count(), ROWS);
    let catalogue = file.catalog().unwrap();
    let marked = catalogue
        .get(b"MarkInfo")
        .and_then(Object::as_dict)
        .unwrap();
    assert!(marked.get(b"Marked").and_then(Object::as_bool).unwrap());
}

#[test]
fn words_of_a_wrapped_paragraph_keep_their_spaces_and_their_order() {
    let words: Vec<String> = (0..300).map(|n| format!("word{n}")).collect();
    let document = Document {
        title: "Order".into(),
        blocks: vec![
            Block::paragraph(words[..150].join(" ")),
            Block::heading(1, "Between"),
            Block::paragraph(words[150..].join(" ")),
        ],
        ..Document::default()
    };
    let file = lopdf::Document::load_mem(&pdf(&document, PageSize::A4).unwrap()).unwrap();
    let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
    let text = file.extract_text(&numbers).unwrap();
    let found: Vec<&str> = text
        .split_whitespace()
        .filter(|w| w.starts_with("word"))
        .collect();
    assert_eq!(found, words.iter().map(String::as_str).collect::<Vec<_>>());
    let at = |wanted: &str| text.find(wanted).unwrap();
    assert!(at("word149") < at("Between") && at("Between") < at("word150"));
    // The space at the end of a line is in the file itself, not only where the next line begins.
    for page in pages(&document, PageSize::A4) {
        let ends = labels(&page)
            .into_iter()
            .filter(|label| label.text.contains("word"));
        assert!(ends.filter(|label| label.text.ends_with(' ')).count() > 10);
    }
}
