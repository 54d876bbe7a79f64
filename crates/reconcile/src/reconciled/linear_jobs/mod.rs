//! Manual and drawing reconciled on linear jobs, compared with two general-purpose libraries.
//!
//! Independently derived: `tests/vectors/make_least_squares.py` solves each circuit by its own nodal
//! equations and the stacked least squares by `numpy.linalg.lstsq` and `qr`; `statsmodels` agrees. Here
//! each job's texts go through the whole engine, with the sizes of discrepancies given and one
//! linearisation at the written numbers, as there.

mod job;

use circuit::{PartParameter, PartSpread};
use nalgebra::DMatrix;
use serde::Deserialize;
use solver::ParameterId;

use super::Reconciled;
use crate::value_status::ValueStatus;
use job::{jobs, reconciled_job, reconciled_with, translated, LinearJob};

/// Of the largest entry of each vector or matrix. Both sides eliminate some twenty unknowns in doubles
/// whose scales differ by 10⁶ at most.
const ROUNDING: f64 = 1e-9;

/// A discrepancy so much larger than its natural size takes up all. What is left of the drawing goes as
/// the square of the reading's own error over that, and a reading is off by 30 times what a heavily
/// loaded point shows at most: (30/10⁷)².
const UNLIMITED: f64 = 1e7;

fn near(id: &str, got: &[f64], want: &[f64]) {
    assert_eq!(got.len(), want.len(), "{id}");
    let largest = want.iter().fold(0.0f64, |most, x| most.max(x.abs()));
    for (got, want) in got.iter().zip(want) {
        let off = (got - want).abs();
        assert!(off <= ROUNDING * largest, "{id}: got {got}, want {want}");
    }
}

fn near_matrix(id: &str, got: &DMatrix<f64>, want: &[Vec<f64>]) {
    let want: Vec<f64> = want.iter().flatten().copied().collect();
    near(id, got.transpose().as_slice(), &want);
}

/// Where the numbers are found, in standard deviations from what is written, beside where the file
/// says.
fn near_numbers(linear: &LinearJob, reconciled: &Reconciled, sigmas: &[f64], theta: &[f64]) {
    let known = &reconciled.prior.numbers;
    let got = linear.numbers.iter().map(|number| {
        let part = reconciled.job.circuit.part_named(&number.part).unwrap();
        let parameter = match number.what.as_str() {
            "ohms" => PartParameter::Resistance,
            "wiper" => PartParameter::WiperPosition,
            "volts" => PartParameter::Volts,
            "source ohms" => PartParameter::SourceResistance,
            other => panic!("{other}"),
        };
        let is = |(id, _): &(ParameterId, PartSpread)| (id.part, id.parameter) == (part, parameter);
        // A number that no reading follows stays as it is written.
        known.iter().position(is).map_or(0.0, |place| sigmas[place])
    });
    let want = theta.iter().zip(&linear.theta0).zip(&linear.p);
    let want: Vec<f64> = want.map(|((at, from), p)| (at - from) / p.sqrt()).collect();
    near(&linear.id, &got.collect::<Vec<_>>(), &want);
}

#[test]
fn readings_and_noise_are_those_of_the_other_solver() {
    for linear in jobs() {
        let (reconciled, _, _) = reconciled_job(&linear, &vec![0.0; linear.v.len()]);
        let rows = &reconciled.table.rows;
        let of = |number: fn(&crate::observation::Observation) -> f64| {
            rows.iter().map(number).collect::<Vec<_>>()
        };
        near(&linear.id, &of(|row| row.model), &linear.h0);
        for ((row, value), w) in rows.iter().zip(&linear.v).zip(&linear.w) {
            assert!((row.printed.value - value).abs() <= 1e-12 * value.abs());
            // A printed 0 is read more finely than its digit.
            if *value != 0.0 {
                assert!((row.whole_noise() - w).abs() <= 1e-12 * w, "{}", linear.id);
            }
        }
        assert!(reconciled
            .value_status
            .iter()
            .all(|s| *s != ValueStatus::Misprint));
    }
}

#[test]
fn without_discrepancies() {
    for linear in jobs() {
        let (reconciled, aim, _) = reconciled_job(&linear, &vec![0.0; linear.v.len()]);
        let (volts, covariance) = translated(&linear, &reconciled, false);
        near(&linear.id, &volts, &linear.none.y);
        near_matrix(&linear.id, &covariance, &linear.none.cov);
        near_numbers(&linear, &reconciled, &aim.numbers, &linear.none.theta);
    }
}

#[test]
fn with_discrepancies_of_a_tenth() {
    for linear in jobs() {
        let sizes: Vec<f64> = linear.q.iter().map(|q| 0.1 * q).collect();
        let (reconciled, aim, natural) = reconciled_job(&linear, &sizes);
        let (volts, covariance) = translated(&linear, &reconciled, false);
        near(&linear.id, &volts, &linear.tenth.y);
        near_matrix(&linear.id, &covariance, &linear.tenth.cov);
        near_numbers(&linear, &reconciled, &aim.numbers, &linear.tenth.theta);
        // In shares of their sizes, for ports differ by many powers of ten.
        let d = linear.tenth.d.as_ref().unwrap();
        let sized = (0..sizes.len()).filter(|row| sizes[*row] > 0.0);
        let each = sized.map(|row| {
            let size = sizes[row];
            (aim.ports[row] * natural[row] / size, d[row] / size)
        });
        let (got, want): (Vec<f64>, Vec<f64>) = each.unzip();
        near(&linear.id, &got, &want);
    }
}

/// With a discrepancy of a tenth, and a meter error that all readings of a range have in common, by
/// `tests/vectors/make_common.py`.
#[test]
fn with_a_meter_error_in_common() {
    #[derive(Deserialize)]
    struct Common {
        id: String,
        y: Vec<f64>,
        cov: Vec<Vec<f64>>,
    }
    let wanted = include_str!("../../../tests/vectors/common.json");
    let wanted: Vec<Common> = serde_json::from_str(wanted).unwrap();
    let mut together = 0;
    for linear in jobs() {
        let sizes: Vec<f64> = linear.q.iter().map(|q| 0.1 * q).collect();
        let (reconciled, _, _) = reconciled_with(&linear, &sizes, true);
        let (volts, covariance) = translated(&linear, &reconciled, true);
        let own = wanted.iter().find(|own| own.id == linear.id).unwrap();
        near(&linear.id, &volts, &own.y);
        near_matrix(&linear.id, &covariance, &own.cov);
        let read = reconciled
            .table
            .rows
            .iter()
            .filter(|row| row.common.is_some());
        together += read.count() - reconciled.scale_count();
    }
    // Most ranges are read more than once.
    assert!(together > 30, "{together}");
}

#[test]
fn with_unlimited_discrepancies_the_manual_alone_speaks() {
    for linear in jobs() {
        let natural = reconciled_job(&linear, &vec![0.0; linear.v.len()]).2;
        // A printed 0 has no natural size of its own.
        let each = linear.q.iter().zip(&natural);
        let sizes: Vec<f64> = each
            .map(|(q, natural)| UNLIMITED * if *q > 0.0 { *q } else { *natural })
            .collect();
        let (reconciled, _, _) = reconciled_job(&linear, &sizes);
        let (volts, covariance) = translated(&linear, &reconciled, false);
        near(&linear.id, &volts, &linear.unlimited.y);
        near_matrix(&linear.id, &covariance, &linear.unlimited.cov);
    }
}
