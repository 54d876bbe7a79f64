//! Circuits drawn from what manual and drawing leave possible, against the expected values.

use std::sync::Arc;

use circuit::Conditions;
use reconcile::{reconcile, PosteriorReading, PriorDraw, Reconciled, States, TermInput};
use solver::Load;
use translate::Draws;

use super::sets::read;

/// Parts of 1 to 2 %, so that the circuit is as good as linear within what is left open, and a manual
/// that is a few percent off, so that there is something to learn.
const NETLIST: &str = "\
ground chassis
PS1: 250V 1%, plus=b, minus=chassis
R1: 220k 2%, b to p
R2: 470k 2%, p to q
R3: 1M 2%, q to chassis
R4: 330k 2%, p to chassis
";
const MANUAL: &str = "point,at,value,range\n1,p,114,250V\n2,q,75.5,100V\n3,b,252,500V\n";
const SETTINGS: &str = "[as-documented]\nmeter = \"20k/V\"\n";

const DRAWS: usize = 20_000;
const BENCH_SIEMENS: f64 = 1e-7;

fn posterior_readings(reconciled: &Reconciled) -> Vec<PosteriorReading> {
    let conditions = Conditions::default();
    let each = reconciled.job().manual.iter().map(|entry| {
        let port = entry.port.unwrap();
        let expected = reconciled
            .expected(port, &conditions, BENCH_SIEMENS, None)
            .unwrap();
        reconciled
            .posterior_reading(&conditions, &expected)
            .unwrap()
    });
    each.collect()
}

/// Each term in its standard deviation.
fn terms(reconciled: &Reconciled, posterior_reading: &PosteriorReading) -> Vec<(String, f64)> {
    let mut ports = 0;
    let each = posterior_reading.terms.iter().map(|term| match term.input {
        TermInput::Number(id, spread) => (format!("{id:?}"), term.slope * spread.standard()),
        TermInput::Discrepancy(standard) => {
            ports += 1;
            (format!("port {ports}"), term.slope * standard)
        }
        TermInput::Scale(entry) => (format!("scale of {entry}"), term.slope),
        TermInput::Printed(entry) => {
            let standard = reconciled.own_noise(entry).sqrt();
            (format!("value {entry}"), term.slope * standard)
        }
    });
    each.collect()
}

fn covariance(one: &[(String, f64)], other: &[(String, f64)]) -> f64 {
    let in_other = |name: &String| other.iter().find(|(known, _)| known == name);
    let each = one
        .iter()
        .filter_map(|(name, a)| Some(a * in_other(name)?.1));
    each.sum()
}

/// One circuit out of those possible, every point read through the bench meter.
fn drawn(reconciled: &Reconciled, as_drawn: &Arc<States>, draws: &mut Draws) -> Vec<f64> {
    let mut normal = |standard: f64| standard * draws.normal();
    let draw = PriorDraw {
        numbers: reconciled.spreads().iter().map(|_| normal(1.0)).collect(),
        discrepancies: (0..reconciled.discrepancy_count())
            .map(|_| normal(1.0))
            .collect(),
        errors: reconciled
            .readings()
            .map(|entry| normal(reconciled.own_noise(entry).sqrt()))
            .collect(),
        scales: (0..reconciled.scale_count()).map(|_| normal(1.0)).collect(),
    };
    let circuit = reconciled.sampled(&draw);
    let states = States::varied(as_drawn, circuit.changes);
    let solution = states.at(&Conditions::default()).unwrap();
    let each = reconciled.job().manual.iter().map(|entry| {
        let port = entry.port.unwrap();
        let place = reconciled.discrepancy_place(port).unwrap();
        let (amperes, volts) = circuit.discrepancies[place];
        let load = Load {
            siemens: BENCH_SIEMENS,
            amperes,
        };
        solution.metered(port, load, None).unwrap().volts + volts
    });
    each.collect()
}

#[test]
fn draws_scatter_as_the_expected_values_do() {
    let job = read(SETTINGS, NETLIST, MANUAL);
    let reconciled = reconcile(&job).unwrap();
    let as_drawn = Arc::new(States::new(&Arc::new(job)));
    let posterior_readings = posterior_readings(&reconciled);
    let terms: Vec<_> = posterior_readings
        .iter()
        .map(|own| terms(&reconciled, own))
        .collect();
    let mut random = Draws::new(31, 0);
    let readings: Vec<Vec<f64>> = (0..DRAWS)
        .map(|_| drawn(&reconciled, &as_drawn, &mut random))
        .collect();
    let count = DRAWS as f64;
    let points = posterior_readings.len();
    let means: Vec<f64> = (0..points)
        .map(|k| readings.iter().map(|reading| reading[k]).sum::<f64>() / count)
        .collect();
    for i in 0..points {
        let u = covariance(&terms[i], &terms[i]).sqrt();
        // A mean scatters by u/√N; five times that, and a hundredth of u for the curvature that 2 %
        // parts have.
        let slack = u * (5.0 / count.sqrt() + 0.01);
        let off = means[i] - posterior_readings[i].volts;
        assert!(
            off.abs() < slack,
            "{i}: {} {}",
            means[i],
            posterior_readings[i].volts
        );
        for j in 0..=i {
            let products = readings
                .iter()
                .map(|reading| (reading[i] - means[i]) * (reading[j] - means[j]));
            let got = products.sum::<f64>() / count;
            let want = covariance(&terms[i], &terms[j]);
            // A covariance of normal deviations scatters by at most √2·u₁u₂/√N.
            let u2 = covariance(&terms[j], &terms[j]).sqrt();
            let slack = u * u2 * (5.0 * 2f64.sqrt() / count.sqrt() + 0.01);
            assert!((got - want).abs() < slack, "{i} {j}: {got} {want}");
        }
    }
}
