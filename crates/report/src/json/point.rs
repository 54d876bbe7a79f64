//! The parts that the points of several documents share.

use circuit::{ManualEntry, Quantity};
use reconcile::ValueStatus;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{Band, Carried, Model, PointOutcome, Remark};

use super::finite;
use crate::remarks::reason_words;

/// Where a point is.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Place<'a> {
    /// The manual's own label.
    pub point: &'a str,
    /// Where the red probe goes, as written.
    pub at: &'a str,
    /// Where the black probe goes, as written or by default.
    pub against: &'a str,
    /// What is measured: direct volts, alternating volts, resistance, direct current.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["dc V", "ac V", "ohm", "dc mA"])))]
    pub quantity: &'static str,
}

impl<'a> Place<'a> {
    pub(super) fn of(entry: &'a ManualEntry) -> Self {
        Place {
            point: &entry.point,
            at: &entry.at,
            against: &entry.against,
            quantity: entry.quantity.name(),
        }
    }
}

/// What the manual says.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct ManualValue<'a> {
    /// The printed value. In the SI unit of the quantity: volts, ohms or amperes.
    value: Option<f64>,
    /// The meter it was read with.
    meter: &'a str,
    /// Full scale of the range, volts. Null where it is neither stated nor assumed.
    range: Option<f64>,
    /// Whether the range was assumed because the manual states none.
    range_assumed: Option<bool>,
    /// Input resistance of the manual's meter on that range, ohms.
    input_ohms: Option<f64>,
    /// Limits that the manual allows. In the SI unit of the quantity: volts, ohms or amperes. An
    /// open side is null.
    tolerance: [Option<f64>; 2],
    /// What is thought of the value beside the drawing and the other values: believed; doubted, but
    /// weighed all the same; or left out, as a misprint or as read with another meter. Null where the point is not translated.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["believed", "doubted", "misprint", "other meter", null])))]
    standing: Option<&'static str>,
    /// The value freed from the manual's meter by itself, volts.
    unloaded: Option<f64>,
}

/// The word for what is thought of a printed value.
fn standing(standing: ValueStatus) -> &'static str {
    match standing {
        ValueStatus::Believed => "believed",
        ValueStatus::Doubted => "doubted",
        ValueStatus::Misprint => "misprint",
        ValueStatus::OtherMeter => "other meter",
    }
}

impl<'a> ManualValue<'a> {
    /// The range is the translation's where there is one, else the stated one.
    pub(super) fn of(entry: &'a ManualEntry, carried: Option<&Carried>) -> Self {
        let range = match carried {
            Some(carried) => Some((carried.manual.range.range, carried.manual.range.assumed)),
            None => entry.range.map(|volts| (entry.meter.range(volts), false)),
        };
        let ohms = range
            .filter(|_| entry.quantity == Quantity::DcVolts)
            .map(|(range, _)| entry.meter.input_ohms(range));
        let tolerance = match carried {
            Some(carried) => carried.manual.band,
            None => Band::of(entry.tolerance.as_ref(), &entry.figure),
        };
        ManualValue {
            value: finite(entry.figure.value),
            meter: &entry.meter.name,
            range: range.and_then(|(range, _)| finite(range.full_scale)),
            range_assumed: range.map(|(_, assumed)| assumed),
            input_ohms: ohms.and_then(finite),
            tolerance: limits(tolerance),
            standing: carried.map(|carried| standing(carried.manual.value_status)),
            unloaded: carried.and_then(|carried| {
                let alone = carried.point_model.anchor().ok()?;
                finite(alone.unloaded())
            }),
        }
    }
}

/// What the circuit alone predicts.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Predicted {
    /// Through the manual's meter, volts.
    as_documented: Option<f64>,
    /// With no meter, volts.
    unloaded: Option<f64>,
    /// Resistance seen at the point with no meter, ohms.
    source_ohms: Option<f64>,
    /// How far the manual's meter moves the point, percent of its volts without a meter (negative).
    loading_percent: Option<f64>,
}

impl Predicted {
    /// None where the circuit is not drawn.
    pub(super) fn of(model: &Model) -> Option<Self> {
        let drawn = model.as_documented.is_some() || model.unloaded.is_some();
        drawn.then(|| Predicted {
            as_documented: model.as_documented.and_then(finite),
            unloaded: model.unloaded.and_then(finite),
            source_ohms: model.source_ohms.and_then(finite),
            loading_percent: model.loading.and_then(|share| finite(100.0 * share)),
        })
    }
}

/// What ought to be said beside the numbers.
#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct RemarkRecord {
    /// other_range: the range was assumed, and the next one up gives another answer;
    /// line_not_applied: the line voltage differs, but the point's circuit is not drawn; off_scale:
    /// the printed value does not fit on the stated range; two_states: the circuit has two stable
    /// states, and expected holds the unloaded volts in the other; one_state: the row asks for one of
    /// two stable states, and the circuit has one; beyond_jump: no state near the drawn one reads the
    /// printed value, and expected holds what the first bench meter shows by the drawn state's
    /// tangent; above_sources: more is expected than the drawn sources can produce, which expected
    /// then holds; beyond_range: a bench meter has no range for what it should show.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["other_range", "line_not_applied", "off_scale", "two_states", "one_state", "beyond_jump", "above_sources", "beyond_range"])))]
    kind: &'static str,
    /// Full scale of the other range, volts; other_range only.
    range: Option<f64>,
    /// What the first bench meter should then show, volts; other_range only.
    expected: Option<f64>,
}

/// The remarks of a translated point.
pub(super) fn remarks(carried: Option<&Carried>) -> Vec<RemarkRecord> {
    let remarks = carried.map_or(&[][..], |carried| &carried.remarks);
    remarks.iter().map(remark).collect()
}

fn remark(remark: &Remark) -> RemarkRecord {
    let bare = |kind| RemarkRecord {
        kind,
        range: None,
        expected: None,
    };
    match remark {
        Remark::OtherRange(other) => RemarkRecord {
            kind: "other_range",
            range: finite(other.range.full_scale),
            expected: finite(other.expected),
        },
        Remark::LineNotApplied => bare("line_not_applied"),
        Remark::OffScale => bare("off_scale"),
        Remark::TwoStates(volts) => RemarkRecord {
            expected: finite(*volts),
            ..bare("two_states")
        },
        Remark::OneState => bare("one_state"),
        Remark::BeyondRange(_) => bare("beyond_range"),
        Remark::AboveSources(volts) => RemarkRecord {
            expected: finite(*volts),
            ..bare("above_sources")
        },
        Remark::BeyondJump(volts) => RemarkRecord {
            expected: finite(*volts),
            ..bare("beyond_jump")
        },
    }
}

/// Why a point is not translated; none if it is.
pub(super) fn not_translated(point: Option<&PointOutcome>) -> Option<String> {
    let reason = point?.outcome.as_ref().err()?;
    Some(reason_words(reason))
}

/// Low and high; an open side is `null`.
pub(super) fn limits(band: Band) -> [Option<f64>; 2] {
    [band.low.and_then(finite), band.high.and_then(finite)]
}
