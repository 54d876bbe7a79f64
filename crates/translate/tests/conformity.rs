//! Conformance probabilities and risks: JCGM 106:2012 and ILAC-G8:09/2019.

use crate::cases::Cases;
use translate::{
    conformance_probability, guarded, probability_below, run_trials, too_coarse, Band, Conformity,
    Draws, Measured, TrialsPlan,
};

const ROWS: &str = include_str!("cases/conformity.csv");

fn at_most(high: f64) -> Band {
    Band {
        low: None,
        high: Some(high),
    }
}

fn within(half: f64) -> Band {
    Band {
        low: Some(-half),
        high: Some(half),
    }
}

fn conforms(value: f64, standard: f64, limits: Band) -> f64 {
    conformance_probability(Measured { value, standard }, limits).unwrap()
}

/// Where a rising function passes a value.
fn crossing(rising: impl Fn(f64) -> f64, value: f64) -> f64 {
    let (mut low, mut high) = (0.0, 10.0);
    for _ in 0..60 {
        let middle = (low + high) / 2.0;
        if rising(middle) < value {
            low = middle;
        } else {
            high = middle;
        }
    }
    low
}

#[test]
fn one_sided_limits() {
    let cases = Cases::of(ROWS, 1, 6);
    let rows = [
        ("C01", 0.80),
        ("C02", 0.90),
        ("C03", 0.95),
        ("C04", 0.99),
        ("C05", 0.999),
    ];
    for (id, probability) in rows {
        let distance = crossing(|z| conforms(1.0 - 0.1 * z, 0.1, at_most(1.0)), probability);
        cases.check(id, distance);
        // A lower limit is the mirror image.
        let at_least = Band {
            low: Some(1.0),
            high: None,
        };
        let mirrored = conforms(1.0 + 0.1 * distance, 0.1, at_least);
        assert!((mirrored - probability).abs() < 1e-9, "{mirrored}");
    }
    cases.check("C06", conforms(-5.47, 0.05, at_most(-5.40)));
    cases.finish();
}

#[test]
fn bearings_of_a_gamma_process() {
    let cases = Cases::of(ROWS, 7, 7);
    // Gamma(4; rate 4) is the sum of four exponentials of rate 4.
    let out_of_round = |draws: &mut Draws| -> Result<f64, ()> {
        Ok((0..4).map(|_| -draws.uniform().ln() / 4.0).sum())
    };
    let plan = TrialsPlan {
        seed: 20_120_609,
        first: 0,
        trials: 200_000,
    };
    let values = run_trials(plan, out_of_round, None).values;
    let outside = values.iter().filter(|value| !at_most(2.0).holds(**value));
    cases.check("C07", outside.count() as f64 / values.len() as f64);
    cases.finish();
}

/// Share outside the limits, false acceptance and false rejection of parts round zero.
struct Risk {
    outside: f64,
    false_acceptance: f64,
    false_rejection: f64,
}

/// By Simpson's rule over ten deviations of the process, on each side of each limit by itself:
/// the integrand jumps there.
fn risk(process: f64, meter: f64, half: f64, guard: f64) -> Risk {
    let accepted = within(half - guard);
    let density = |x: f64| {
        (-0.5 * (x / process).powi(2)).exp() / (process * (2.0 * std::f64::consts::PI).sqrt())
    };
    // A reading of a part of size x keeps to the acceptance limits with this probability.
    let accepts = |x: f64| conforms(x, meter, accepted);
    let integral = |from: f64, to: f64, f: &dyn Fn(f64) -> f64| {
        let steps = 2000;
        let h = (to - from) / f64::from(steps);
        let weighted = (0..=steps).map(|k| {
            let weight = match k {
                _ if k == 0 || k == steps => 1.0,
                _ if k % 2 == 1 => 4.0,
                _ => 2.0,
            };
            weight * f(from + h * f64::from(k))
        });
        weighted.sum::<f64>() * h / 3.0
    };
    Risk {
        outside: 1.0 - conforms(0.0, process, within(half)),
        // Both sides are alike.
        false_acceptance: 2.0 * integral(half, 10.0 * process, &|x| density(x) * accepts(x)),
        false_rejection: integral(-half, half, &|x| density(x) * (1.0 - accepts(x))),
    }
}

#[test]
fn risks_of_accepting_and_rejecting() {
    let cases = Cases::of(ROWS, 8, 12);
    let four_to_one = risk(1.0, 0.25, 2.0, 0.0);
    cases.check("C08", four_to_one.false_acceptance);
    cases.check("C09", four_to_one.false_rejection);
    let simple = risk(0.12, 0.04, 0.2, 0.0);
    cases.check("C10", simple.outside);
    cases.check("C11a", simple.false_acceptance);
    cases.check("C11b", simple.false_rejection);
    let drawn_in = risk(0.12, 0.04, 0.2, 0.08);
    cases.check("C12a", drawn_in.false_acceptance);
    cases.check("C12b", drawn_in.false_rejection);
    cases.finish();
}

#[test]
fn a_meter_too_coarse_to_decide() {
    let cases = Cases::of(ROWS, 13, 13);
    let least = crossing(|half| conforms(0.0, 1.0, within(half)), 0.95);
    cases.check("C13", least);
    cases.finish();
    assert!(too_coarse(least - 1e-6, 1.0) && !too_coarse(least + 1e-6, 1.0));
}

#[test]
fn guard_bands() {
    let cases = Cases::of(ROWS, 14, 18);
    // Limit 1 V, u = 0.1 V, U = 2u; a reading on the acceptance limit is the worst accepted.
    let (limit, standard, expanded) = (at_most(1.0), 0.1, 0.2);
    let rows = [
        ("C14", 1.0),
        ("C15", 3.0),
        ("C16", 1.5),
        ("C17", 0.83),
        ("C18", 0.0),
    ];
    for (id, multiple) in rows {
        let guard = multiple * expanded;
        let worst = 1.0 - guard;
        // The tail itself: for three U, one less the probability would have lost its digits.
        let over = Band {
            low: Some(1.0),
            high: None,
        };
        cases.check(id, conforms(worst, standard, over));
        let inside = guarded(worst - 1e-9, limit, guard);
        assert_eq!(inside, Ok(Conformity::Pass));
        let past = guarded(worst + 1e-9, limit, guard);
        assert_ne!(past, Ok(Conformity::Pass));
    }
    cases.finish();
    // The tail by the distribution alone, to rounding.
    assert!((conforms(0.8, 0.1, at_most(1.0)) - probability_below(2.0)).abs() < 1e-12);
}
