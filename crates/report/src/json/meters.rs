//! The document of the meters that can be named.

use circuit::{AcInput, Accuracy, MeterInput, Response};
use serde::Serialize;

use super::{finite, text, Document};
use crate::reports::ReportError;
use crate::views::{MeterListing, MeterOrigin};

#[derive(Serialize)]
struct Body<'a> {
    meters: Vec<MeterRecord<'a>>,
}

#[derive(Serialize)]
struct MeterRecord<'a> {
    name: &'a str,
    description: &'a str,
    origin: &'static str,
    input: Input,
    ranges: Vec<RangeRecord>,
    counts: Option<u32>,
    accuracy: Option<Permitted>,
    ac: Option<Ac>,
}

#[derive(Serialize)]
struct Input {
    ohms_per_volt: Option<f64>,
    ohms: Option<f64>,
}

#[derive(Serialize)]
struct RangeRecord {
    full_scale: Option<f64>,
    input_ohms: Option<f64>,
}

#[derive(Serialize)]
struct Permitted {
    percent_of_full_scale: Option<f64>,
    percent_of_reading: Option<f64>,
    counts: Option<f64>,
}

#[derive(Serialize)]
struct Ac {
    input: Input,
    capacitance: Option<f64>,
    accuracy: Option<Permitted>,
    responds: &'static str,
}

/// The one document of the list; it belongs to no job.
pub(crate) fn meters(listings: &[MeterListing<'_>]) -> Result<String, ReportError> {
    text(&[Document {
        schema: "fairvolt/meters/1",
        job: None,
        diagnostics: &[],
        body: Body {
            meters: listings.iter().map(meter).collect(),
        },
    }])
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
