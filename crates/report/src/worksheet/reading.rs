//! What was read at a point, rounded and in words.
//!
//! Readings and their verdicts come in; what stands in the boxes and in the table of readings goes
//! out. What the meter should have shown is not known here.

use circuit::{Job, Quantity, Shown};
use serde::Serialize;
use translate::{Compared, Comparison};
use units::decimals_for;

use crate::compare_table::{meter_and_range, shown};
use crate::figures;
use crate::record::{signed, Taken};

use super::rounded::Rounded;

/// A reading and its verdict.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub(crate) struct Found {
    /// Volts; none for an overrange.
    pub value: Option<Rounded>,
    #[serde(skip)]
    pub text: String,
    /// Meter and range in words.
    #[serde(skip)]
    pub with: String,
    pub meter: String,
    pub range: Option<f64>,
    pub set: String,
    pub date: String,
    pub deviation_percent: Option<Rounded>,
    /// The deviation in percent, with its sign; empty without one.
    #[serde(skip)]
    pub off_percent: String,
    /// The probability in percent; empty without one.
    #[serde(skip)]
    pub chance_percent: String,
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
    /// The deviation in percent, with its sign; empty without one.
    pub off_percent: String,
}

fn shown_value(shown: &Shown) -> Option<Rounded> {
    match shown {
        Shown::Value(figure) => Rounded::to(figure.value, decimals_for(figure.resolution)),
        Shown::Overrange => None,
    }
}

/// The deviation in percent, with its sign; empty without one.
fn off_percent(compared: &Compared) -> String {
    compared.deviation.map_or(String::new(), |share| {
        figures::signed_percent(share * 100.0)
    })
}

/// What stood on the meter, with its unit.
fn shown_with_unit(stood: &Shown, quantity: Quantity) -> String {
    let text = shown(stood, quantity);
    match (shown_value(stood), quantity) {
        (Some(_), Quantity::DcVolts) => figures::with_volts(&text),
        _ => text,
    }
}

pub(super) fn found(job: &Job, comparison: &Comparison, index: usize) -> Vec<Found> {
    comparison
        .readings
        .iter()
        .filter(|compared| compared.entry == Some(index))
        .filter_map(|compared| {
            let reading = job.readings.get(compared.reading)?;
            let quantity = job
                .manual
                .get(index)
                .map_or(Quantity::DcVolts, |e| e.quantity);
            Some(Found {
                text: shown_with_unit(&reading.shown, quantity),
                value: shown_value(&reading.shown),
                with: meter_and_range(compared, reading),
                meter: reading.meter.name.clone(),
                range: Rounded::to(compared.range.range.full_scale, 6)
                    .map(|_| compared.range.range.full_scale),
                set: reading.set.clone(),
                date: reading.date.clone(),
                deviation_percent: compared
                    .deviation
                    .and_then(|share| Rounded::to(share * 100.0, 1)),
                off_percent: off_percent(compared),
                chance_percent: (compared.judgement.conformity)
                    .map_or(String::new(), figures::probability),
                verdict: compared.judgement.verdict.word(),
                conformity: (compared.judgement.conformity)
                    .and_then(|probability| Rounded::to(probability, 3)),
                judged: compared.judgement.verdict,
            })
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
        off_percent: off_percent(compared),
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
