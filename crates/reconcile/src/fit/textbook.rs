//! The fit against a published flow network with a gross error: a heat exchanger with a bypass.
//!
//! Source: S. Narasimhan, C. Jordache, "Data Reconciliation and Gross Error Detection", Gulf
//! Publishing, 2000. Its flows and printed figures are from memory; `tests/vectors/make_textbook.py`
//! recomputes them with numpy and finds the same to the last printed place.

use circuit::{PartId, PartParameter, PartSpread, SpreadBasis, SpreadScale};
use serde::Deserialize;
use solver::ParameterId;

use super::by_hand::fitted;
use crate::observation::{Observation, Printed};

/// Numbers below 200 with variances of 1: a few hundred operations, and 10⁻¹² of noise where an exact
/// balance is meant.
const EXACT: f64 = 1e-10;

/// Spread that stands for nothing known about a flow. Its remaining effect is one part in its square,
/// 10⁻⁷ of 5 units; the matrix of 10⁷ beside 1 costs 10⁻⁸ more.
const UNKNOWN: f64 = 3e3;
const NEARLY: f64 = 2e-6;

#[derive(Deserialize)]
struct Textbook {
    balances: std::collections::BTreeMap<String, Vec<f64>>,
    r#true: Vec<f64>,
    clean: Case,
    gross: Case,
}

#[derive(Deserialize)]
struct Case {
    measured: Vec<f64>,
    reconciled: Vec<f64>,
    covariance: Vec<Vec<f64>>,
    global_test: f64,
    measurement_test: Vec<f64>,
    left_out: Vec<LeftOut>,
}

#[derive(Deserialize)]
struct LeftOut {
    predicted: f64,
    z: f64,
}

fn textbook() -> Textbook {
    serde_json::from_str(include_str!("../../tests/vectors/textbook.json")).unwrap()
}

fn row(value: f64, model: f64, jacobian: Vec<f64>, noise: f64) -> Observation {
    Observation {
        printed: Printed {
            value,
            resolution: 0.01,
        },
        model,
        ohms: 0.0,
        jacobian,
        noise,
        common: None,
    }
}

fn near(got: f64, want: f64, slack: f64) {
    assert!((got - want).abs() <= slack, "got {got}, want {want}");
}

/// The measured flows are what is known beforehand, and each balance is a reading of nothing.
#[test]
fn flows_under_their_balances() {
    let textbook = textbook();
    for case in [&textbook.clean, &textbook.gross] {
        let balance = |signs: &Vec<f64>| {
            let of_measured = signs.iter().zip(&case.measured).map(|(a, y)| a * y).sum();
            row(0.0, of_measured, signs.clone(), 1e-12)
        };
        let rows: Vec<Observation> = textbook.balances.values().map(balance).collect();
        let (fit, jacobian) = fitted(&rows);
        near(fit.agreement().chi_squared, case.global_test, EXACT);
        assert_eq!(fit.agreement().readings, 4);
        let spread = PartSpread {
            nominal: 0.0,
            half_width: 3f64.sqrt(),
            scale: SpreadScale::Volts,
            basis: SpreadBasis::Stated,
            what: "",
        };
        let flow = |place| ParameterId {
            part: PartId(place),
            parameter: PartParameter::Volts,
        };
        let flows: Vec<_> = (0..6).map(|place| (flow(place), spread)).collect();
        for (k, likely) in fit.most_likely(&jacobian, &flows).iter().enumerate() {
            near(case.measured[k] + likely.change, case.reconciled[k], EXACT);
            near(likely.standard.powi(2), case.covariance[k][k], EXACT);
            // The measurement test: an adjustment in its own standard deviation.
            let adjusted = (1.0 - likely.standard.powi(2)).sqrt();
            near(
                likely.change.abs() / adjusted,
                case.measurement_test[k],
                EXACT,
            );
        }
    }
    // As printed: 16.674 against 9.488, the limit of 5 % at four degrees of freedom.
    near(textbook.gross.global_test, 16.674, 0.0005);
}

/// The two free flows are unknown numbers, and each measured flow is a reading of them.
#[test]
fn the_flow_in_error_stands_out_when_it_is_left_out() {
    let textbook = textbook();
    // Feed, exchanger in, bypass in, exchanger out, bypass out, product.
    let by_free = [[1, 1], [1, 0], [0, 1], [1, 0], [0, 1], [1, 1]];
    for (case, wrong) in [(&textbook.clean, None), (&textbook.gross, Some(1))] {
        let rows: Vec<Observation> = (0..6)
            .map(|k| {
                let jacobian = by_free[k].map(|share| f64::from(share) * UNKNOWN);
                row(case.measured[k], textbook.r#true[k], jacobian.into(), 1.0)
            })
            .collect();
        let (fit, _) = fitted(&rows);
        near(fit.agreement().chi_squared, case.global_test, NEARLY);
        for (k, left_out) in case.left_out.iter().enumerate() {
            // v − W S⁻¹ r
            near(
                case.measured[k] - fit.weighted[k],
                case.reconciled[k],
                NEARLY,
            );
            let predicted = fit.without(k);
            near(predicted.volts, left_out.predicted, NEARLY);
            near(predicted.sigmas(case.measured[k]), left_out.z, NEARLY);
            near(fit.sigmas()[k], left_out.z.abs(), NEARLY);
        }
        if let Some(wrong) = wrong {
            let sigmas = fit.sigmas();
            assert!((0..6).all(|k| k == wrong || sigmas[k] < sigmas[wrong]));
        }
    }
}
