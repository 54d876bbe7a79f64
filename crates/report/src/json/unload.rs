//! The document of what readings of one point with different loads tell.

#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{UnloadWarning, COVERAGE};

use super::kind::Kind;
use super::{finite, of_no_job};
use crate::error::ReportError;
use crate::unload::{at_most, UnloadView, FACTOR};

/// The kind of document.
pub(super) const KIND: Kind = Kind {
    schema: "fairvolt/unload/2",
    commands: "fairvolt unload",
    about: "Source resistance and true volts of one point, from readings with different loads.",
};

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(super) struct Body<'a> {
    /// Source resistance of the point, ohms; where only a limit is known, the likeliest below it.
    source_ohms: Option<f64>,
    /// Its expanded uncertainty, ohms.
    source_uncertainty: Option<f64>,
    /// The most that the source resistance may be, ohms; where the readings do not tell it from none,
    /// and null elsewhere.
    source_at_most: Option<f64>,
    /// Volts of the point without a meter.
    volts: Option<f64>,
    /// Their expanded uncertainty, volts.
    volts_uncertainty: Option<f64>,
    /// Coverage probability of both uncertainties.
    coverage: f64,
    /// Their coverage factor.
    coverage_factor: f64,
    /// What is wrong with the readings: loads alike: they hardly differ in load; readings contradict:
    /// no one linear source makes them all; upper limit only: they differ by no more than the meters
    /// may be off.
    warnings: Vec<&'static str>,
    /// The readings.
    readings: Vec<ReadingRecord<'a>>,
}

#[derive(Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
struct ReadingRecord<'a> {
    /// What was read, volts.
    volts: Option<f64>,
    /// The meter's name.
    meter: &'a str,
    /// Full scale of its range, volts.
    range: Option<f64>,
    /// Whether the range was not named, and the lowest that holds the reading is taken.
    range_assumed: bool,
    /// Input resistance of the meter on it, ohms.
    input_ohms: Option<f64>,
    /// What the meter should have shown by the source and the volts found, volts.
    fitted: Option<f64>,
}

/// The document; it belongs to no job.
pub(crate) fn unload(view: &UnloadView<'_>) -> Result<String, ReportError> {
    let found = view.found;
    let word = |warning: &UnloadWarning| match warning {
        UnloadWarning::LoadsAlike => "loads alike",
        UnloadWarning::Contradict => "readings contradict",
        UnloadWarning::AtMost(_) => "upper limit only",
    };
    let readings = view.readings.iter().zip(&found.fitted).enumerate();
    let body = Body {
        source_ohms: finite(found.ohms),
        source_uncertainty: finite(FACTOR * found.ohms_standard),
        source_at_most: at_most(found).and_then(finite),
        volts: finite(found.volts),
        volts_uncertainty: finite(FACTOR * found.volts_standard),
        coverage: COVERAGE,
        coverage_factor: FACTOR,
        warnings: found.warnings.iter().map(word).collect(),
        readings: readings
            .map(|(at, (reading, (fitted, _)))| ReadingRecord {
                volts: finite(reading.volts),
                meter: &reading.meter.name,
                range: finite(reading.range.full_scale),
                range_assumed: view.assumed.get(at).copied().unwrap_or(false),
                input_ohms: finite(reading.meter.input_ohms(reading.range)),
                fitted: finite(*fitted),
            })
            .collect(),
    };
    of_no_job(&KIND, body)
}
