//! What the manual adds to the model, in order and faulty.
//!
//! The manual's value carried over differs from the model's own by `d`. As far as the parts'
//! numbers can explain it, `û = Mᵀ(MMᵀ + W)⁻¹d`, it is an offset of those numbers and follows
//! them into the faulty circuit: a tube that draws no current any more takes its offset with it.
//! The rest stays as the current into the port that makes it, `i = ε(1 + gR)/R`:
//!
//! ```text
//! ŷ = m_h + M_h û + ε·(R_h/(1 + gR_h))/(R/(1 + gR))
//! ```
//!
//! with `M` the readings' spread by the numbers and the ratio at most 1. In order this is the
//! manual's value itself.

use nalgebra::{DMatrix, DVector};

use crate::suspects::view::{Spread, View};
use reconcile::Covariance;
use reconcile::ReconcileError;

/// Most that the numbers' offset may move a reading, in standard deviations of the spread there:
/// beyond it the tangent means nothing.
const MOST_SIGMAS: f64 = 3.0;

/// What the manual says beside the drawn circuit.
#[derive(Clone, Debug)]
pub(crate) struct Anchoring {
    /// `û`, in standard deviations of each number.
    offsets: DVector<f64>,
    /// `ε`, for each reading; 0 where the manual has no value.
    rest: Vec<f64>,
    /// Resistance of each reading's port in order, with its meter on it.
    ohms: Vec<f64>,
}

impl Anchoring {
    /// From the view of the circuit in order; `by_manual` and `noise` for each of its probes.
    ///
    /// # Errors
    /// [`ReconcileError`] if the covariance cannot be inverted.
    pub(crate) fn new(
        (view, spread): (&View, &Spread),
        by_manual: &[Option<f64>],
        noise: &[f64],
    ) -> Result<Self, ReconcileError> {
        let anchored: Vec<usize> = (0..by_manual.len())
            .filter(|place| by_manual[*place].is_some())
            .collect();
        let n = anchored.len();
        let own = DMatrix::from_fn(n, spread.ncols(), |i, j| spread[(anchored[i], j)]);
        let differences = DVector::from_iterator(
            n,
            anchored
                .iter()
                .map(|place| by_manual[*place].map_or(0.0, |volts| volts - view.volts[*place])),
        );
        let mut matrix = &own * own.transpose();
        for (row, place) in anchored.iter().enumerate() {
            matrix[(row, row)] += noise[*place];
        }
        let covariance = Covariance::new(&matrix)?;
        let offsets = own.transpose() * (&covariance.inverse * &differences);
        let left = differences - own * &offsets;
        let mut rest = vec![0.0; by_manual.len()];
        for (row, place) in anchored.iter().enumerate() {
            rest[*place] = left[row];
        }
        Ok(Anchoring {
            offsets,
            rest,
            ohms: view.ohms.clone(),
        })
    }

    /// What to add to the model of a state whose spread is known.
    pub(crate) fn shift(&self, view: &View, spread: &Spread) -> Vec<f64> {
        let by_numbers = self.by_numbers(spread);
        let each = by_numbers.into_iter().enumerate();
        each.map(|(place, volts)| volts + self.kept(place, view.ohms[place]))
            .collect()
    }

    /// `M_h û` of any probes, for those that the manual says nothing of.
    pub(crate) fn by_numbers(&self, spread: &Spread) -> Vec<f64> {
        let by_numbers = spread * &self.offsets;
        (0..spread.nrows())
            .map(|place| {
                let most = MOST_SIGMAS * spread.row(place).norm();
                by_numbers[place].clamp(-most, most)
            })
            .collect()
    }

    /// `ε·(R_h/(1 + gR_h))/(R/(1 + gR))`
    fn kept(&self, place: usize, faulty_ohms: f64) -> f64 {
        let (Some(rest), Some(ohms)) = (self.rest.get(place), self.ohms.get(place)) else {
            return 0.0;
        };
        if *ohms <= 0.0 {
            return *rest;
        }
        rest * (faulty_ohms / ohms).min(1.0)
    }
}
