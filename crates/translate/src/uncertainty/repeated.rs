//! Repeated observations of one quantity.
//!
//! Observations come in, their mean and its standard uncertainty go out (JCGM 100:2008, 4.2); of
//! observations taken in sets, also the correlation of their means.

/// Mean of repeated observations.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Repeated {
    /// Arithmetic mean.
    pub mean: f64,
    /// Standard uncertainty of the mean, in the unit of the observations.
    pub standard: f64,
    /// Degrees of freedom, one less than there are observations.
    pub degrees: f64,
}

impl Repeated {
    /// Of at least two observations; none of fewer.
    pub fn of(observations: &[f64]) -> Option<Self> {
        let variance = covariance_of_means(observations, observations)?;
        Some(Repeated {
            mean: mean(observations),
            standard: variance.sqrt(),
            degrees: observations.len() as f64 - 1.0,
        })
    }
}

/// Correlation coefficient of the means of two quantities observed together (JCGM 100:2008, 5.2.3
/// (17) and 5.2.2 (14)); none for fewer than two pairs, unequal numbers, or a quantity that never
/// varied.
pub fn correlation_of_means(one: &[f64], other: &[f64]) -> Option<f64> {
    let (first, second) = (Repeated::of(one)?, Repeated::of(other)?);
    let product = first.standard * second.standard;
    let covariance = covariance_of_means(one, other)?;
    (product > 0.0).then(|| (covariance / product).clamp(-1.0, 1.0))
}

fn mean(observations: &[f64]) -> f64 {
    observations.iter().sum::<f64>() / observations.len() as f64
}

/// s(q̄, r̄) = 1/(n(n−1)) Σ (q_k − q̄)(r_k − r̄)        (17)
fn covariance_of_means(one: &[f64], other: &[f64]) -> Option<f64> {
    if one.len() < 2 || one.len() != other.len() {
        return None;
    }
    let (n, q, r) = (one.len() as f64, mean(one), mean(other));
    let sum: f64 = one
        .iter()
        .zip(other)
        .map(|(one, other)| (one - q) * (other - r))
        .sum();
    Some(sum / (n * (n - 1.0)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_readings_by_hand() {
        // 1, 2, 3: s² = 1, s²(mean) = 1/3.
        let of = Repeated::of(&[1.0, 2.0, 3.0]).unwrap();
        assert!((of.mean - 2.0).abs() < 1e-12 && (of.degrees - 2.0).abs() < 1e-12);
        assert!((of.standard - (1.0f64 / 3.0).sqrt()).abs() < 1e-12);
        assert!((correlation_of_means(&[1.0, 2.0, 3.0], &[3.0, 2.0, 1.0]).unwrap() + 1.0) < 1e-12);
    }

    #[test]
    fn one_reading_tells_nothing_about_its_scatter() {
        assert!(Repeated::of(&[1.0]).is_none() && Repeated::of(&[]).is_none());
        assert!(correlation_of_means(&[1.0, 2.0], &[1.0]).is_none());
        assert!(correlation_of_means(&[1.0, 1.0], &[1.0, 2.0]).is_none());
    }
}
