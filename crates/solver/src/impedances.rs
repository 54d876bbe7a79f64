//! Resistances between the rows that devices touch, with a port driven or not.

use nalgebra::{DMatrix, DVector};

use crate::thin::Thin;

/// Of fewer rows every entry is kept.
const MANY: usize = 96;

/// An entry below this share of the root of those on the diagonal beside and above it is lost in
/// the rounding of the inverse.
const DROPPED: f64 = 1e-13;

/// A vector with less than this share of entries is met entry by entry.
const FEW: f64 = 0.02;

/// `Z`, or `Z − give·z wᵀ` with a port driven, which is not written out: one matrix serves all
/// ports.
#[derive(Clone, Copy)]
pub(crate) struct Impedances<'a> {
    pub(crate) solved: &'a DMatrix<f64>,
    /// `Z` again, for products.
    pub(crate) thin: Option<&'a Thin>,
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
        let mut volts = times((self.solved, self.thin), amperes);
        if let Some(port) = self.driven {
            volts.axpy(-port.give * port.pulled.dot(amperes), port.pushed, 1.0);
        }
        volts
    }

    /// The same with rows and columns exchanged.
    pub(crate) fn turned_times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = turned_times((self.solved, self.thin), amperes);
        if let Some(port) = self.driven {
            volts.axpy(-port.give * port.pushed.dot(amperes), port.pulled, 1.0);
        }
        volts
    }
}

/// `Z`, written with what is alike in it once; none where it is small or nothing is.
pub(crate) fn thin(solved: &DMatrix<f64>) -> Option<Thin> {
    if solved.nrows() <= MANY {
        return None;
    }
    let own = solved.diagonal();
    let sizes: Vec<f64> = own.iter().map(|ohms| ohms.abs().sqrt()).collect();
    Thin::of(solved, (&sizes, &sizes), DROPPED)
}

/// `Z x`
pub(crate) fn times(
    (solved, thin): (&DMatrix<f64>, Option<&Thin>),
    amperes: &DVector<f64>,
) -> DVector<f64> {
    match thin {
        Some(thin) => thin.times(amperes.as_slice()),
        None => {
            let mut volts = DVector::zeros(amperes.len());
            for (column, value) in amperes.iter().enumerate() {
                if *value != 0.0 {
                    volts.axpy(*value, &solved.column(column), 1.0);
                }
            }
            volts
        }
    }
}

/// `Zᵀx`
pub(crate) fn turned_times(
    (solved, thin): (&DMatrix<f64>, Option<&Thin>),
    amperes: &DVector<f64>,
) -> DVector<f64> {
    let Some(thin) = thin else {
        return solved.tr_mul(amperes);
    };
    let few = amperes.iter().filter(|value| **value != 0.0).count();
    if few as f64 > FEW * amperes.len() as f64 {
        return thin.turned_times(amperes);
    }
    let mut volts = DVector::zeros(amperes.len());
    for (row, value) in amperes
        .iter()
        .enumerate()
        .filter(|(_, value)| **value != 0.0)
    {
        volts.axpy(*value, &solved.row(row).transpose(), 1.0);
    }
    volts
}
