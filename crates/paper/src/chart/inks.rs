//! Tests that every ink of every kind of chart is visible.

use super::*;
use crate::font::Weight;
use crate::picture::{Fill, Ink, Label, MarkerKind, Pen, Picture, Shape};

fn axis<'a>(label: &'a dyn Fn(f64) -> String) -> Axis<'a> {
    Axis::new("V", Scale::Linear, (0.0, 10.0), label)
}

fn bars() -> Picture {
    let label = |value: f64| format!("{value}");
    BarChart {
        title: "bars".into(),
        subtitle: "signs".into(),
        description: String::new(),
        width: 300.0,
        axis: axis(&label),
        bars: [Fill::Open, Fill::Flat(Ink::Light), Fill::Hatch(Ink::Dark)]
            .map(|fill| Bar {
                label: "a".into(),
                value: 5.0,
                words: "5".into(),
                fill,
            })
            .to_vec(),
    }
    .picture()
}

fn intervals() -> Picture {
    let label = |value: f64| format!("{value}");
    IntervalChart {
        title: "rows".into(),
        description: String::new(),
        width: 300.0,
        axis: axis(&label),
        reference: Some(5.0),
        rows: vec![
            IntervalRow {
                label: "a".into(),
                interval: Some((2.0, 20.0)),
                mark: Some((4.0, MarkerKind::Circle)),
                limits: Some((1.0, 9.0)),
                note: "b".into(),
            };
            2
        ],
        keys: vec![Key {
            sign: Sign::Limits,
            words: "c".into(),
        }],
    }
    .picture()
}

fn curve() -> Picture {
    let label = |value: f64| format!("{value}");
    CurveChart {
        title: "curve".into(),
        subtitle: "signs".into(),
        description: String::new(),
        size: (300.0, 200.0),
        x: axis(&label),
        y: axis(&label),
        curves: vec![Curve {
            label: "a".into(),
            points: vec![(0.0, 1.0), (10.0, 9.0)],
            pen: Pen::rule(),
        }],
        band: Some(TintedBand {
            low: 2.0,
            high: 3.0,
            label: "b".into(),
        }),
        shade: None,
        marks: vec![Mark {
            x: 3.0,
            label: "c".into(),
        }],
        feet: Feet::default(),
        dots: Vec::new(),
    }
    .picture()
}

fn strip() -> Picture {
    StripChart {
        title: "strip".into(),
        subtitle: "signs".into(),
        width: 400.0,
        rows: vec![StripRow {
            label: "a".into(),
            below: "S1 closed".into(),
            scale: (0.0, 10.0),
            ends: ["0".into(), "10".into()],
            allowed: [Some(2.0), Some(6.0)],
            printed: Some(3.0),
            read: Some(7.0),
            within: 1.0,
            read_words: "7".into(),
            verdict: "FAIL".into(),
            strong: true,
            words: "1 V too high".into(),
            joined: false,
        }],
        ..StripChart::default()
    }
    .picture()
}

fn rulers() -> Picture {
    RulerChart {
        title: "rulers".into(),
        subtitle: "signs".into(),
        width: 400.0,
        rows: vec![RulerRow {
            label: "a".into(),
            scale: (0.0, 10.0),
            range: Some((2.0, 4.0)),
            stops: vec![RulerStop {
                value: 5.0,
                words: "5 V".into(),
                names: vec!["b".into()],
            }],
            ..RulerRow::default()
        }],
        ..RulerChart::default()
    }
    .picture()
}

fn socket() -> Picture {
    Socket {
        title: "socket".into(),
        description: String::new(),
        middle: "8".into(),
        locator: Locator::Key,
        contacts: [State::Plain, State::Doubtful, State::Failing]
            .into_iter()
            .enumerate()
            .map(|(n, state)| SocketContact {
                name: n.to_string(),
                degrees: 60.0 + 90.0 * n as f64,
                state,
                words: vec![("plate".into(), Weight::Bold)],
            })
            .collect(),
    }
    .picture()
}

/// One of each, with all its signs.
fn all() -> [Picture; 6] {
    [bars(), intervals(), curve(), strip(), rulers(), socket()]
}

fn is_visible(ink: Ink) -> bool {
    // What `picture/ink.rs` holds to 3 to 1.
    matches!(ink, Ink::Black | Ink::Dark | Ink::Mid | Ink::Accent)
}

#[test]
fn letters_are_dark_and_at_least_11_points_high() {
    for picture in all() {
        let labels: Vec<&Label> = picture.shapes.iter().filter_map(Shape::label).collect();
        assert!(labels.len() > 2);
        for label in labels {
            assert!(label.size >= 11.0, "{label:?}");
            // White letters stand on a black disc only.
            let on_disc = picture.shapes.iter().any(|shape| {
                matches!(shape, Shape::Circle { centre, fill: Fill::Flat(Ink::Black), .. }
                    if (centre.x - label.at.x).abs() < 1.0 && (centre.y - label.at.y).abs() < label.size)
            });
            let is_dark = matches!(label.ink, Ink::Black | Ink::Dark | Ink::Accent);
            assert!(is_dark || (label.ink == Ink::Paper && on_disc), "{label:?}");
        }
    }
}

#[test]
fn every_line_is_seen_and_every_pale_area_has_an_edge() {
    for picture in all() {
        let lines = |from_y: f64, to_y: f64| {
            picture.shapes.iter().any(|shape| {
                matches!(shape, Shape::Line { from, to, .. }
                    if [from.y, to.y].iter().all(|y| (*y - from_y).abs() < 0.6 || (*y - to_y).abs() < 0.6))
            })
        };
        for shape in &picture.shapes {
            match shape {
                Shape::Line { pen, .. } | Shape::Polyline { pen, .. } => {
                    assert!(is_visible(pen.ink), "{shape:?}");
                }
                Shape::Rectangle {
                    fill: Fill::Flat(ink),
                    pen,
                    corner,
                    height,
                    ..
                } => {
                    let edge = pen.is_some_and(|pen| is_visible(pen.ink))
                        || lines(corner.y, corner.y + height);
                    assert!(is_visible(*ink) || *ink == Ink::Paper || edge, "{shape:?}");
                }
                Shape::Marker { ink, .. } => assert!(is_visible(*ink)),
                _ => {}
            }
        }
    }
}
