//! Rows set by hand: what stays in its cell, what goes on.

use super::cell_words::CELL;
use super::row::row;
use super::slot::Slot;
use super::spoken::SpokenPart;
use super::strip::Strip;
use crate::document::{split_at_point, Align, Cell, NamedCell};
use crate::font::text_width;
use crate::picture::{Label, Picture, Shape};

fn slot(left: f64, width: f64, align: Align) -> Slot {
    Slot {
        left,
        width,
        align,
        after_point: None,
    }
}

fn labels(strip: &Strip) -> Vec<&Label> {
    strip.shapes.iter().filter_map(Shape::label).collect()
}

#[test]
fn text_never_leaves_its_cell() {
    let long = "Donaudampfschiffahrtselektrizitätenhauptbetriebswerkbauunterbeamter reads 100.25 V";
    for align in [Align::Left, Align::Right, Align::Centre, Align::Decimal] {
        let slots = [slot(50.0, 40.0, align), slot(90.0, 70.0, align)];
        let cells = [Cell::Text(long.into()), Cell::Value(long.into())];
        for strip in row(&cells, &slots, &[], 0, 600.0) {
            for label in labels(&strip) {
                let (from, to) = (label.at.x, label.at.x + label.width());
                let inside = |s: &Slot| from >= s.left - 1e-6 && to <= s.left + s.width + 1e-6;
                // 1e-6 point: float sums only.
                assert!(slots.iter().any(inside), "{align:?} {from} {to}");
            }
        }
    }
}

#[test]
fn decimal_points_stand_below_each_other() {
    let at = Slot {
        after_point: Some(20.0),
        ..slot(100.0, 80.0, Align::Decimal)
    };
    let points: Vec<f64> = ["1.5", "−120.75", "47", "0.001"]
        .iter()
        .map(|number| {
            let strips = row(&[Cell::from(*number)], &[at], &[], 0, 600.0);
            let label = labels(&strips[0])[0];
            label.at.x + text_width(split_at_point(&label.text).0, label.size, label.weight)
        })
        .collect();
    for point in &points {
        // Float sums only.
        assert!((point - points[0]).abs() <= 1e-6, "{points:?}");
    }
}

#[test]
fn a_row_higher_than_a_page_goes_on() {
    let text = "word ".repeat(400);
    let strips = row(
        &[Cell::from(text.as_str())],
        &[slot(0.0, 60.0, Align::Left)],
        &[],
        0,
        200.0,
    );
    assert!(strips.len() > 1);
    assert!(strips.iter().all(|strip| strip.height <= 200.0));
    let kept: usize = strips
        .iter()
        .flat_map(labels)
        .map(|l| l.text.matches("word").count())
        .sum();
    assert_eq!(kept, 400);
}

#[test]
fn a_box_to_write_in_is_nine_millimetres_high() {
    let strips = row(
        &[Cell::Blank, "x".into()],
        &[slot(0.0, 60.0, Align::Left), slot(60.0, 60.0, Align::Left)],
        &["Found", "V"],
        0,
        600.0,
    );
    let height = strips[0].shapes.iter().find_map(|s| {
        if let Shape::Rectangle { height, .. } = s {
            Some(*height)
        } else {
            None
        }
    });
    // 9 mm is 25.5 points.
    assert!(height.unwrap() >= 25.5);
}

/// A name with a picture, and with details that may take both columns.
fn named(details: &str) -> Cell {
    let mut picture = Picture::new(30.0, 40.0, "socket");
    picture.line((0.0, 0.0), (30.0, 40.0), crate::picture::Pen::rule());
    Cell::Named(NamedCell {
        picture: Some(picture),
        name: "V3 grid".into(),
        details: details.into(),
        span: 2,
    })
}

#[test]
fn a_small_picture_stands_left_of_its_text() {
    let strips = row(
        &[named("")],
        &[slot(50.0, 120.0, Align::Left)],
        &[],
        0,
        600.0,
    );
    assert!(strips[0].height >= 40.0);
    assert!(labels(&strips[0])
        .iter()
        .all(|label| label.at.x >= 50.0 + 30.0));
    let figure = strips[0]
        .spoken
        .iter()
        .find(|(_, part)| matches!(part, SpokenPart::CellFigure(..)));
    assert!(figure.is_some());
}

#[test]
fn details_go_on_below_the_values_and_stop_before_the_boxes() {
    let slots = [
        slot(50.0, 100.0, Align::Left),
        slot(150.0, 80.0, Align::Right),
        slot(230.0, 60.0, Align::Centre),
    ];
    let details = "manual −13.0 V, 20k/V 50 V; set to 200 V; output grid";
    let cells = [named(details), Cell::Value("−18.4".into()), Cell::Blank];
    let strips = row(&cells, &slots, &[], 0, 600.0);
    let all = labels(&strips[0]);
    let value = all.iter().find(|label| label.text == "−18.4").unwrap();
    let small: Vec<_> = all.iter().filter(|l| l.size < CELL.size).collect();
    let most = small.iter().map(|l| l.at.x + l.width());
    let most = most.fold(0.0, f64::max);
    assert!(most > 150.0 && most <= 230.0, "{most}");
    assert!(small.iter().all(|label| label.at.y > value.at.y));
}

#[test]
fn details_higher_than_a_page_go_on() {
    let slots = [slot(0.0, 60.0, Align::Left), slot(60.0, 60.0, Align::Right)];
    let cells = [named(&"word ".repeat(400)), Cell::Value("1".into())];
    let strips = row(&cells, &slots, &[], 0, 200.0);
    assert!(strips.len() > 1);
    assert!(strips.iter().all(|strip| strip.height <= 200.0));
    let kept = strips.iter().flat_map(labels);
    let kept: usize = kept.map(|l| l.text.matches("word").count()).sum();
    assert_eq!(kept, 400);
}
