//! A point of the manual before any bench meter is put on it.
//!
//! Either its circuit is drawn, and the reconciled circuit says what any meter should read there;
//! or only its source resistance is stated, and the manual's value is carried over by the closed
//! form. What each of the two sources, manual and drawing, says by itself is found on request.

use std::sync::Arc;

use reconcile::{DiscrepancyFound, Reconciled};
use solver::SolveError;

use crate::anchor::Anchor;
use crate::drawn_point::{Alone, DrawnPoint};
use crate::nonlinear::ManualReading;
use crate::not_carried::NotCarried;

/// A point, ready for any meter.
#[derive(Clone, Debug)]
pub enum PointModel {
    /// By its source resistance alone.
    Stated(Anchor),
    /// By its drawn circuit, reconciled with the manual.
    Drawn(Box<DrawnPoint>),
}

impl PointModel {
    /// The model of an entry's point.
    ///
    /// # Errors
    /// [`NotCarried`] where nothing can be said of it.
    pub(crate) fn of(
        reconciled: &Arc<Reconciled>,
        index: usize,
        reading: ManualReading,
    ) -> Result<Self, NotCarried> {
        let entry = &reconciled.job().manual[index];
        let port = match (entry.source, entry.port) {
            (Some(ohms), _) => {
                return Ok(PointModel::Stated(Anchor::stated(
                    ohms,
                    reading.siemens,
                    reading.printed,
                )))
            }
            (None, Some(port)) => port,
            (None, None) => return Err(NotCarried::NotDrawn),
        };
        let point = DrawnPoint::of(reconciled, index, port, reading)?;
        Ok(PointModel::Drawn(Box::new(point)))
    }

    /// What a bench meter of this conductance in siemens should read.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit finds no state with that meter on it.
    pub fn carried(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => anchor.carried(siemens),
            PointModel::Drawn(point) => Ok(point.expected(siemens)?.volts),
        }
    }

    /// The same, to the accuracy that the choice of a range needs.
    pub(crate) fn shown(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => anchor.carried(siemens),
            PointModel::Drawn(point) => {
                let near = point.near(siemens);
                point.reconciled.shown(&point.bench, siemens, near)
            }
        }
    }

    /// The same by the tangent of the nearer state; none where the bench has other conditions than the manual.
    pub(crate) fn about(&self, siemens: f64) -> Option<f64> {
        match self {
            PointModel::Stated(_) => None,
            PointModel::Drawn(point) => point.about(siemens),
        }
    }

    /// Derivative of a bench reading by the manual's, in volts per volt, if the drawing is right.
    pub(crate) fn ratio(&self, siemens: f64) -> Result<f64, SolveError> {
        match self {
            PointModel::Stated(anchor) => Ok(anchor.stated_ratio(siemens)),
            PointModel::Drawn(point) => Ok(point.ratio(point.expected(siemens)?.ohms)),
        }
    }

    /// Resistance in ohms seen at the point with no meter on it.
    pub fn source_ohms(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.source_ohms(),
            PointModel::Drawn(point) => point.open.ohms,
        }
    }

    /// The volts of the point with no meter at all, under the manual's conditions.
    pub fn unloaded(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.unloaded(),
            PointModel::Drawn(point) => point.open.volts,
        }
    }

    /// How much the manual's meter moves the reading, as a share of the unloaded volts.
    pub fn loading(&self) -> f64 {
        match self {
            PointModel::Stated(anchor) => anchor.loading(),
            PointModel::Drawn(point) => point.loading(),
        }
    }

    /// What the drawing seems to lack at the point; none where nothing is drawn.
    pub fn discrepancy(&self) -> Option<DiscrepancyFound> {
        match self {
            PointModel::Stated(_) => None,
            PointModel::Drawn(point) => point.reconciled.discrepancy(point.port),
        }
    }

    /// The manual's value by itself, ready to be carried to any meter.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit as drawn finds no state that reads it.
    pub fn anchor(&self) -> Result<&Anchor, SolveError> {
        match self {
            PointModel::Stated(anchor) => Ok(anchor),
            PointModel::Drawn(point) => point.anchor(),
        }
    }

    /// The manual's value carried over by itself; none where it is what the point rests on anyway.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit as drawn finds no state that reads it.
    pub fn manual_alone(&self, siemens: f64) -> Result<Option<Alone>, SolveError> {
        match self {
            PointModel::Stated(_) => Ok(None),
            PointModel::Drawn(point) => point.manual_alone(siemens).map(Some),
        }
    }

    /// What the drawn circuit says by itself; none where nothing is drawn.
    ///
    /// # Errors
    /// [`SolveError`] where it finds no state with that meter on the point.
    pub fn drawing_alone(&self, siemens: f64) -> Result<Option<Alone>, SolveError> {
        match self {
            PointModel::Stated(_) => Ok(None),
            PointModel::Drawn(point) => point.drawing_alone(siemens).map(Some),
        }
    }
}
