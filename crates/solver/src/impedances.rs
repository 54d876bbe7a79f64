//! Resistances between the rows that devices touch, with a port driven or not.

use nalgebra::{DMatrix, DVector};

/// `Z`, or `Z − give·z wᵀ` with a port driven, which is not written out: one matrix serves all
/// ports.
#[derive(Clone, Copy)]
pub(crate) struct Impedances<'a> {
    pub(crate) solved: &'a DMatrix<f64>,
    pub(crate) driven: Option<Driven<'a>>,
}

/// A port that answers.
#[derive(Clone, Copy)]
pub(crate) struct Driven<'a> {
    /// `z`
    pub(crate) pushed: &'a DVector<f64>,
    /// `w`
    pub(crate) pulled: &'a DVector<f64>,
    /// In siemens.
    pub(crate) give: f64,
}

impl Impedances<'_> {
    /// One entry, in ohms.
    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        let answered = self.driven.map_or(0.0, |port| {
            port.give * port.pushed[row] * port.pulled[column]
        });
        self.solved[(row, column)] - answered
    }

    /// Volts for these amperes, many of which may be none.
    pub(crate) fn times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = DVector::zeros(amperes.len());
        for (column, value) in amperes.iter().enumerate() {
            if *value != 0.0 {
                volts.axpy(*value, &self.solved.column(column), 1.0);
            }
        }
        if let Some(port) = self.driven {
            volts.axpy(-port.give * port.pulled.dot(amperes), port.pushed, 1.0);
        }
        volts
    }

    /// The same with rows and columns exchanged.
    pub(crate) fn turned_times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = self.solved.tr_mul(amperes);
        if let Some(port) = self.driven {
            volts.axpy(-port.give * port.pushed.dot(amperes), port.pulled, 1.0);
        }
        volts
    }
}
