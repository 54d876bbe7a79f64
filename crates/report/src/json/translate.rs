//! The document of the translated manual.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{Alone, BandBasis, BenchSide, Carried, PointOutcome};

use super::kind::Kind;
use super::manual::{ManualRemarks, UnnamedMeter};
use super::point::{limits, not_translated, remarks, ManualValue, Place, Predicted, RemarkRecord};
use super::quantity::{quantities, QuantityRecord};
use super::trials::TrialsRecord;
use super::{finite, of_jobs};
use crate::error::ReportError;
use crate::views::TranslateView;

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/translate/4",
    commands: "fairvolt translate",
    about: "The manual carried over to the bench meters.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The class taken for a meter that the manual does not name. Null where it names its meters.
    unnamed_meter: Option<UnnamedMeter<'a>>,
    /// Points of the manual, in its order.
    points: Vec<Point<'a>>,
    /// What the drawing and the manual's other values say where the manual prints no value; nothing
    /// is judged by it.
    predicted: Vec<PredictedRecord<'a>>,
    /// Rows that are no direct volts, those without a printed value too.
    quantities: Vec<QuantityRecord<'a>>,
    /// What trials of the translation found. Null where none were asked for.
    trials: Option<TrialsRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Point<'a> {
    #[serde(flatten)]
    place: Place<'a>,
    /// What the manual says.
    manual: ManualValue<'a>,
    #[serde(flatten)]
    found: ManualRemarks<'a>,
    #[serde(flatten)]
    source: Source,
    /// One for each bench meter. Null where the point is not translated.
    bench: Option<Vec<Side<'a>>>,
    /// What ought to be said beside the numbers.
    remarks: Vec<RemarkRecord>,
    /// Why the point is not translated. Null if it is.
    not_translated: Option<String>,
}

/// What the drawing says where the manual prints no value.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct PredictedRecord<'a> {
    /// The manual's own label.
    point: &'a str,
    /// Where the red probe goes, as written.
    at: &'a str,
    /// The bench meter.
    meter: &'a str,
    /// Full scale of its range, volts.
    range: Option<f64>,
    /// Its input resistance on that range, ohms.
    input_ohms: Option<f64>,
    /// Volts that it should show.
    expected: Option<f64>,
    #[serde(flatten)]
    doubt: Doubt,
    /// What another healthy set of this drawing shows, its own scatter included.
    another_set: Option<AloneRecord>,
}

/// What the translation found out about the point itself.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Source {
    /// What the circuit alone predicts. Null where it is not drawn.
    model: Option<Predicted>,
    /// Resistance seen at the point with no meter, ohms.
    source_ohms: Option<f64>,
    /// How far the manual's meter moves the point, percent of its volts without a meter (negative).
    loading_percent: Option<f64>,
    /// Volts of the point with no meter at all, by manual and drawing together.
    unloaded: Option<f64>,
    /// What the drawing seems to lack at the point. Null where no value of the fit was read there.
    discrepancy: Option<Discrepancy>,
}

/// What the drawing seems to lack.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Discrepancy {
    /// As a share of what would move the manual's reading by as much as it shows.
    share: Option<f64>,
    /// Standard deviation of that share.
    standard: Option<f64>,
    /// As a current into the point, amperes; 0 where a source holds it.
    amperes: Option<f64>,
    /// As volts in series with a point that a source holds; 0 elsewhere.
    volts: Option<f64>,
}

impl Source {
    pub(super) fn of(carried: Option<&Carried>) -> Self {
        Source {
            model: carried.and_then(|carried| Predicted::of(&carried.model)),
            source_ohms: carried.and_then(|carried| finite(carried.source_ohms)),
            loading_percent: carried.and_then(|carried| finite(carried.loading * 100.0)),
            unloaded: carried.and_then(|carried| finite(carried.unloaded)),
            discrepancy: carried.and_then(|carried| {
                let found = carried.point_model.discrepancy()?;
                Some(Discrepancy {
                    share: finite(found.share),
                    standard: finite(found.standard),
                    amperes: finite(found.amperes),
                    volts: finite(found.volts),
                })
            }),
        }
    }
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Side<'a> {
    /// Its name.
    meter: &'a str,
    /// Full scale of the range it would be read on, volts.
    range: Option<f64>,
    /// Its input resistance on that range, ohms.
    input_ohms: Option<f64>,
    /// What it should show by manual and drawing together, volts.
    expected: Option<f64>,
    /// What a healthy set may show, volts. An open side is null.
    band: [Option<f64>; 2],
    #[serde(flatten)]
    doubt: Doubt,
    #[serde(flatten)]
    basis: Basis,
    /// The printed value carried over by itself: a constant current into the drawn circuit. Null
    /// where nothing is drawn or no state reads it.
    manual_alone: Option<AloneRecord>,
    /// What the drawn circuit says by itself. Null where nothing is drawn.
    drawing_alone: Option<AloneRecord>,
}

/// What an expected value and its band rest on.
#[derive(Default, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Basis {
    /// How much of expected the printed value of this point decides, 0 to 1; the rest is the
    /// drawing and the other values.
    by_printed: Option<f64>,
    /// What set the limits of band: the manual's tolerance, or what healthy sets of the drawing
    /// show.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["manual", "drawing", null])))]
    band_basis: Option<&'static str>,
    /// What another healthy set of this drawing shows, its own scatter included. Null where nothing
    /// is drawn.
    another_set: Option<AloneRecord>,
}

/// A value with its standard uncertainty, the bench meter's own error left out.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct AloneRecord {
    /// Volts.
    expected: Option<f64>,
    /// Its standard uncertainty, volts; the bench meter's own error left out.
    standard_uncertainty: Option<f64>,
}

impl AloneRecord {
    /// Of what manual or drawing say by themselves.
    pub(super) fn of_source(alone: Alone) -> Self {
        Self::of(alone.volts, alone.standard)
    }

    fn of(volts: f64, standard: f64) -> Self {
        AloneRecord {
            expected: finite(volts),
            standard_uncertainty: finite(standard),
        }
    }
}

impl Basis {
    /// Nothing of a reading of which nothing is expected.
    pub(super) fn of(side: Option<&BenchSide>) -> Self {
        let Some(side) = side else {
            return Basis::default();
        };
        let another = side.another_set;
        Basis {
            by_printed: finite(side.by_printed),
            band_basis: Some(match side.band_basis {
                BandBasis::Manual => "manual",
                BandBasis::Drawing => "drawing",
            }),
            another_set: another.map(|set| AloneRecord::of(set.volts, set.standard)),
        }
    }
}

/// How well a reading can be compared with what is expected.
#[derive(Default, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Doubt {
    /// Combined standard uncertainty u, volts.
    standard_uncertainty: Option<f64>,
    /// Coverage factor k for 95 %.
    coverage_factor: Option<f64>,
    /// Expanded uncertainty U = k u, volts: how far off the comparison may be, the bench meter's
    /// error included.
    uncertainty: Option<f64>,
}

impl Doubt {
    /// Nothing of a reading of which nothing is expected.
    pub(super) fn of(side: Option<&BenchSide>) -> Self {
        let budget = side.map(|side| &side.budget);
        Doubt {
            standard_uncertainty: budget.and_then(|budget| finite(budget.standard)),
            coverage_factor: budget.and_then(|budget| finite(budget.coverage)),
            uncertainty: budget.and_then(|budget| finite(budget.expanded())),
        }
    }
}

/// The documents of some jobs.
pub(crate) fn translate(views: &[TranslateView<'_>]) -> Result<String, ReportError> {
    of_jobs(
        &KIND,
        views,
        |view| (Some(view.job), view.diagnostics),
        |view| Body {
            unnamed_meter: UnnamedMeter::of(view.manual),
            points: view
                .translation
                .points
                .iter()
                .filter_map(|outcome| point(view, outcome))
                .collect(),
            predicted: predicted(view),
            quantities: quantities(view.job, view.translation),
            trials: TrialsRecord::of(view),
        },
    )
}

fn predicted<'a>(view: &TranslateView<'a>) -> Vec<PredictedRecord<'a>> {
    let own = view.translation.unprinted.iter();
    own.filter_map(|own| {
        let entry = view.job.unprinted.get(own.entry)?;
        Some(PredictedRecord {
            point: &entry.point,
            at: &entry.at,
            meter: &own.side.meter,
            range: finite(own.side.range.full_scale),
            input_ohms: finite(own.side.input_ohms),
            expected: finite(own.side.expected),
            doubt: Doubt::of(Some(&own.side)),
            another_set: own
                .side
                .another_set
                .map(|set| AloneRecord::of(set.volts, set.standard)),
        })
    })
    .collect()
}

fn point<'a>(view: &TranslateView<'a>, outcome: &'a PointOutcome) -> Option<Point<'a>> {
    let entry = view.job.manual.get(outcome.entry)?;
    let carried = outcome.outcome.as_ref().ok();
    Some(Point {
        place: Place::of(entry),
        manual: ManualValue::of(entry, carried),
        found: ManualRemarks::of(view.manual, outcome.entry),
        source: Source::of(carried),
        bench: carried.map(|carried| carried.bench.iter().map(|own| side(carried, own)).collect()),
        remarks: remarks(carried),
        not_translated: not_translated(Some(outcome)),
    })
}

fn side<'a>(carried: &Carried, side: &'a BenchSide) -> Side<'a> {
    let sources = carried.sources(side);
    Side {
        meter: &side.meter,
        range: finite(side.range.full_scale),
        input_ohms: finite(side.input_ohms),
        expected: finite(side.expected),
        band: limits(side.band),
        doubt: Doubt::of(Some(side)),
        basis: Basis::of(Some(side)),
        manual_alone: sources.manual.map(AloneRecord::of_source),
        drawing_alone: sources.drawing.map(AloneRecord::of_source),
    }
}
