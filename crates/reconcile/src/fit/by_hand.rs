//! Small fits worked by hand, and the formula that leaves one reading out against leaving it out.

use super::*;
use crate::observation::Printed;
use circuit::{SpreadBasis, SpreadScale};

fn row(residual: f64, jacobian: &[f64], noise: f64) -> Observation {
    Observation {
        printed: Printed {
            value: 10.0 + residual,
            resolution: 0.1,
        },
        model: 10.0,
        ohms: 0.0,
        jacobian: jacobian.to_vec(),
        noise,
        common: None,
    }
}

pub(super) fn fitted(rows: &[Observation]) -> (Fit, ScaledJacobian) {
    let rows: Vec<&Observation> = rows.iter().collect();
    let jacobian = ScaledJacobian::of(&rows);
    (Fit::new(&rows, &jacobian).unwrap(), jacobian)
}

/// 1e-12: a few dozen operations on numbers below 100.
const ROUNDING: f64 = 1e-12;

#[test]
fn two_readings_of_one_number_by_hand() {
    // One number, σ = 1, read as θ + 1.2 and θ + 0.4 with variances 0.5 and 1:
    // S = [1.5 1; 1 2], |S| = 2, S⁻¹ = [1 −0.5; −0.5 0.75], S⁻¹r = [1, −0.3].
    // Weighted mean with the prior's 0 of weight 1: (2·1.2 + 1·0.4)/(1 + 2 + 1) = 0.7.
    let rows = [row(1.2, &[1.0], 0.5), row(0.4, &[1.0], 1.0)];
    let (fit, jacobian) = fitted(&rows);
    let id = ParameterId {
        part: circuit::PartId(0),
        parameter: circuit::PartParameter::Volts,
    };
    let spread = PartSpread {
        nominal: 0.0,
        half_width: 3.0 * 3f64.sqrt(),
        scale: SpreadScale::Volts,
        basis: SpreadBasis::Stated,
        what: "",
    };
    let likely = fit.most_likely(&jacobian, &[(id, spread)])[0];
    assert!((likely.sigmas - 0.7).abs() < ROUNDING);
    // In the number's unit three times that; variance 1/(1 + 2 + 1) of the prior's 9.
    assert!((likely.change - 2.1).abs() < ROUNDING);
    assert!((likely.standard - 1.5).abs() < ROUNDING);
    // The second alone gives 0.2 with variance 0.5; the first is read with 0.5 more.
    let first = fit.without(0);
    assert!((first.volts - 10.2).abs() < ROUNDING);
    assert!((first.standard - 1.0).abs() < ROUNDING);
    assert!((first.sigmas(11.2) - 1.0).abs() < ROUNDING);
    // −½(1.2·1 − 0.4·0.3) − ½ ln 2 − ln 2π
    let want = -0.54 - 0.5 * 2f64.ln() - std::f64::consts::TAU.ln();
    assert!((fit.log_likelihood() - want).abs() < ROUNDING);
}

#[test]
fn leaving_one_out_by_formula_is_leaving_it_out() {
    let rows = [
        row(1.0, &[1.0, 0.5, 0.0], 0.2),
        row(-2.0, &[0.3, -1.0, 2.0], 0.1),
        row(0.4, &[0.0, 0.7, 1.1], 0.3),
        // A number that the others had not met.
        row(3.0, &[0.9, 0.0, 0.2, 0.8], 0.05),
    ];
    let (all, _) = fitted(&rows);
    for k in 0..rows.len() {
        let others = rows.iter().enumerate().filter(|(j, _)| *j != k);
        let others: Vec<Observation> = others.map(|(_, row)| row.clone()).collect();
        let (rest, jacobian) = fitted(&others);
        let prediction = rest.predictions(&jacobian, &[&rows[k]])[0];
        let refitted = prediction.read_with(rows[k].noise);
        let mut left = all.clone();
        left.leave_out(k);
        for formula in [all.without(k), left.without(k)] {
            assert!((formula.volts - refitted.volts).abs() < ROUNDING);
            assert!((formula.standard - refitted.standard).abs() < ROUNDING);
        }
        assert!((left.log_likelihood() - rest.log_likelihood()).abs() < ROUNDING * 100.0);
        // Leaving a reading out lowers rᵀS⁻¹r by the square of its own deviation.
        let drop = all.agreement().chi_squared - rest.agreement().chi_squared;
        let z = all.without(k).sigmas(rows[k].printed.value);
        assert!((drop - z * z).abs() < ROUNDING * 100.0);
        // Taken in again it stands where it stood.
        let excluded = left.excluded(k);
        let with = left.sigmas_with(k, &excluded);
        left.take_in(k, &excluded);
        for ((before, again), with) in all.sigmas().iter().zip(left.sigmas()).zip(with) {
            assert!((before - again).abs() < ROUNDING * 100.0);
            assert!((before - with).abs() < ROUNDING * 100.0);
        }
        assert!((left.log_likelihood() - all.log_likelihood()).abs() < ROUNDING * 100.0);
    }
}

#[test]
fn with_no_other_reading_the_parts_alone_predict() {
    let lone = row(3.0, &[2.0], 0.25);
    let (nothing, jacobian) = fitted(&[]);
    let prediction = nothing.predictions(&jacobian, &[&lone])[0].read_with(lone.noise);
    assert!((prediction.volts - 10.0).abs() < ROUNDING);
    assert!((prediction.standard - 4.25f64.sqrt()).abs() < ROUNDING);
}
