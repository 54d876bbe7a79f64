//! Readings that leave a fit and come back, each by a change of rank one.

use nalgebra::DVector;

use crate::fit::Fit;

/// A reading as those of a fit see it that it is not one of.
#[derive(Clone, Debug)]
pub(crate) struct Newcomer {
    /// `S⁻¹s`, `s` its covariance with them.
    pub(crate) pull: DVector<f64>,
    /// Its variance about what they say: `h P hᵀ + w − sᵀS⁻¹s`.
    pub(crate) open: f64,
    /// Its distance from that: `r − sᵀS⁻¹r`.
    pub(crate) miss: f64,
}

impl Fit {
    /// Leaves a reading out: with `e` its column of `S⁻¹`, that becomes `S⁻¹ − e eᵀ/[S⁻¹]_kk`.
    pub(crate) fn leave_out(&mut self, k: usize) {
        let column = self.inverse.column(k).into_owned();
        let own = column[k];
        self.add(&column, -1.0 / own, self.weighted[k]);
        self.inverse.column_mut(k).fill(0.0);
        self.inverse.row_mut(k).fill(0.0);
        self.weighted[k] = 0.0;
        self.log_determinant += own.ln();
        self.kept[k] = false;
    }

    /// Takes one in that was left out: with `u = S⁻¹s − 1` at its place, `S⁻¹` becomes
    /// `S⁻¹ + u uᵀ/σ²`.
    pub(crate) fn take_in(&mut self, k: usize, newcomer: &Newcomer) {
        let mut pull = newcomer.pull.clone();
        pull[k] = -1.0;
        self.add(&pull, 1.0 / newcomer.open, -newcomer.miss);
        self.log_determinant += newcomer.open.ln();
        self.kept[k] = true;
    }

    /// Adds `share · u uᵀ` to `S⁻¹`, with `uᵀr = by`.
    fn add(&mut self, u: &DVector<f64>, share: f64, by: f64) {
        if let Some(pulls) = &mut self.pulls {
            pulls.ger(share, u, &(&self.matrix * u), 1.0);
        }
        self.inverse.ger(share, u, u, 1.0);
        self.weighted.axpy(share * by, u, 1.0);
    }

    /// One that was left out, as the others see it.
    pub(crate) fn newcomer(&self, k: usize) -> Newcomer {
        let shared = self.matrix.column(k);
        let pull = match &self.pulls {
            Some(pulls) => pulls.column(k).into_owned(),
            None => &self.inverse * shared,
        };
        // Rounding may leave a hair below zero of what the readings settle wholly.
        let open = (self.matrix[(k, k)] - shared.dot(&pull)).max(self.noise[k]);
        Newcomer {
            miss: self.residuals[k] - shared.dot(&self.weighted),
            pull,
            open,
        }
    }

    /// Every reading's distance from what the others say, as [`Fit::sigmas`], with one more taken in.
    pub(crate) fn sigmas_with(&self, k: usize, newcomer: &Newcomer) -> Vec<f64> {
        let Newcomer { pull, open, miss } = newcomer;
        let sigma = |i: usize| match self.kept[i] {
            true => {
                let own = self.inverse[(i, i)] + pull[i].powi(2) / open;
                ((self.weighted[i] - pull[i] * miss / open) / own.sqrt()).abs()
            }
            false if i == k => (miss / open.sqrt()).abs(),
            false => 0.0,
        };
        (0..self.len()).map(sigma).collect()
    }

    /// How much the log likelihood gains if one that is left out stands in the place of one that
    /// is kept.
    pub(crate) fn gain_by(&self, kept: usize, other: usize) -> f64 {
        let log_density = |miss: f64, open: f64| -0.5 * (miss * miss / open + open.ln());
        let Newcomer { pull, open, miss } = self.newcomer(other);
        // What the others alone say of it: [S⁻¹s]_k and S⁻¹ without row k.
        let own = self.inverse[(kept, kept)];
        let open = open + pull[kept].powi(2) / own;
        let miss = miss + pull[kept] * self.weighted[kept] / own;
        log_density(miss, open) - log_density(self.weighted[kept] / own, 1.0 / own)
    }
}
