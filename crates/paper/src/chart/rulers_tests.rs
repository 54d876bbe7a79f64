//! Tests of `rulers`.

use super::*;
use crate::chart::apart::assert_apart;
use crate::picture::Shape;

#[test]
fn a_picture_for_each_ruler_has_the_strokes_of_the_whole_and_the_title_once() {
    let row = |label: &str, value: f64| RulerRow {
        label: label.to_owned(),
        scale: (0.0, 10.0),
        ends: ["0".to_owned(), "10 V".to_owned()],
        stops: vec![RulerStop {
            value,
            words: format!("{value} V"),
            names: vec!["R1 open".to_owned()],
        }],
        ..RulerRow::default()
    };
    let chart = RulerChart {
        title: "Next".to_owned(),
        width: 500.0,
        rows: vec![row("a long name of a place", 2.0), row("b", 7.0)],
        ..RulerChart::default()
    };
    let across = |picture: &Picture| -> Vec<(f64, f64)> {
        let ends = |shape: &Shape| match shape {
            Shape::Line { from, to, .. } => Some((from.x, to.x)),
            _ => None,
        };
        picture.shapes.iter().filter_map(ends).collect()
    };
    let (whole, each) = (chart.picture(), chart.pictures());
    assert_eq!(each.len(), 2);
    let apart: Vec<(f64, f64)> = each.iter().flat_map(across).collect();
    assert_eq!(apart, across(&whole));
    let heights: f64 = each.iter().map(|picture| picture.height).sum();
    // Float sums of a few heights.
    assert!((heights - whole.height).abs() <= 1e-9);
    let said = |picture: &Picture, words: &str| {
        let labels = picture.shapes.iter().filter_map(Shape::label);
        labels.filter(|label| label.text == words).count()
    };
    assert_eq!((said(&each[0], "Next"), said(&each[1], "Next")), (1, 0));
}

fn stop(value: f64, names: &[&str]) -> RulerStop {
    RulerStop {
        value,
        words: format!("{value} V"),
        names: names.iter().map(|name| (*name).to_owned()).collect(),
    }
}

#[test]
fn names_of_close_stops_stand_on_levels_and_inside() {
    let values = [-46.0, -40.0, -39.5, -39.0, 0.0, 0.2, 4.9];
    let names = ["R13 track open", "R13 wiper open, C6 leaky", "PS2 dead"];
    let row = RulerRow {
        label: "1. TP4, the wiper of the bias control".into(),
        below: "point 13".into(),
        scale: (-50.0, 5.0),
        ends: ["−50".into(), "5 V".into()],
        range: Some((-42.0, -36.0)),
        stops: values.iter().map(|v| stop(*v, &names)).collect(),
    };
    let chart = RulerChart {
        title: "Where to probe next".into(),
        subtitle: "grey: set in order".into(),
        width: 500.0,
        rows: vec![row.clone(), row],
        ..RulerChart::default()
    };
    assert_apart(&chart.picture(), "rulers");
}
