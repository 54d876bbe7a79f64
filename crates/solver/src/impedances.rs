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

/// Conductances that have changed: `Z − Σ y_b w_bᵀ` with `y_b = Σ z_a M_ab`.
#[derive(Clone, Copy)]
pub(crate) struct Changed<'a> {
    pub(crate) ports: &'a [Arc<Prepared>],
    /// `y_b`
    pub(crate) responses: &'a [DVector<f64>],
}

impl Changed<'_> {
    /// `y_b` of each of these ports, with `M` between them.
    pub(crate) fn responses(ports: &[Arc<Prepared>], middle: &DMatrix<f64>) -> Vec<DVector<f64>> {
        let of = |b: usize| {
            let mut own = DVector::zeros(ports[b].response.len());
            for (a, port) in ports.iter().enumerate() {
                own.axpy(middle[(a, b)], &port.response, 1.0);
            }
            own
        };
        (0..ports.len()).map(of).collect()
    }

    /// `y_b` and `w_b`
    fn each(&self) -> impl Iterator<Item = (&DVector<f64>, &DVector<f64>)> {
        let adjoint = self.ports.iter().map(|port| &port.adjoint_response);
        self.responses.iter().zip(adjoint)
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
        let answered = self.answered();
        let answered: f64 = answered
            .map(|(give, response, adjoint)| give * response[row] * adjoint[column])
            .sum();
        self.solved[(row, column)] - answered
    }

    /// What is less than in `Z`, `give·z wᵀ` for each: `give`, `z` and `w`.
    fn answered(&self) -> impl Iterator<Item = (f64, &DVector<f64>, &DVector<f64>)> {
        let driven = self.driven.iter();
        let driven = driven.map(|port| (port.give, port.response, port.adjoint_response));
        let changed = self.changed.iter().flat_map(Changed::each);
        driven.chain(changed.map(|(response, adjoint)| (1.0, response, adjoint)))
    }

    /// The entries among some rows.
    pub(crate) fn among(&self, rows: &[usize]) -> DMatrix<f64> {
        if self.behind.is_some() {
            return DMatrix::from_fn(rows.len(), rows.len(), |i, j| self.at(rows[i], rows[j]));
        }
        let mut found = DMatrix::zeros(rows.len(), rows.len());
        for (column, mut own) in rows.iter().zip(found.column_iter_mut()) {
            let solved = self.solved.column(*column);
            own.iter_mut()
                .zip(rows)
                .for_each(|(entry, row)| *entry = solved[*row]);
            for (give, response, adjoint) in self.answered() {
                let share = give * adjoint[*column];
                let each = own.iter_mut().zip(rows);
                each.for_each(|(entry, row)| *entry -= share * response[*row]);
            }
        }
        found
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
        for (give, response, adjoint) in self.answered() {
            volts.axpy(-give * adjoint.dot(amperes), response, 1.0);
        }
        volts
    }

    fn turned_times_within(&self, amperes: &DVector<f64>) -> DVector<f64> {
        let mut volts = turned_times((self.solved, self.parted), amperes);
        for (give, response, adjoint) in self.answered() {
            volts.axpy(-give * response.dot(amperes), adjoint, 1.0);
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
