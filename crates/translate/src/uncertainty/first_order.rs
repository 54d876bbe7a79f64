//! First-order propagation of independent inputs.
//!
//! Sensitivities and standard uncertainties come in, the combined standard uncertainty goes
//! out. Whether first order is good enough is not known here;
//! `validation` asks that.

/// The coverage factor in general use, about 95 % of a normal distribution (JCGM 100:2008,
/// 6.3.3).
pub const USUAL_COVERAGE: f64 = 2.0;

/// One input's share in the uncertainty of an output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Contribution {
    /// Derivative of the output by the input.
    pub sensitivity: f64,
    /// Standard uncertainty of the input.
    pub standard: f64,
}

impl Contribution {
    /// A contribution whose standard uncertainty is taken as known.
    pub fn new(sensitivity: f64, standard: f64) -> Self {
        Contribution {
            sensitivity,
            standard,
        }
    }

    /// What it adds by itself, in the unit of the output: u_i(y) = |c_i| u(x_i).
    pub fn size(&self) -> f64 {
        (self.sensitivity * self.standard).abs()
    }
}

/// Combined standard uncertainty of independent inputs (JCGM 100:2008, 5.1.2 (10)).
pub fn combine(contributions: &[Contribution]) -> f64 {
    // u_c² = Σ (c_i u(x_i))²
    let variance: f64 = contributions.iter().map(|one| one.size().powi(2)).sum();
    variance.sqrt()
}

/// Expanded uncertainty U = k u_c (JCGM 100:2008, 6.2.1 (18)).
pub fn expanded(standard: f64, coverage: f64) -> f64 {
    coverage * standard
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_right_triangle_of_contributions() {
        // 3, 4 and 12 give 13, whatever the signs of the sensitivities.
        let all = [(-1.0, 3.0), (2.0, 2.0), (-3.0, 4.0)].map(|(c, u)| Contribution::new(c, u));
        assert!((combine(&all) - 13.0).abs() < 1e-12);
        assert!(combine(&[]).abs() < 1e-300);
    }
}
