//! A job: one set on the bench, its manual, its circuit and its meters.

use units::Tolerance;

use crate::circuit::Circuit;
use crate::manual::ManualEntry;
use crate::meter::Meter;
use crate::reading::Reading;

/// How the manual's values were taken.
#[derive(Clone, Debug, PartialEq)]
pub struct Documented {
    /// Line volts of the manual, where stated.
    pub line: Option<f64>,
    /// Tolerance for rows that state none.
    pub tolerance: Option<Tolerance>,
    /// Conditions in the manual's words.
    pub conditions: String,
}

/// What is on the bench today.
#[derive(Clone, Debug, PartialEq)]
pub struct Bench {
    /// Meters to translate for, the first of them the one in use.
    pub meters: Vec<Meter>,
    /// Line volts at the bench, where stated.
    pub line: Option<f64>,
}

/// Everything that a job folder says.
#[derive(Clone, Debug, PartialEq)]
pub struct Job {
    /// What the set is.
    pub title: String,
    /// The folder as the user named it.
    pub folder: String,
    /// The drawn circuit.
    pub circuit: Circuit,
    /// The manual's values.
    pub manual: Vec<ManualEntry>,
    /// Bench readings.
    pub readings: Vec<Reading>,
    /// Meters described by the job, besides the classes built in.
    pub own_meters: Vec<Meter>,
    /// How the manual's values were taken.
    pub documented: Documented,
    /// What is on the bench.
    pub bench: Bench,
}

impl Job {
    /// Line volts of the bench over line volts of the manual; 1 where either is unstated.
    pub fn line_factor(&self) -> f64 {
        match (self.documented.line, self.bench.line) {
            (Some(manual), Some(bench)) => bench / manual,
            _ => 1.0,
        }
    }
}
