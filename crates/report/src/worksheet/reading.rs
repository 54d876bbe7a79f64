//! What was read at a point, rounded and in words.
//!
//! Readings and their verdicts come in; what stands in the boxes and in the table of readings goes
//! out. What the meter should have shown is not known here.

use circuit::{Job, ManualRow, Quantity, Reading, RowId, Shown};
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;
use translate::{Compared, Comparison};
use units::decimals_for;

use crate::compare::signed;
use crate::figures;
use crate::quantity::limit_words;
use crate::readings::{meter_and_range, shown, Distance, Taken};

use super::rounded::Rounded;

/// A reading and its verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Found {
    /// Volts; none for an overrange.
    pub value: Option<Rounded>,
    #[serde(skip)]
    pub text: String,
    /// Meter and range in words.
    #[serde(skip)]
    pub with: String,
    /// What it is held against where the leads stood the other way round than the manual's; empty
    /// otherwise.
    #[serde(skip)]
    pub turned: String,
    /// The meter used.
    pub meter: String,
    /// Full scale of the range used, volts.
    pub range: Option<f64>,
    /// Which set; empty where not noted.
    pub set: String,
    /// When, as written; empty where not noted.
    pub date: String,
    /// Reading less expected value, percent of the size of the expected value.
    pub deviation_percent: Option<Rounded>,
    /// How far it lies from its nearest limit, in words; empty without one.
    #[serde(skip)]
    pub far: String,
    /// By the band with a guard band; too coarse to decide: the uncertainty is too large for the
    /// band; not judged: no tolerance, no translation, or an overrange that settles nothing.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["pass", "conditional pass", "conditional fail", "fail", "too coarse to decide", "not judged"])))]
    pub verdict: &'static str,
    /// Probability that the point lies inside its band, 0 to 1.
    pub conformity: Option<Rounded>,
    #[serde(skip)]
    pub judged: translate::Verdict,
}

/// A reading as it stands in its box.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Boxed {
    /// The reading with its unit.
    pub text: String,
    /// The same in the unit of its quantity; none for an overrange.
    pub value: Option<Rounded>,
    /// The meter used.
    pub meter: String,
    /// When, as written.
    pub date: String,
    pub judged: translate::Verdict,
}

fn shown_value(shown: &Shown) -> Option<Rounded> {
    match shown {
        Shown::Value(figure) => Rounded::to(figure.value, decimals_for(figure.resolution)),
        Shown::Overrange => None,
    }
}

/// How far a reading lies from its nearest limit, in words.
fn far(row: ManualRow<'_>, compared: &Compared, reading: &Reading) -> Option<String> {
    let resolution = row.figure?.resolution;
    let Shown::Value(figure) = &reading.shown else {
        return None;
    };
    let distance = Distance::of(reading, compared.expected.as_ref()?, resolution)?;
    Some(distance.words(figure.resolution))
}

/// What stood on the meter, with its unit.
fn shown_with_unit(stood: &Shown, quantity: Quantity) -> String {
    let text = shown(stood, quantity);
    match (shown_value(stood), quantity) {
        (Some(_), Quantity::DcVolts) => figures::with_volts(&text),
        _ => text,
    }
}

/// The limits that a reading is held against whose leads were exchanged.
fn turned(compared: &Compared, reading: &Reading, quantity: Quantity) -> String {
    match &compared.quantity {
        Some((_, side)) if side.turned => format!(
            "{} is judged with the leads exchanged, limits {}",
            shown_with_unit(&reading.shown, quantity),
            limit_words(side, quantity)
        ),
        _ => String::new(),
    }
}

pub(super) fn found(job: &Job, comparison: &Comparison, id: RowId) -> Vec<Found> {
    let row = job.row(id);
    let quantity = row.quantity;
    comparison
        .readings
        .iter()
        .filter_map(|compared| Some((compared, job.readings.get(compared.reading)?)))
        .filter(|(_, reading)| reading.point == row.point)
        .filter(|(_, reading)| job.row_named(&reading.point) == Some(id))
        .map(|(compared, reading)| Found {
            text: shown_with_unit(&reading.shown, quantity),
            value: shown_value(&reading.shown),
            with: meter_and_range(compared, reading),
            turned: turned(compared, reading, quantity),
            meter: reading.meter.name.clone(),
            range: Rounded::to(compared.range.range.full_scale, 6)
                .map(|_| compared.range.range.full_scale),
            set: reading.set.clone(),
            date: reading.date.clone(),
            deviation_percent: compared
                .deviation
                .and_then(|share| Rounded::to(share * 100.0, 1)),
            far: far(row, compared, reading).unwrap_or_default(),
            verdict: compared.judgement.verdict.word(),
            conformity: (compared.judgement.conformity)
                .and_then(|probability| Rounded::to(probability, 3)),
            judged: compared.judgement.verdict,
        })
        .collect()
}

pub(super) fn boxed((compared, reading): Taken<'_>, quantity: Quantity) -> Option<Boxed> {
    Some(Boxed {
        text: shown_with_unit(&reading.shown, quantity),
        value: shown_value(&reading.shown),
        meter: reading.meter.name.clone(),
        date: reading.date.clone(),
        judged: compared.judgement.verdict,
    })
}

pub(super) fn change_words(by: f64, resolution: f64, quantity: Quantity) -> String {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => {
            figures::with_volts(&signed(by, decimals_for(resolution)))
        }
        // A change of so many kilohms or milliamperes says less than its share of the first value.
        Quantity::Ohms | Quantity::DcMilliamperes => String::new(),
    }
}
