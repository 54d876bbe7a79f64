//! The reading of one point over the resistance of the meter.

use circuit::Shown;
use paper::{
    Axis, Curve, CurveChart, Dash, Dot, Feet, Ink, Mark, MarkerKind, Pen, Picture, Scale, Shade,
};
use translate::{range_of_reading, BenchSide};

use super::axes::{ohms_tick, volts_ticks};
use super::WIDTH;
use crate::clean::clean;
use crate::curve::{classes, manual_words, scope, where_words, Scope};
use crate::figures;
use crate::heading;
use crate::labels;
use crate::views::CurveView;

/// Height of the picture in points, without labels of more than two meters.
const HEIGHT: f64 = 300.0;

/// Height of one more label.
const LABEL: f64 = 14.0;

/// The reading over the meter's resistance, with the limits that the manual's tolerance allows, the
/// manual's meter (square), the meters of the bench (discs with the expanded uncertainty) and the common
/// classes (crosses); none for an entry that the manual lacks, or without samples.
#[must_use]
pub fn curve_picture(view: &CurveView<'_>) -> Option<Picture> {
    let entry = view.job.manual.get(view.entry)?;
    let Scope { ohms, volts } = scope(view)?;
    let resolution = entry.figure.resolution;
    let classes = classes(view);
    let mut curves = vec![Curve {
        label: String::new(),
        points: view
            .samples
            .iter()
            .map(|sample| (sample.ohms, sample.volts.unwrap_or(f64::NAN)))
            .collect(),
        pen: Pen::new(Ink::Black, 1.3),
    }];
    curves.extend(view.unloaded.map(|volts| Curve {
        label: format!("no meter: {} V", figures::carried(volts, resolution)),
        points: vec![(ohms.0, volts), (ohms.1, volts)],
        pen: Pen::new(Ink::Dark, 0.7).dashed(Dash::Dashed),
    }));
    curves.extend(view.carried.bench.iter().filter_map(whisker));
    let volts_tick = volts_ticks(volts);
    let chart = CurveChart {
        title: format!(
            "What a meter of each resistance reads at {}",
            where_words(view)
        ),
        subtitle: signs(view),
        description: description(view, resolution),
        size: (
            WIDTH,
            HEIGHT + LABEL * view.carried.bench.len().saturating_sub(1) as f64,
        ),
        x: Axis::new("meter resistance, Ω", Scale::Logarithmic, ohms, &ohms_tick),
        y: Axis::new("reading, V", Scale::Linear, volts, &volts_tick),
        curves,
        band: None,
        shade: limits(view),
        marks: marks(view, resolution),
        feet: Feet {
            title: "classes".to_owned(),
            marks: classes.iter().map(|side| foot(side)).collect(),
        },
        dots: dots(view, &classes),
    };
    Some(chart.picture())
}

/// The expanded uncertainty as an upright stroke through the expected value.
fn whisker(side: &BenchSide) -> Option<Curve> {
    let expanded = side.budget.expanded();
    (expanded.is_finite() && expanded > 0.0).then(|| Curve {
        label: String::new(),
        points: vec![
            (side.input_ohms, side.expected - expanded),
            (side.input_ohms, side.expected + expanded),
        ],
        pen: Pen::new(Ink::Black, 1.6),
    })
}

fn limits(view: &CurveView<'_>) -> Option<Shade> {
    let sample =
        |sample: &translate::CurveSample| Some((sample.ohms, sample.band.low?, sample.band.high?));
    let points: Vec<_> = view.samples.iter().filter_map(sample).collect();
    (!points.is_empty()).then(|| Shade {
        points,
        label: "limits".to_owned(),
    })
}

fn marks(view: &CurveView<'_>, resolution: f64) -> Vec<Mark> {
    let manual = view.job.manual.get(view.entry).map(|entry| Mark {
        x: view.carried.manual.input_ohms,
        label: format!(
            "manual: {} V ({})",
            figures::printed(&entry.figure),
            manual_words(view)
        ),
    });
    let bench = view.carried.bench.iter().map(|side| {
        let volts = figures::expected_within(side, resolution);
        Mark {
            x: side.input_ohms,
            label: format!("{}: {volts} V", shortened(&side.meter)),
        }
    });
    let read = read(view).into_iter().map(|read| Mark {
        x: read.ohms,
        label: read.words,
    });
    manual.into_iter().chain(bench).chain(read).collect()
}

/// A reading of the point: the meter's resistance, the volts, and words for them.
struct Read {
    ohms: f64,
    volts: f64,
    words: String,
}

/// The job's readings of the point.
fn read(view: &CurveView<'_>) -> Vec<Read> {
    let Some(entry) = view.job.manual.get(view.entry) else {
        return Vec::new();
    };
    let own = view
        .job
        .readings
        .iter()
        .filter(|reading| reading.point == entry.point);
    own.filter_map(|reading| {
        let Shown::Value(figure) = &reading.shown else {
            return None;
        };
        let range = range_of_reading(reading, Some(view.carried)).range;
        let set = match reading.set.trim() {
            "" => String::new(),
            set => format!("set {set} "),
        };
        Some(Read {
            ohms: reading.meter.input_ohms(range),
            volts: figure.value,
            words: clean(&format!("{set}read {} V", figures::printed(figure))),
        })
    })
    .collect()
}

/// What the signs mean, of those that are there.
fn signs(view: &CurveView<'_>) -> String {
    let mut signs = vec!["square: the manual's meter", "disc: on the bench"];
    if !classes(view).is_empty() {
        signs.push("cross: common classes");
    }
    if !read(view).is_empty() {
        signs.push("triangle: what was read");
    }
    signs.join("; ")
}

fn foot(side: &BenchSide) -> Mark {
    Mark {
        x: side.input_ohms,
        label: shortened(&side.meter),
    }
}

fn dots(view: &CurveView<'_>, classes: &[&BenchSide]) -> Vec<Dot> {
    let manual = Dot {
        x: view.carried.manual.input_ohms,
        y: view.carried.manual.value,
        kind: MarkerKind::Square,
    };
    let dot = |side: &BenchSide, kind| Dot {
        x: side.input_ohms,
        y: side.expected,
        kind,
    };
    let read = read(view).into_iter().map(|read| Dot {
        x: read.ohms,
        y: read.volts,
        kind: MarkerKind::Triangle,
    });
    let classes = classes.iter().map(|side| dot(side, MarkerKind::Cross));
    let bench = view.carried.bench.iter();
    classes
        .chain(bench.map(|side| dot(side, MarkerKind::Circle)))
        .chain([manual])
        .chain(read)
        .collect()
}

/// Letters of a meter's name that a label shows.
const LONGEST_NAME: usize = 28;

/// The name, cut where it would run through the whole picture.
fn shortened(name: &str) -> String {
    labels::shortened(&clean(name), LONGEST_NAME)
}

fn description(view: &CurveView<'_>, resolution: f64) -> String {
    let mut sentences = Vec::new();
    if let Some(entry) = view.job.manual.get(view.entry) {
        sentences.push(format!(
            "The manual prints {} V, read with {}.",
            figures::printed(&entry.figure),
            manual_words(view)
        ));
    }
    for side in &view.carried.bench {
        sentences.push(format!(
            "{} should read {} V.",
            clean(&side.meter),
            figures::expected_within(side, resolution)
        ));
    }
    if let Some(volts) = view.unloaded {
        let volts = figures::carried(volts, resolution);
        sentences.push(format!("Without any meter there are {volts} V."));
    }
    sentences.extend(
        read(view)
            .into_iter()
            .map(|read| format!("{}.", read.words)),
    );
    sentences.extend(heading::line(view.job));
    sentences.join(" ")
}
