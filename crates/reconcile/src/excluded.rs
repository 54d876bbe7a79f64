//! Readings that leave a fit and come back, each by a change of rank one.

use nalgebra::DVector;

use crate::fit::Fit;

/// A reading as those of a fit see it that it is not one of.
#[derive(Clone, Debug)]
pub(crate) struct Excluded {
    /// `S⁻¹s`, `s` its covariance with them.
    pub(crate) weights: DVector<f64>,
    /// Its variance about what they say: `h P hᵀ + w − sᵀS⁻¹s`.
    pub(crate) open: f64,
    /// Its distance from that: `r − sᵀS⁻¹r`.
    pub(crate) innovation: f64,
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
    pub(crate) fn take_in(&mut self, k: usize, excluded: &Excluded) {
        let mut weights = excluded.weights.clone();
        weights[k] = -1.0;
        self.add(&weights, 1.0 / excluded.open, -excluded.innovation);
        self.log_determinant += excluded.open.ln();
        self.kept[k] = true;
    }

    /// Adds `share · u uᵀ` to `S⁻¹`, with `uᵀr = by`.
    fn add(&mut self, u: &DVector<f64>, share: f64, by: f64) {
        if let Some(all_weights) = &mut self.all_weights {
            all_weights.ger(share, u, &(&self.matrix * u), 1.0);
        }
        self.inverse.ger(share, u, u, 1.0);
        self.weighted.axpy(share * by, u, 1.0);
    }

    /// One that was left out, as the others see it.
    pub(crate) fn excluded(&self, k: usize) -> Excluded {
        let shared = self.matrix.column(k);
        let weights = match &self.all_weights {
            Some(all_weights) => all_weights.column(k).into_owned(),
            None => &self.inverse * shared,
        };
        // Rounding may leave a hair below zero of what the readings settle wholly.
        let open = (self.matrix[(k, k)] - shared.dot(&weights)).max(self.noise[k]);
        Excluded {
            innovation: self.residuals[k] - shared.dot(&self.weighted),
            weights,
            open,
        }
    }

    /// Every reading's distance from what the others say, as [`Fit::sigmas`], with one more taken in.
    pub(crate) fn sigmas_with(&self, k: usize, excluded: &Excluded) -> Vec<f64> {
        let Excluded {
            weights,
            open,
            innovation,
        } = excluded;
        let sigma = |i: usize| match self.kept[i] {
            true => {
                let own = self.inverse[(i, i)] + weights[i].powi(2) / open;
                ((self.weighted[i] - weights[i] * innovation / open) / own.sqrt()).abs()
            }
            false if i == k => (innovation / open.sqrt()).abs(),
            false => 0.0,
        };
        (0..self.len()).map(sigma).collect()
    }

    /// How much the log likelihood gains if one that is left out stands in the place of one that
    /// is kept.
    pub(crate) fn gain_by(&self, kept: usize, other: usize) -> f64 {
        let log_density =
            |innovation: f64, open: f64| -0.5 * (innovation * innovation / open + open.ln());
        let Excluded {
            weights,
            open,
            innovation,
        } = self.excluded(other);
        // What the others alone say of it: [S⁻¹s]_k and S⁻¹ without row k.
        let own = self.inverse[(kept, kept)];
        let open = open + weights[kept].powi(2) / own;
        let innovation = innovation + weights[kept] * self.weighted[kept] / own;
        log_density(innovation, open) - log_density(self.weighted[kept] / own, 1.0 / own)
    }
}
