//! Tests of `curve`.

use super::*;
use crate::chart::{Scale, LEAD};

fn plain(value: f64) -> String {
    format!("{value}")
}

fn bare(curves: Vec<Curve>, marks: Vec<Mark>) -> CurveChart<'static> {
    let axis = |title: &str, scale, low, high| Axis::new(title, scale, (low, high), &plain);
    CurveChart {
        title: "Loudness".into(),
        subtitle: String::new(),
        description: String::new(),
        size: (440.0, 220.0),
        x: axis("frequency, Hz", Scale::Logarithmic, 100.0, 10_000.0),
        y: axis("level, dB", Scale::Linear, -20.0, 0.0),
        curves,
        band: None,
        shade: None,
        marks,
        feet: Feet::default(),
        dots: Vec::new(),
    }
}

fn chart(curves: Vec<Curve>, marks: Vec<Mark>) -> Picture {
    CurveChart {
        band: Some(TintedBand {
            low: -12.0,
            high: -6.0,
            label: "good".into(),
        }),
        dots: vec![Dot {
            x: 1000.0,
            y: -8.0,
            kind: MarkerKind::Square,
        }],
        ..bare(curves, marks)
    }
    .picture()
}

fn flat(label: &str, level: f64) -> Curve {
    Curve {
        label: label.into(),
        points: vec![(50.0, level), (20_000.0, level)],
        pen: Pen::rule(),
    }
}

fn texts(picture: &Picture) -> Vec<&Label> {
    picture.shapes.iter().filter_map(Shape::label).collect()
}

#[test]
fn end_labels_of_equal_curves_do_not_cover_each_other() {
    let names = ["horn", "handset", "headphones", "spare"];
    let picture = chart(names.iter().map(|n| flat(n, -8.0)).collect(), Vec::new());
    let mut bases: Vec<f64> = texts(&picture)
        .iter()
        .filter(|l| names.contains(&l.text.as_str()))
        .map(|l| l.at.y)
        .collect();
    bases.sort_by(f64::total_cmp);
    assert_eq!(bases.len(), 4);
    // Base lines of labels one above the other are a whole lead apart; 1e-9 for float sums.
    assert!(
        bases.windows(2).all(|w| w[1] - w[0] >= LEAD - 1e-9),
        "{bases:?}"
    );
}

#[test]
fn marks_close_together_stand_on_different_levels() {
    let mark = |x: f64| Mark {
        x,
        label: "speech band".into(),
    };
    let picture = chart(
        vec![],
        vec![mark(1000.0), mark(1100.0), mark(1200.0), mark(1e9)],
    );
    let mut bases: Vec<f64> = texts(&picture)
        .iter()
        .filter(|l| l.text == "speech band")
        .map(|l| l.at.y)
        .collect();
    bases.sort_by(f64::total_cmp);
    assert_eq!(bases.len(), 3);
    assert!(
        bases.windows(2).all(|w| w[1] - w[0] >= LEAD - 1e-9),
        "{bases:?}"
    );
}

#[test]
fn curves_are_cut_at_the_plot() {
    let picture = chart(
        vec![flat("inside", -8.0), flat("far above", 40.0)],
        Vec::new(),
    );
    let lines: Vec<&Shape> = picture
        .shapes
        .iter()
        .filter(|s| matches!(s, Shape::Polyline { .. }))
        .collect();
    assert_eq!(lines.len(), 1);
    assert!(!texts(&picture).iter().any(|l| l.text == "far above"));
}

#[test]
fn names_below_the_plot_stand_between_it_and_the_axis_and_no_line_crosses_a_word() {
    let mark = |x: f64, label: &str| Mark {
        x,
        label: label.into(),
    };
    let marks = vec![mark(300.0, "deep"), mark(310.0, "not so deep")];
    let picture = CurveChart {
        size: (440.0, 60.0),
        feet: Feet {
            title: "stations".into(),
            marks: vec![mark(1000.0, "cook house"), mark(1010.0, "ladder")],
        },
        ..bare(vec![flat("", -8.0)], marks)
    }
    .picture();
    // The plot keeps its least height, whatever was asked for.
    assert!(picture.height > LEAST_PLOT);
    let base = |words: &str| {
        let found = texts(&picture).into_iter().find(|l| l.text == words);
        found.unwrap().at.y
    };
    assert!(base("cook house") < base("frequency, Hz"));
    assert!((base("ladder") - base("cook house")).abs() >= LEAD - 1e-9);
    assert!((base("stations") - base("cook house")).abs() <= 1e-9);
    // Every word of a mark comes after the last dotted line, so that its ground covers the line.
    let place = |wanted: &dyn Fn(&Shape) -> bool| {
        let found = picture.shapes.iter().rposition(wanted);
        found.unwrap()
    };
    let dotted = |s: &Shape| matches!(s, Shape::Line { pen, .. } if pen.dash == crate::picture::Dash::Dotted);
    let deep = |s: &Shape| matches!(s, Shape::Text(l) if l.text == "deep");
    let first_below = |s: &Shape| matches!(s, Shape::Text(l) if l.text == "cook house");
    assert!(place(&dotted) < place(&first_below) && place(&deep) < place(&first_below));
}
