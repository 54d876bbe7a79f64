//! The document of the resistors that make one meter load like another.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::Imitation;
use units::Joined;

use super::kind::Kind;
use super::{finite, of_no_job};
use crate::error::ReportError;
use crate::imitate::{why_none, ImitateView};

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/imitate/2",
    commands: "fairvolt imitate",
    about: "The resistor to clip across one meter so that it loads a point like another.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The meter in hand.
    meter: &'a str,
    /// The meter that is imitated.
    like: &'a str,
    /// A record for each range of the imitated meter.
    ranges: Vec<RangeRecord>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct RangeRecord {
    /// Full scale, volts.
    range: Option<f64>,
    /// Input resistance of the imitated meter on it, ohms.
    wanted_ohms: Option<f64>,
    /// Input resistance of the meter in hand, ohms.
    own_ohms: Option<f64>,
    /// The resistor, exactly, ohms. Null where none makes it load so.
    ohms: Option<f64>,
    /// Why there is none. Null where there is one.
    why_none: Option<&'static str>,
    /// Heat in the resistor at full scale, watts.
    watts: Option<f64>,
    /// What watts to buy, with a margin of two.
    rated_watts: Option<f64>,
    /// What volts it must stand, with a margin of 1.4.
    rated_volts: Option<f64>,
    /// How many equal resistors in series share the volts.
    bodies: Option<usize>,
    /// The nearest preferred values (IEC 60063), single and in pairs.
    take: Vec<TakeRecord>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct TakeRecord {
    /// The series of preferred values.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["E12", "E24", "E96"])))]
    series: &'static str,
    /// One value or two, ohms.
    parts: Vec<f64>,
    /// How two are joined. Null for one.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["series", "parallel", null])))]
    joined: Option<&'static str>,
    /// What they make together, ohms.
    ohms: Option<f64>,
    /// How far the load then is from the wanted one, percent.
    load_off_percent: Option<f64>,
}

/// The document; it belongs to no job.
pub(crate) fn imitate(view: &ImitateView<'_>) -> Result<String, ReportError> {
    of_no_job(
        &KIND,
        Body {
            meter: view.own,
            like: view.other,
            ranges: view.found.iter().map(range_record).collect(),
        },
    )
}

fn range_record(one: &Imitation) -> RangeRecord {
    let clip = one.clip.as_ref().ok();
    let singles = clip.iter().flat_map(|clip| &clip.single);
    let singles = singles.map(|(series, nearest)| TakeRecord {
        series: series.name(),
        parts: vec![nearest.ohms],
        joined: None,
        ohms: finite(nearest.ohms),
        load_off_percent: finite(nearest.off * 100.0),
    });
    let pairs = clip.iter().flat_map(|clip| &clip.pair);
    let pairs = pairs.map(|(series, pair, nearest)| TakeRecord {
        series: series.name(),
        parts: vec![pair.first, pair.second],
        joined: Some(match pair.joined {
            Joined::Series => "series",
            Joined::Parallel => "parallel",
        }),
        ohms: finite(pair.ohms()),
        load_off_percent: finite(nearest.off * 100.0),
    });
    RangeRecord {
        range: finite(one.range.full_scale),
        wanted_ohms: finite(one.wanted_ohms),
        own_ohms: finite(one.own_ohms),
        ohms: clip.and_then(|clip| finite(clip.ohms)),
        why_none: one.clip.as_ref().err().map(why_none),
        watts: clip.and_then(|clip| finite(clip.watts)),
        rated_watts: clip.and_then(|clip| finite(clip.rated_watts)),
        rated_volts: clip.and_then(|clip| finite(clip.rated_volts)),
        bodies: clip.map(|clip| clip.bodies),
        take: singles.chain(pairs).collect(),
    }
}
