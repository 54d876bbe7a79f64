//! One point of a sheet, rounded and in words.
//!
//! Every output of a sheet reads its points from here; the JSON document is these types themselves. How they are made,
//! and how they are laid out, is not known here.

use circuit::Quantity;
use paper::Picture;
#[cfg(feature = "schema")]
use schemars::JsonSchema;
use serde::Serialize;

use crate::quantity::DueWords;

use super::reading::{Boxed, Found};
use super::rounded::Rounded;

/// One point.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct SheetPoint {
    /// The manual's own label.
    pub point: String,
    /// Further names that the manual has for it.
    pub also: Vec<String>,
    /// What the manual says under those names, where it is not the same.
    pub again: Vec<Again>,
    /// The group that it is probed with.
    pub group: String,
    /// The place in words, as in the tables; empty where the name says it.
    #[serde(skip)]
    pub place: String,
    /// What the red probe touches.
    pub red: String,
    /// What the black probe touches.
    pub black: String,
    /// The base from below with the pin marked; none for a point at no pin.
    #[serde(skip)]
    pub socket: Option<Picture>,
    /// What is measured: direct volts, alternating volts, resistance, direct current.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["dc V", "ac V", "ohm", "dc mA"])))]
    pub quantity: &'static str,
    /// The same.
    #[serde(skip)]
    pub kind: Quantity,
    /// The danger mark. Null below every threshold.
    pub danger: Option<Warning>,
    /// What the manual says.
    pub manual: Printed,
    /// What the bench meters should show; empty where the point is not translated.
    pub bench: Vec<Due>,
    /// Readings taken so far.
    pub found: Vec<Found>,
    /// How the controls have to stand, `S1 closed`; empty where they are not asked for.
    #[serde(skip)]
    pub set_to: String,
    /// How to undo that: `open S1 again`.
    #[serde(skip)]
    pub set_back: String,
    /// Whether it is translated.
    #[serde(skip)]
    pub translated: bool,
    /// Whether it is another quantity than direct volts and something is expected of it.
    #[serde(skip)]
    pub apart: bool,
    /// What the bench meters should show of another quantity; empty for direct volts.
    #[serde(skip)]
    pub other: Vec<DueWords>,
    /// Marks for what has to be known of its value, as in the table of `translate`.
    #[serde(skip)]
    pub marks: String,
    /// What goes into the boxes: as found and as left.
    #[serde(skip)]
    pub boxes: [Option<Boxed>; 2],
    /// Last reading less first, in words; empty without two readings of one meter.
    #[serde(skip)]
    pub change: String,
    /// Sentences for the person at the bench.
    pub remarks: Vec<String>,
    /// The remarks in few words.
    #[serde(skip)]
    pub brief: Vec<String>,
}

impl SheetPoint {
    /// Whether a further meter shares the first one's line: it reads alike and nothing was read with it.
    pub(crate) fn shares_line(&self, meter: &str, as_first: bool) -> bool {
        let unread = self.found.iter().all(|found| found.meter != meter);
        as_first && unread && self.again.is_empty()
    }

    /// Whether that line offers it too: no reading of it could settle there what one of the first meter can, if the
    /// first is no coarser than the limits and this one is.
    pub(crate) fn offers(&self, due: &Due) -> bool {
        self.shares_line(&due.meter, due.as_first)
            && (!due.is_coarse() || self.bench.first().is_some_and(Due::is_coarse))
    }

    /// Whether it has a row of its own in the table to work from.
    pub(crate) fn is_row(&self) -> bool {
        self.translated
    }
}

/// What the manual says of a place a second time, under a further name of it.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Again {
    /// The further name.
    pub point: String,
    /// What the manual says.
    pub manual: Printed,
    /// What the bench meters should show by it.
    pub bench: Vec<Due>,
    /// Remarks that the first does not have.
    pub remarks: Vec<String>,
    /// The same in few words.
    #[serde(skip)]
    pub brief: Vec<String>,
}

/// The mark of a dangerous point.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Warning {
    /// The mark in a word.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["HAZARDOUS", "LETHAL"])))]
    pub word: &'static str,
    /// The sign before the word.
    #[cfg_attr(feature = "schema", schemars(extend("enum" = ["!", "!!"])))]
    pub sign: &'static str,
    /// The most that the point may reach.
    pub volts: Option<Rounded>,
    /// Whether the rating of meter and leads has to be looked at.
    pub check_rating: bool,
}

/// What the manual says.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Printed {
    /// The printed value. In the SI unit of the quantity: volts, ohms or amperes.
    pub value: Option<Rounded>,
    /// The value with its unit.
    #[serde(skip)]
    pub text: String,
    /// The meter it was read with.
    pub meter: String,
    /// Full scale of the range, volts.
    pub range: Option<f64>,
    /// Whether the range was assumed.
    pub range_assumed: Option<bool>,
}

/// What a bench meter should show.
#[derive(Clone, Debug, PartialEq, Serialize)]
#[cfg_attr(feature = "schema", derive(JsonSchema))]
pub(crate) struct Due {
    /// Its name.
    pub meter: String,
    /// Full scale of the range, volts.
    pub range: Option<f64>,
    /// What it should show, volts.
    pub expected: Option<Rounded>,
    /// Expanded uncertainty, 95 %.
    pub uncertainty: Option<Rounded>,
    /// What the manual's tolerance allows it to show, volts. An open side is null.
    pub band: [Option<Rounded>; 2],
    /// The band in words.
    #[serde(skip)]
    pub limits: String,
    /// Whether a reading of it could stand in the line of the first meter.
    #[serde(skip)]
    pub as_first: bool,
}

impl Due {
    /// Whether the uncertainty is larger than half the distance of the limits.
    fn is_coarse(&self) -> bool {
        let [low, high] = self.band.map(|limit| limit.map(Rounded::value));
        let uncertainty = self.uncertainty.map(Rounded::value);
        matches!((low, high, uncertainty), (Some(low), Some(high), Some(u)) if u > 0.5 * (high - low))
    }
}
