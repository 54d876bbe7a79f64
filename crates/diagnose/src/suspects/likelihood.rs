//! How likely the readings are, given what a circuit would show and how far that is open.
//!
//! Readings with a value are jointly normal about the prediction, `S = G(1 − BBᵀ)Gᵀ + W`, with `G` how
//! they follow what is open and `B` what the manual has taught of that; an overrange is
//! the probability that its reading lies beyond full scale, either way, taken on its own. All in
//! logarithms. Where predictions come from is not known here.

use nalgebra::{DMatrix, DVector};
use statrs::function::erf::erfc;

use crate::suspects::bench_model::SensitivityMatrix;
use reconcile::Covariance;
use reconcile::ReconcileError;

/// Least probability that counts: below it the logarithm of a tail says nothing more.
const LEAST_TAIL: f64 = 1e-300;

/// What stood on the meters.
#[derive(Clone, Debug)]
pub(crate) struct Shown {
    /// Volts; none for an overrange.
    pub(crate) volts: Vec<Option<f64>>,
    /// Full scale of each range in volts.
    pub(crate) full_scale: Vec<f64>,
    /// Variance of each reading, in V².
    pub(crate) noise: Vec<f64>,
}

/// What the laws of tubes and semiconductors leave open of each reading. Readings of one point share it: no
/// error of a law makes a circuit show two voltages there.
#[derive(Clone, Copy, Debug)]
pub(crate) struct LawErrors<'a> {
    /// Standard deviation of each reading in volts, with the sign in which it moves; of no reading at all where
    /// there are no such laws.
    pub(crate) volts: &'a [f64],
    /// For each reading the first one of its point.
    pub(crate) points: &'a [usize],
}

impl LawErrors<'_> {
    /// No error of any law.
    pub(crate) const NONE: LawErrors<'static> = LawErrors {
        volts: &[],
        points: &[],
    };

    /// Adds their covariance, one row and one column for each reading.
    fn add_to(&self, matrix: &mut DMatrix<f64>) {
        for (i, own) in self.volts.iter().enumerate() {
            for (j, other) in self.volts.iter().enumerate() {
                if self.points[i] == self.points[j] {
                    matrix[(i, j)] += own * other;
                }
            }
        }
    }
}

/// The spread of all readings under one hypothesis.
#[derive(Clone, Debug)]
pub(crate) struct Joint {
    /// Readings with a value.
    pub(crate) valued: Vec<usize>,
    /// Their covariance.
    pub(crate) covariance: Covariance,
    /// `G Gᵀ` of all readings.
    own: DMatrix<f64>,
    /// `G B` of them.
    learnt: DMatrix<f64>,
    /// Standard deviation of every reading on its own, in volts.
    pub(crate) sigma: Vec<f64>,
}

impl Joint {
    /// `S = G(1 − BBᵀ)Gᵀ + W`
    ///
    /// # Errors
    /// [`ReconcileError`] if it cannot be inverted.
    pub(crate) fn new(
        sensitivities: &SensitivityMatrix,
        known: &DMatrix<f64>,
        shown: &Shown,
    ) -> Result<Self, ReconcileError> {
        let (own, learnt) = (
            sensitivities * sensitivities.transpose(),
            sensitivities * known,
        );
        Self::of((own, learnt), LawErrors::NONE, shown)
    }

    /// The same where only some rows of the spread are others than those of a known one, and some
    /// columns of it have gone.
    ///
    /// # Errors
    /// As [`Joint::new`].
    pub(crate) fn changed(
        &self,
        (before, known): (&SensitivityMatrix, &DMatrix<f64>),
        (sensitivities, rows, gone): (&SensitivityMatrix, &[usize], &[usize]),
        laws: LawErrors<'_>,
        shown: &Shown,
    ) -> Result<Self, ReconcileError> {
        let (mut own, mut learnt) = (self.own.clone(), self.learnt.clone());
        for gone in gone {
            let column = before.column(*gone);
            own.ger(-1.0, &column, &column, 1.0);
            learnt.ger(-1.0, &column, &known.row(*gone).transpose(), 1.0);
        }
        let changed = sensitivities.select_rows(rows);
        let with_all = sensitivities * changed.transpose();
        let taught = changed * known;
        for (place, row) in rows.iter().enumerate() {
            for other in 0..sensitivities.nrows() {
                own[(*row, other)] = with_all[(other, place)];
                own[(other, *row)] = with_all[(other, place)];
            }
            learnt.set_row(*row, &taught.row(place));
        }
        Self::of((own, learnt), laws, shown)
    }

    /// From `G Gᵀ`, `G B` and what the laws leave open, of all readings, those without a value among
    /// them.
    fn of(
        (own, learnt): (DMatrix<f64>, DMatrix<f64>),
        laws: LawErrors<'_>,
        shown: &Shown,
    ) -> Result<Self, ReconcileError> {
        let mut matrix = &own - &learnt * learnt.transpose();
        for (place, noise) in shown.noise.iter().enumerate() {
            matrix[(place, place)] = matrix[(place, place)].max(0.0) + noise;
        }
        laws.add_to(&mut matrix);
        let valued: Vec<usize> = (0..shown.volts.len())
            .filter(|place| shown.volts[*place].is_some())
            .collect();
        let places = 0..matrix.nrows();
        let sigma = places.map(|place| matrix[(place, place)].sqrt()).collect();
        let of_valued = match valued.len() == matrix.nrows() {
            true => Covariance::new(&matrix)?,
            false => Covariance::new(&DMatrix::from_fn(valued.len(), valued.len(), |i, j| {
                matrix[(valued[i], valued[j])]
            }))?,
        };
        Ok(Joint {
            covariance: of_valued,
            own,
            learnt,
            valued,
            sigma,
        })
    }

    /// Standard deviation of the difference of two readings, in volts, without what the laws leave open.
    pub(crate) fn difference_sigma(&self, a: usize, b: usize, shown: &Shown) -> f64 {
        let covariance =
            |a: usize, b: usize| self.own[(a, b)] - self.learnt.row(a).dot(&self.learnt.row(b));
        let variance = covariance(a, a) + covariance(b, b) - 2.0 * covariance(a, b);
        (variance.max(0.0) + shown.noise[a] + shown.noise[b]).sqrt()
    }

    /// Shown less predicted volts of the readings with a value.
    pub(crate) fn residuals(&self, shown: &Shown, predicted: &[f64]) -> DVector<f64> {
        let values = self.valued.iter();
        let left = values.map(|place| shown.volts[*place].unwrap_or(0.0) - predicted[*place]);
        DVector::from_iterator(self.valued.len(), left)
    }

    /// `rᵀS⁻¹r`
    pub(crate) fn chi_squared(&self, residuals: &DVector<f64>) -> f64 {
        residuals.dot(&(&self.covariance.inverse * residuals))
    }

    /// `−½ log|S| − ½ n log 2π`
    pub(crate) fn log_height(&self) -> f64 {
        let n = self.valued.len() as f64;
        -0.5 * (self.covariance.log_determinant + n * std::f64::consts::TAU.ln())
    }

    /// Logarithm of the probability of the overranges.
    pub(crate) fn log_overranges(&self, shown: &Shown, predicted: &[f64]) -> f64 {
        (0..shown.volts.len())
            .filter(|place| shown.volts[*place].is_none())
            .map(|place| beyond(predicted[place], self.sigma[place], shown.full_scale[place]).ln())
            .sum()
    }

    /// Logarithm of the likelihood of everything shown.
    pub(crate) fn log_likelihood(&self, shown: &Shown, predicted: &[f64]) -> f64 {
        let chi_squared = self.chi_squared(&self.residuals(shown, predicted));
        -0.5 * chi_squared + self.log_height() + self.log_overranges(shown, predicted)
    }
}

/// Probability that a normal value lies beyond full scale, either way:
/// `½ erfc((F − μ)/√2σ) + ½ erfc((F + μ)/√2σ)`.
fn beyond(mean: f64, sigma: f64, full_scale: f64) -> f64 {
    let tail = |distance: f64| 0.5 * erfc(distance / (sigma * std::f64::consts::SQRT_2));
    (tail(full_scale - mean) + tail(full_scale + mean)).max(LEAST_TAIL)
}

/// `log Σ exp`, without overflow; −∞ of nothing.
pub(crate) fn log_sum(terms: impl Iterator<Item = f64> + Clone) -> f64 {
    let most = terms.clone().fold(f64::NEG_INFINITY, f64::max);
    if most == f64::NEG_INFINITY {
        return most;
    }
    most + terms.map(|term| (term - most).exp()).sum::<f64>().ln()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn nothing(columns: usize) -> DMatrix<f64> {
        DMatrix::zeros(columns, 0)
    }

    #[test]
    fn what_the_manual_taught_narrows_the_spread() {
        // One number of σ 2 V; the manual's set, which shares half of it, was read with a variance of
        // 4 V²: S = 8, B = ½·2/√8, and what is left is 4·(1 − 1/8) = 3.5 V², with 0.5 V² of noise 4.
        let sensitivities = DMatrix::from_element(1, 1, 2.0);
        let known = DMatrix::from_element(1, 1, 1.0 / 8f64.sqrt());
        let shown = Shown {
            volts: vec![Some(10.0)],
            full_scale: vec![50.0],
            noise: vec![0.5],
        };
        let joint = Joint::new(&sensitivities, &known, &shown).unwrap();
        // Half a dozen operations on numbers below 10.
        assert!((joint.sigma[0] - 2.0).abs() < 1e-13);
    }

    #[test]
    fn two_readings_by_hand() {
        // One number of σ 2 V on both readings, noise 1 V²: S = [5 4; 4 5], |S| = 9,
        // r = [1, 0]: rᵀS⁻¹r = 5/9.
        let sensitivities = DMatrix::from_row_slice(2, 1, &[2.0, 2.0]);
        let shown = Shown {
            volts: vec![Some(11.0), Some(10.0)],
            full_scale: vec![50.0; 2],
            noise: vec![1.0; 2],
        };
        let joint = Joint::new(&sensitivities, &nothing(1), &shown).unwrap();
        let got = joint.log_likelihood(&shown, &[10.0, 10.0]);
        let want = -5.0 / 18.0 - 0.5 * 9f64.ln() - std::f64::consts::TAU.ln();
        // A dozen operations on numbers below 10.
        assert!((got - want).abs() < 1e-13, "{got} {want}");
    }

    #[test]
    fn an_overrange_is_a_tail_on_its_own() {
        // Predicted at full scale with σ 1 V: half of it lies beyond; the other side is 100 σ off.
        let sensitivities = DMatrix::from_row_slice(1, 1, &[0.6]);
        let shown = Shown {
            volts: vec![None],
            full_scale: vec![50.0],
            noise: vec![0.64],
        };
        let joint = Joint::new(&sensitivities, &nothing(1), &shown).unwrap();
        let got = joint.log_likelihood(&shown, &[50.0]);
        // The error function is good to 1e-15 at 0.
        assert!((got - 0.5f64.ln()).abs() < 1e-12, "{got}");
    }

    #[test]
    fn sums_of_tiny_terms_do_not_vanish() {
        let got = log_sum([-2000.0, -2000.0].into_iter());
        assert!((got - (2f64.ln() - 2000.0)).abs() < 1e-12);
        assert!(log_sum(std::iter::empty()) == f64::NEG_INFINITY);
    }
}
