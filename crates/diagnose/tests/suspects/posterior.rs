//! Likelihoods against plain integration over the parts' tolerances on a dense grid.
//!
//! Tolerances are taken as normal there too, with `σ² = a²/3`, as the method takes them.

use super::jobs::job;
use circuit::Job;
use diagnose::{suspects, Fault, Hypothesis, Member, SuspectOptions, Suspects};

const METER_OHMS: f64 = 10e6;

/// 100 V through two resistors, read between them; the manual has only the supply.
fn divider(shown: &str) -> (Job, Suspects) {
    let settings = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground g\nPS1: 100V 1%, plus=in, minus=g\nR1: 10k 5%, in to mid\n\
                   R2: 10k 5%, mid to g\n";
    let readings = format!("point,at,reading\nmid,mid,{shown}\n");
    let job = job(settings, netlist, "point,at,value\n1,in,100\n", &readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    (job, found)
}

fn member(found: &Suspects, supposed: Hypothesis) -> &Member {
    let mut members = found.hypotheses.iter().flat_map(|suspect| &suspect.members);
    members
        .find(|member| member.faults[0].0 == supposed)
        .unwrap()
}

/// `E·R2'/(R1 + R2')` with the meter across `R2`.
fn reads(volts: f64, r1: f64, r2: f64) -> f64 {
    let below = r2 * METER_OHMS / (r2 + METER_OHMS);
    volts * below / (r1 + below)
}

/// Average of `f` over a normal number, by midpoints to six standard deviations.
fn over_normal(mean: f64, half_width: f64, f: impl Fn(f64) -> f64) -> f64 {
    let sigma = half_width / 3f64.sqrt();
    let (steps, mut sum, mut mass) = (240, 0.0, 0.0);
    for k in 0..steps {
        let t = -6.0 + 12.0 * (f64::from(k) + 0.5) / f64::from(steps);
        let weight = (-0.5 * t * t).exp();
        sum += weight * f(mean + t * sigma);
        mass += weight;
    }
    sum / mass
}

fn density(shown: f64, volts: f64, variance: f64) -> f64 {
    (-0.5 * (shown - volts).powi(2) / variance).exp() / (std::f64::consts::TAU * variance).sqrt()
}

#[test]
fn a_set_in_order_as_by_a_dense_grid() {
    for (text, shown) in [("50.0", 50.0), ("51.5", 51.5), ("47.0", 47.0)] {
        let (_, found) = divider(text);
        let noise = found.readings[0].noise;
        let want = over_normal(100.0, 1.0, |e| {
            over_normal(10e3, 500.0, |r1| {
                over_normal(10e3, 500.0, |r2| density(shown, reads(e, r1, r2), noise))
            })
        });
        let got = member(&found, Hypothesis::NothingWrong).log_likelihood;
        // The method takes the tangent; a spread of 3 % bends by about 3 % of itself, which two to
        // three standard deviations out comes to some hundredths of the logarithm.
        assert!(
            (got - want.ln()).abs() < 0.06,
            "{text}: {got} {}",
            want.ln()
        );
    }
}

#[test]
fn a_drift_of_unknown_size_as_by_a_dense_grid() {
    let (job, found) = divider("62.0");
    let noise = found.readings[0].noise;
    // From the upper limit of 5 % to a hundred times the value: three in four about 0.3 off the limit
    // in their natural logarithm, by x e⁻ˣ, one in four anywhere. What lies beyond the far end is
    // (1 + 15.2) e⁻¹⁵·² of it.
    let (low, high) = (1.05f64.ln(), 100f64.ln());
    let width = high - low;
    let dense = |log: f64| {
        let off = (log - low) / 0.3;
        let near = off * (-off).exp() / 0.3;
        0.25 / width + 0.75 * near
    };
    let steps = 2000;
    let sum: f64 = (0..steps)
        .map(|k| low + width * (f64::from(k) + 0.5) / f64::from(steps))
        .map(|log| {
            let r2 = 10e3 * log.exp();
            width
                * dense(log)
                * over_normal(100.0, 1.0, |e| {
                    over_normal(10e3, 500.0, |r1| density(62.0, reads(e, r1, r2), noise))
                })
        })
        .sum();
    let want = (sum / f64::from(steps)).ln();
    let drift = member(
        &found,
        Hypothesis::Part {
            part: job.circuit.part_named("R2").unwrap(),
            fault: Fault::DriftedHigh,
        },
    );
    // The spread is that at the most likely size; it changes little across the peak.
    assert!(
        (drift.log_likelihood - want).abs() < 0.06,
        "{} {want}",
        drift.log_likelihood
    );
    // 62 = 100·k/(1 + k): k = 1.6316, a thousandth more for the meter.
    let size = drift.faults[0].1.unwrap();
    assert!((size.to - 16.34e3).abs() < 50.0, "{}", size.to);
    assert!(size.low < size.to && size.to < size.high);
}

/// Three dividers on one supply; the manual's value of the second has its digits transposed.
const DIVIDERS: &str = "ground chassis\nPS1: 100V 2%, plus=top, minus=chassis\n\
    R1: 10k 5%, top to a\nR2: 10k 5%, a to chassis\nR3: 10k 5%, top to b\n\
    R4: 30k 5%, b to chassis\nR5: 30k 5%, top to c\nR6: 10k 5%, c to chassis\n";

#[test]
fn a_misprint_of_the_manual_condemns_no_part() {
    let settings = "[as-documented]\nmeter = \"11M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,value\nsupply,top,100\na,a,50\nb,b,57\nc,c,25\n";
    let readings = "point,reading\nsupply,100.1\na,50.05\nb,75.0\nc,25.02\n";
    let job = job(settings, DIVIDERS, manual, readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    assert_eq!(found.doubted, [2]);
    let first = &found.hypotheses[0].members[0];
    assert_eq!(first.faults[0].0, Hypothesis::NothingWrong);
    // More probable than all else together.
    assert!(found.hypotheses[0].probability > 0.5);
}
