//! Resistances between the rows that devices touch, with a port driven or not.

use std::sync::Arc;

use nalgebra::{DMatrix, DVector};

use crate::port::Prepared;
use crate::thin::Thin;

/// With fewer rows, every entry is kept.
const MANY: usize = 96;

/// An entry below this share of the root of those on the diagonal beside and above it is lost in
/// the rounding of the inverse.
const DROPPED: f64 = 1e-13;

/// `Z`, one row and one column for each row that devices touch, or `Z − give·z wᵀ` with a port
/// driven, or less what some changed conductances answer. Neither is formed: one matrix serves all ports
/// and all changes.
#[derive(Clone, Copy)]
pub(crate) struct Impedances<'a> {
    pub(crate) solved: &'a DMatrix<f64>,
    /// `Z` again, for products.
    pub(crate) parted: Option<&'a Parted>,
    pub(crate) driven: Option<Driven<'a>>,
    pub(crate) changed: Option<Changed<'a>>,
    pub(crate) behind: Option<BehindLeads<'a>>,
}

/// Rows behind broken leads, which follow those of `Z`: each has the volts of the row before its lead, if
/// that is no reference, and those across the lead.
#[derive(Clone, Copy)]
pub(crate) struct BehindLeads<'a> {
    /// The row of `Z` before each lead.
    pub(crate) outer: &'a [Option<usize>],
    /// The ohms of each lead.
    pub(crate) ohms: &'a DVector<f64>,
}

impl BehindLeads<'_> {
    /// The volts at all rows for amperes into them; `within` gives those at the rows of `Z`.
    fn volts(
        &self,
        amperes: &DVector<f64>,
        within: impl Fn(&DVector<f64>) -> DVector<f64>,
    ) -> DVector<f64> {
        let kept = amperes.len() - self.ohms.len();
        let through = amperes.rows(kept, self.ohms.len());
        let mut inner = amperes.rows(0, kept).into_owned();
        for (outer, through) in self.outer.iter().zip(through.iter()) {
            if let Some(row) = outer {
                inner[*row] += through;
            }
        }
        let mut volts = within(&inner).resize_vertically(amperes.len(), 0.0);
        for (place, outer) in self.outer.iter().enumerate() {
            let before = outer.map_or(0.0, |row| volts[row]);
            volts[kept + place] = before + self.ohms[place] * through[place];
        }
        volts
    }
}

/// Conductances that have changed: `Z − (Σ z_a M_ab w_bᵀ)`.
#[derive(Clone, Copy)]
pub(crate) struct Changed<'a> {
    pub(crate) ports: &'a [Arc<Prepared>],
    /// `M`
    pub(crate) middle: &'a DMatrix<f64>,
}

impl Changed<'_> {
    /// What they take off an entry.
    pub(crate) fn at(&self, row: usize, column: usize) -> f64 {
        let mut taken = 0.0;
        for (b, port) in self.ports.iter().enumerate() {
            let adjoint_response = port.adjoint_response[column];
            for (a, port) in self.ports.iter().enumerate() {
                taken += port.response[row] * self.middle[(a, b)] * adjoint_response;
            }
        }
        taken
    }
}

/// A driven port.
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
        let Some(behind) = &self.behind else {
            return self.within(row, column);
        };
        let kept = self.solved.nrows();
        let lead = |row: usize| row.checked_sub(kept);
        let outer = |row: usize| lead(row).map_or(Some(row), |lead| behind.outer[lead]);
        let shared = match (outer(row), outer(column)) {
            (Some(row), Some(column)) => self.within(row, column),
            _ => 0.0,
        };
        let own = lead(row).filter(|_| row == column);
        shared + own.map_or(0.0, |lead| behind.ohms[lead])
    }

    /// One entry among the rows of `Z`.
    fn within(&self, row: usize, column: usize) -> f64 {
        let answered = self.driven.map_or(0.0, |port| {
            port.give * port.response[row] * port.adjoint_response[column]
        });
        let changed = self.changed.map_or(0.0, |ports| ports.at(row, column));
        self.solved[(row, column)] - answered - changed
    }

    /// Volts for these amperes, many of which may be zero.
    pub(crate) fn times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        match &self.behind {
            Some(behind) => behind.volts(amperes, |inner| self.times_within(inner)),
            None => self.times_within(amperes),
        }
    }

    /// The same with rows and columns exchanged.
    pub(crate) fn turned_times(&self, amperes: &DVector<f64>) -> DVector<f64> {
        match &self.behind {
            Some(behind) => behind.volts(amperes, |inner| self.turned_times_within(inner)),
            None => self.turned_times_within(amperes),
        }
    }

    fn times_within(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = times((self.solved, self.parted), amperes);
        if let Some(port) = self.driven {
            volts.axpy(
                -port.give * port.adjoint_response.dot(amperes),
                port.response,
                1.0,
            );
        }
        if let Some(Changed { ports, middle }) = self.changed {
            for (b, port) in ports.iter().enumerate() {
                let across = port.adjoint_response.dot(amperes);
                for (a, port) in ports.iter().enumerate() {
                    volts.axpy(-middle[(a, b)] * across, &port.response, 1.0);
                }
            }
        }
        volts
    }

    fn turned_times_within(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = turned_times((self.solved, self.parted), amperes);
        if let Some(port) = self.driven {
            volts.axpy(
                -port.give * port.response.dot(amperes),
                port.adjoint_response,
                1.0,
            );
        }
        if let Some(Changed { ports, middle }) = self.changed {
            for (a, port) in ports.iter().enumerate() {
                let across = port.response.dot(amperes);
                for (b, port) in ports.iter().enumerate() {
                    volts.axpy(-middle[(a, b)] * across, &port.adjoint_response, 1.0);
                }
            }
        }
        volts
    }
}

/// A large `Z`.
#[derive(Clone, Debug)]
pub(crate) struct Parted {
    /// Stored with equal blocks once.
    thin: Thin,
    /// `Zᵀ` in the same way, for currents into few rows.
    turned: Thin,
}

/// `Z` stored for products; none where it is small or has no equal blocks.
pub(crate) fn parted(solved: &DMatrix<f64>) -> Option<Parted> {
    if solved.nrows() <= MANY {
        return None;
    }
    let own = solved.diagonal();
    let sizes: Vec<f64> = own.iter().map(|ohms| ohms.abs().sqrt()).collect();
    let turned = solved.transpose();
    let rows: Vec<&[f64]> = turned.as_slice().chunks(solved.ncols()).collect();
    let thin = Thin::of(&rows, (&sizes, &sizes), DROPPED)?;
    Some(Parted {
        turned: thin.turned(),
        thin,
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
    match parted {
        Some(parted) => parted.turned.times(amperes.as_slice()),
        None => solved.tr_mul(amperes),
    }
}

/// The weighted sum of a matrix's columns; columns of weight zero are skipped.
fn columns(matrix: &DMatrix<f64>, times: &DVector<f64>) -> DVector<f64> {
    let mut sum = DVector::zeros(matrix.nrows());
    for (column, times) in times.iter().enumerate() {
        if *times != 0.0 {
            sum.axpy(*times, &matrix.column(column), 1.0);
        }
    }
    sum
}
