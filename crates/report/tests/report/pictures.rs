//! Pictures: well formed, every label inside the frame and apart from the others, names as written; the curve in
//! its other formats.

use circuit::{meter_by_name, meter_classes, Job};
use paper::{Label, Picture, Shape};
use report::{
    curve_picture, odds_picture, residuals_picture, strip_picture, CompareView, CurveView,
    Explained, Format, ManualView, Report, SuspectsView,
};
use translate::{curve_resistances, reading_curve, side_of, BenchSide, Carried, CurveSample};

use crate::fixtures::{awkward_job, job, job_with_readings, rendered, Fixture, PLAIN};

/// The first point of a job, sampled.
struct Sampled {
    fixture: Fixture,
    carried: Carried,
    samples: Vec<CurveSample>,
    classes: Vec<BenchSide>,
    unloaded: Option<f64>,
}

impl Sampled {
    fn of(job: Job) -> Self {
        let fixture = Fixture::of(job);
        let outcome = &fixture.comparison.translation.points[0].outcome;
        let carried = outcome.as_ref().unwrap().clone();
        let classes: Vec<BenchSide> = meter_classes()
            .iter()
            .filter_map(|meter| side_of(&fixture.job, 0, &carried, meter).unwrap())
            .collect();
        let samples = reading_curve(&carried, &curve_resistances(&carried, &classes, 97));
        let unloaded = reading_curve(&carried, &[f64::INFINITY])[0].volts;
        Sampled {
            fixture,
            carried,
            samples,
            classes,
            unloaded,
        }
    }

    fn view(&self) -> CurveView<'_> {
        CurveView {
            job: &self.fixture.job,
            entry: 0,
            carried: &self.carried,
            samples: &self.samples,
            unloaded: self.unloaded,
            classes: &self.classes,
            diagnostics: &[],
        }
    }
}

/// A job with four more bench meters, one of them with a very long name.
fn crowded(mut job: Job) -> Job {
    for name in ["11M", "1M", "20k/V", "50k/V"] {
        job.bench.meters.push(meter_by_name(name).unwrap());
    }
    job.bench.meters[1].name = "the <green> meter & its probe, borrowed from the club, µΩ".into();
    job
}

fn text_of(shape: &Shape) -> Option<&Label> {
    match shape {
        Shape::Text(label) => Some(label),
        _ => None,
    }
}

fn labels(picture: &Picture) -> Vec<&Label> {
    picture.shapes.iter().filter_map(text_of).collect()
}

/// Half a point is less than the blank beside a letter.
const BLANK: f64 = 0.5;

fn in_frame_and_apart(picture: &Picture) {
    let labels = labels(picture);
    assert!(labels.len() > 1);
    let boxes: Vec<(f64, f64, f64, f64, &str)> = labels
        .iter()
        .filter(|label| !label.text.is_empty())
        .map(|label| {
            let start = label.start();
            // Capitals reach about 0.73 of the size above the base line.
            let top = start.y - 0.73 * label.size;
            (
                start.x,
                start.x + label.width(),
                top,
                start.y,
                label.text.as_str(),
            )
        })
        .collect();
    for (left, right, top, base, words) in &boxes {
        assert!(
            *left >= -BLANK && *right <= picture.width + BLANK,
            "{words}: {left} … {right}"
        );
        assert!(
            *top >= -BLANK && *base <= picture.height,
            "{words}: {top} … {base}"
        );
    }
    for (n, a) in boxes.iter().enumerate() {
        for b in &boxes[n + 1..] {
            let apart = a.1 <= b.0 + BLANK
                || b.1 <= a.0 + BLANK
                || a.3 <= b.2 + BLANK
                || b.3 <= a.2 + BLANK;
            assert!(apart, "{a:?} covers {b:?}");
        }
    }
}

/// The text of a picture parses, has a title and a description, and no letter XML forbids.
fn well_formed(text: &str) -> String {
    let document = roxmltree::Document::parse(text).unwrap();
    let root = document.root_element();
    assert_eq!(root.tag_name().name(), "svg");
    let words: Vec<&str> = root.descendants().filter_map(|node| node.text()).collect();
    let named = |name: &str| {
        root.children()
            .any(|node| node.has_tag_name(("http://www.w3.org/2000/svg", name)))
    };
    assert!(named("title") && named("desc"), "{words:?}");
    words.join("\n")
}

#[test]
fn a_curve_keeps_its_labels_inside_and_apart_with_one_meter_and_with_five() {
    for job in [job(), awkward_job(), crowded(job()), crowded(awkward_job())] {
        let sampled = Sampled::of(job);
        in_frame_and_apart(&curve_picture(&sampled.view()).unwrap());
    }
}

#[test]
fn a_curve_names_every_meter_with_its_value_and_escapes_names() {
    let sampled = Sampled::of(crowded(job()));
    let text = rendered(Report::curve(sampled.view()), Format::Svg, PLAIN);
    let words = well_formed(&text);
    // 145 V through 5 MΩ, seen through 10 MΩ at 132 kΩ, by itself: 145·1.0264/1.0132 = 146.89 V; the
    // drawing's 169 V draw that up.
    assert!(words.contains("manual: 145 V"), "{words}");
    assert!(words.contains(": 150 ± "), "{words}");
    assert!(words.contains("no meter: 152 V"), "{words}");
    assert!(words.contains("the <green> meter & its pro"), "{words}");
    assert!(
        words.contains("meter resistance, Ω") && words.contains("1 MΩ"),
        "{words}"
    );
}

#[test]
fn two_runs_give_the_same_picture() {
    let text = |_| {
        let sampled = Sampled::of(awkward_job());
        rendered(Report::curve(sampled.view()), Format::Svg, PLAIN)
    };
    let [first, second] = [0, 1].map(text);
    assert_eq!(first, second);
}

#[test]
fn a_curve_for_the_terminal_keeps_to_its_columns_and_needs_no_colour() {
    for job in [job(), crowded(awkward_job())] {
        let sampled = Sampled::of(job);
        let text = rendered(Report::curve(sampled.view()), Format::Table, PLAIN);
        let widest = text.lines().map(|line| line.chars().count()).max();
        assert!(widest <= Some(80), "{text}");
        assert!(!text.contains('\u{1b}'));
        for mark in ['*', 'M', '1', '+'] {
            assert!(
                text.lines()
                    .any(|line| line.contains(['│', '┤']) && line.contains(mark)),
                "{mark}\n{text}"
            );
        }
    }
}

#[test]
fn a_curve_fits_its_schema_and_its_rows_fit_their_heads() {
    let schema = include_str!("../../../../docs/schema/curve.schema.json");
    let sampled = Sampled::of(crowded(awkward_job()));
    let document = rendered(Report::curve(sampled.view()), Format::Json, PLAIN);
    let document = serde_json::from_str(&document).unwrap();
    let (mut schemas, mut compiler) = (boon::Schemas::new(), boon::Compiler::new());
    let at = "http://localhost/schema.json";
    compiler
        .add_resource(at, serde_json::from_str(schema).unwrap())
        .unwrap();
    let index = compiler.compile(at, &mut schemas).unwrap();
    let fault = schemas
        .validate(&document, index)
        .err()
        .map(|error| error.to_string());
    assert_eq!(fault, None);
    let page = include_str!("../../../../docs/json.md");
    assert!(page.contains("`curve[].ohms`") && page.contains("`classes[].expected`"));

    let rows = rendered(Report::curve(sampled.view()), Format::Csv, PLAIN);
    let mut reader = csv::Reader::from_reader(rows.as_bytes());
    let kinds: Vec<String> = reader
        .records()
        .map(|row| row.unwrap()[2].to_owned())
        .collect();
    let count = |kind: &str| kinds.iter().filter(|known| *known == kind).count();
    assert_eq!(
        (
            count("manual"),
            count("bench"),
            count("no meter"),
            count("curve")
        ),
        (1, sampled.fixture.job.bench.meters.len(), 1, 97)
    );
}

#[test]
fn a_page_holds_the_picture_and_the_table() {
    let sampled = Sampled::of(awkward_job());
    let page = rendered(Report::curve(sampled.view()), Format::Html, PLAIN);
    assert!(page.contains("<svg") && page.contains("<table"));
    assert!(!page.contains("<b>") && !page.contains("<max>"));
}

#[test]
fn the_strip_shows_every_reading_with_the_word_for_it() {
    // The awkward job is read at points that its manual lacks; what is left are words.
    for (job, least) in [(job_with_readings(), 2), (awkward_job(), 0)] {
        let fixture = Fixture::of(job);
        let view = CompareView {
            asked: report::Asked::default(),
            job: &fixture.job,
            comparison: &fixture.comparison,
            manual: ManualView::default(),
            diagnostics: &[],
        };
        let picture = strip_picture(&view).unwrap();
        in_frame_and_apart(&picture);
        // What is read at the bench is set no smaller than 11 points.
        assert!(labels(&picture).iter().all(|label| label.size >= 11.0));
        let words = well_formed(&rendered(
            Report::comparison(vec![view]),
            Format::Svg,
            PLAIN,
        ));
        for compared in &fixture.comparison.readings {
            assert!(words.contains(compared.judgement.verdict.word()), "{words}");
        }
        let marks = picture
            .shapes
            .iter()
            .filter(|shape| matches!(shape, Shape::Marker { .. }));
        assert!(marks.count() >= least);
    }
}

#[test]
fn suspects_as_bars_and_their_readings_as_rows() {
    let mut job = job_with_readings();
    job.title = "Set |A| <b>&amp;</b> \u{1b}[31m µΩ".into();
    let fixture = Fixture::of(job);
    let options = diagnose::SuspectOptions::default();
    let suspects = diagnose::suspects(&fixture.job, &options).unwrap();
    let mut view = SuspectsView {
        asked: report::Asked::default(),
        job: &fixture.job,
        comparison: &fixture.comparison,
        suspects: &suspects,
        explain: None,
        manual: ManualView::default(),
        diagnostics: &[],
    };
    let bars = odds_picture(&view).unwrap();
    in_frame_and_apart(&bars);
    for tick in ["0", "20", "40", "60", "80", "100", "probability, %"] {
        assert!(
            labels(&bars).iter().any(|label| label.text == tick),
            "{tick}"
        );
    }
    assert!(labels(&bars).iter().any(|label| label.text.ends_with(" %")));
    in_frame_and_apart(&residuals_picture(&view, 0).unwrap());
    assert_eq!(residuals_picture(&view, 10_000), None);
    let drawn = |view: SuspectsView<'_>| {
        let translation = Some(&fixture.comparison.translation);
        rendered(
            Report::suspects(vec![view], translation),
            Format::Svg,
            PLAIN,
        )
    };
    well_formed(&drawn(view));
    view.explain = Some(Explained::NothingWrong);
    let words = well_formed(&drawn(view));
    assert!(words.contains("a suspect: nothing wrong"), "{words}");
}
