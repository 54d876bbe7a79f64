//! Resistances between the rows that devices touch, with a port driven or not.

use nalgebra::{DMatrix, DVector};

use crate::thin::Thin;

/// Of fewer rows every entry is kept.
const MANY: usize = 96;

/// An entry below this share of the root of those on the diagonal beside and above it is lost in
/// the rounding of the inverse.
const DROPPED: f64 = 1e-13;

/// A vector with less than this share of entries is met entry by entry.
const FEW: f64 = 0.05;

/// `Z`, or `Z − give·z wᵀ` with a port driven, which is not written out: one matrix serves all
/// ports.
#[derive(Clone, Copy)]
pub(crate) struct Impedances<'a> {
    pub(crate) solved: &'a DMatrix<f64>,
    /// `Z` again, for products.
    pub(crate) parted: Option<&'a Parted>,
    pub(crate) driven: Option<Driven<'a>>,
}

/// A port that answers.
#[derive(Clone, Copy)]
pub(crate) struct Driven<'a> {
    /// `z`
    pub(crate) response: &'a DVector<f64>,
    /// `w`
    pub(crate) adjoint_response: &'a DVector<f64>,
    /// In siemens.
    pub(crate) give: f64,
    /// `R`
    pub(crate) ohms: f64,
}

impl Impedances<'_> {
    /// One entry, in ohms.
    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        let answered = self.driven.map_or(0.0, |port| {
            port.give * port.response[row] * port.adjoint_response[column]
        });
        self.solved[(row, column)] - answered
    }

    /// Volts for these amperes, many of which may be none.
    pub(crate) fn times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = times((self.solved, self.parted), amperes);
        if let Some(port) = self.driven {
            volts.axpy(
                -port.give * port.adjoint_response.dot(amperes),
                port.response,
                1.0,
            );
        }
        volts
    }

    /// The same with rows and columns exchanged.
    pub(crate) fn turned_times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = turned_times((self.solved, self.parted), amperes);
        if let Some(port) = self.driven {
            volts.axpy(
                -port.give * port.response.dot(amperes),
                port.adjoint_response,
                1.0,
            );
        }
        volts
    }
}

/// A large `Z`.
#[derive(Clone, Debug)]
pub(crate) struct Parted {
    /// Written with what is alike in it once.
    thin: Thin,
    /// `Zᵀ`, whose columns lie together in memory.
    turned: DMatrix<f64>,
}

/// `Z` again, for products; none where it is small or nothing in it is alike.
pub(crate) fn parted(solved: &DMatrix<f64>) -> Option<Parted> {
    if solved.nrows() <= MANY {
        return None;
    }
    let own = solved.diagonal();
    let sizes: Vec<f64> = own.iter().map(|ohms| ohms.abs().sqrt()).collect();
    Some(Parted {
        thin: Thin::of(solved, (&sizes, &sizes), DROPPED)?,
        turned: solved.transpose(),
    })
}

/// `Z x`
pub(crate) fn times(
    (solved, parted): (&DMatrix<f64>, Option<&Parted>),
    amperes: &DVector<f64>,
) -> DVector<f64> {
    match parted {
        Some(parted) => parted.thin.times(amperes.as_slice()),
        None => columns(solved, amperes),
    }
}

/// `Zᵀx`
pub(crate) fn turned_times(
    (solved, parted): (&DMatrix<f64>, Option<&Parted>),
    amperes: &DVector<f64>,
) -> DVector<f64> {
    let Some(parted) = parted else {
        return solved.tr_mul(amperes);
    };
    let few = amperes.iter().filter(|value| **value != 0.0).count();
    if few as f64 > FEW * amperes.len() as f64 {
        return parted.thin.turned_times(amperes);
    }
    columns(&parted.turned, amperes)
}

/// The sum of a matrix's columns, each so many times, those that are not there left out.
fn columns(matrix: &DMatrix<f64>, times: &DVector<f64>) -> DVector<f64> {
    let mut sum = DVector::zeros(matrix.nrows());
    for (column, times) in times.iter().enumerate() {
        if *times != 0.0 {
            sum.axpy(*times, &matrix.column(column), 1.0);
        }
    }
    sum
}
