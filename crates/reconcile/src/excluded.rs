//! Readings excluded from a fit and taken in again, each by an update of rank one.

use nalgebra::DVector;

use crate::fit::Fit;

/// A reading that a fit leaves out, as predicted by those that it keeps.
#[derive(Clone, Debug)]
pub(crate) struct Excluded {
    /// `S⁻¹s`, `s` being its covariance with them; one entry for each reading.
    pub(crate) weights: DVector<f64>,
    /// Its variance about their prediction: `h P hᵀ + w − sᵀS⁻¹s`.
    pub(crate) open: f64,
    /// Its deviation from that prediction: `r − sᵀS⁻¹r`.
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

    /// Takes an excluded reading in again: with `u = S⁻¹s − 1` at its place, `S⁻¹` becomes
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

    /// An excluded reading and its prediction from the others.
    pub(crate) fn excluded(&self, k: usize) -> Excluded {
        self.excluded_by(
            k,
            match &self.all_weights {
                Some(all_weights) => all_weights.column(k).into_owned(),
                None => &self.inverse * self.matrix.column(k),
            },
        )
    }

    /// Some excluded readings, in their order: one product for all.
    pub(crate) fn each_excluded(&self, rows: &[usize]) -> Vec<Excluded> {
        let weights = &self.inverse * self.matrix.select_columns(rows);
        let each = rows.iter().zip(weights.column_iter());
        each.map(|(k, weights)| self.excluded_by(*k, weights.into_owned()))
            .collect()
    }

    fn excluded_by(&self, k: usize, weights: DVector<f64>) -> Excluded {
        let shared = self.matrix.column(k);
        // Rounding may give slightly less than zero where the readings determine it completely.
        let open = (self.matrix[(k, k)] - shared.dot(&weights)).max(self.noise[k]);
        Excluded {
            innovation: self.residuals[k] - shared.dot(&self.weighted),
            weights,
            open,
        }
    }

    /// Every reading's deviation as [`Fit::sigmas`], with one more taken in.
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

    /// Gain of the log likelihood if an excluded reading replaces one that is kept.
    pub(crate) fn gain_by(&self, kept: usize, other: usize) -> f64 {
        let log_density =
            |innovation: f64, open: f64| -0.5 * (innovation * innovation / open + open.ln());
        let Excluded {
            weights,
            open,
            innovation,
        } = self.excluded(other);
        // Its prediction without reading k: [S⁻¹s]_k and S⁻¹ without row k.
        let own = self.inverse[(kept, kept)];
        let open = open + weights[kept].powi(2) / own;
        let innovation = innovation + weights[kept] * self.weighted[kept] / own;
        log_density(innovation, open) - log_density(self.weighted[kept] / own, 1.0 / own)
    }
}
