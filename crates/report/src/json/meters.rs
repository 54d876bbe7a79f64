//! The document of the meters that can be named.

use circuit::{AcInput, Accuracy, MeterInput, Response};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use super::kind::Kind;
use super::{finite, of_no_job};
use crate::error::ReportError;
use crate::views::{MeterListing, MeterOrigin};

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/meters/1",
    commands: "fairvolt meters",
    about: "The meters that can be named.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// The meters.
    meters: Vec<MeterRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct MeterRecord<'a> {
    /// The name by which job files call it.
    name: &'a str,
    /// A line for people.
    description: &'a str,
    /// Built in, or described by the job.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["built-in", "job"])))]
    origin: &'static str,
    /// What it loads a point with for direct volts.
    input: Input,
    /// Its direct-volt ranges, rising.
    ranges: Vec<RangeRecord>,
    /// Counts of a digital display.
    counts: Option<u32>,
    /// Permitted error. Null where it is unknown.
    accuracy: Option<Permitted>,
    /// Its alternating-volt side. Null where it is unknown.
    ac: Option<Ac>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Input {
    /// Ohms for each volt of full scale. Null for a fixed input.
    ohms_per_volt: Option<f64>,
    /// Ohms on every range that states none of its own. Null for a sensitivity.
    ohms: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct RangeRecord {
    /// Full scale, volts.
    full_scale: Option<f64>,
    /// Input resistance on it, ohms.
    input_ohms: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Permitted {
    /// Percent of full scale.
    percent_of_full_scale: Option<f64>,
    /// Percent of the reading.
    percent_of_reading: Option<f64>,
    /// Counts of the last digit.
    counts: Option<f64>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct Ac {
    /// What it loads a point with for alternating volts.
    input: Input,
    /// Input capacitance, farads.
    capacitance: Option<f64>,
    /// Permitted error. Null where it is unknown.
    accuracy: Option<Permitted>,
    /// What the indication follows.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["average", "true rms", "peak"])))]
    responds: &'static str,
}

/// The one document of the list; it belongs to no job.
pub(crate) fn meters(listings: &[MeterListing<'_>]) -> Result<String, ReportError> {
    of_no_job(
        &KIND,
        Body {
            meters: listings.iter().map(meter).collect(),
        },
    )
}

fn meter<'a>(listing: &MeterListing<'a>) -> MeterRecord<'a> {
    let meter = listing.meter;
    MeterRecord {
        name: &meter.name,
        description: &meter.description,
        origin: match listing.origin {
            MeterOrigin::BuiltIn => "built-in",
            MeterOrigin::Job => "job",
        },
        input: input(meter.input),
        ranges: meter
            .ranges
            .iter()
            .map(|range| RangeRecord {
                full_scale: finite(range.full_scale),
                input_ohms: finite(meter.input_ohms(*range)),
            })
            .collect(),
        counts: meter.counts,
        accuracy: meter.accuracy.map(permitted),
        ac: meter.ac.as_ref().map(ac),
    }
}

fn input(input: MeterInput) -> Input {
    match input {
        MeterInput::Sensitivity(sensitivity) => Input {
            ohms_per_volt: finite(sensitivity.0),
            ohms: None,
        },
        MeterInput::Fixed(ohms) => Input {
            ohms_per_volt: None,
            ohms: finite(ohms),
        },
    }
}

fn permitted(accuracy: Accuracy) -> Permitted {
    match accuracy {
        Accuracy::OfFullScale(share) => Permitted {
            percent_of_full_scale: finite(share * 100.0),
            percent_of_reading: None,
            counts: None,
        },
        Accuracy::OfReading { share, counts } => Permitted {
            percent_of_full_scale: None,
            percent_of_reading: finite(share * 100.0),
            counts: finite(counts),
        },
    }
}

fn ac(side: &AcInput) -> Ac {
    Ac {
        input: input(side.input),
        capacitance: finite(side.capacitance),
        accuracy: side.accuracy.map(permitted),
        responds: match side.responds {
            Response::Average => "average",
            Response::TrueRms => "true rms",
            Response::Peak => "peak",
        },
    }
}
