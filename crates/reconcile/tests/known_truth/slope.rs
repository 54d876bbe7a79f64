//! How an expected value follows a printed one, against the whole program run again.

use circuit::{Conditions, Job};
use translate::{translate, Translation};
use units::{Figure, Unit};

use super::sets::{family, read};

const BRIDGE: &str = "\
ground chassis
PS1: 105V 5% source=20R, plus=top, minus=chassis
R1: 820k 20%, top to left
R2: 330k 20%, left to chassis
R3: 180k 20%, top to right
R4: 680k 20%, right to chassis
R5: 270k 20%, left to right
";

/// The manual prints what the drawn circuit reads, to a millionth of a volt. There all residuals are zero,
/// so the sizes of discrepancies that are estimated from the table do not matter: the derivative is that
/// of the fit alone.
fn printing_its_own_readings(mut job: Job) -> Job {
    let translation = translate(&job).unwrap();
    for (entry, point) in job.manual.iter_mut().zip(&translation.points) {
        let carried = point.outcome.as_ref().unwrap();
        let drawn = translation
            .reconciled
            .drawn(&Conditions::default())
            .unwrap();
        let siemens = 1.0 / carried.manual.input_ohms;
        let volts = drawn.port_reading(entry.port.unwrap(), siemens).volts;
        entry.range = Some(carried.manual.range.range.full_scale);
        entry.figure = figure(volts);
    }
    job
}

fn figure(volts: f64) -> Figure {
    Figure::parse(&format!("{volts:.6}"), Unit::Volt).unwrap()
}

fn expected(translation: &Translation) -> Vec<f64> {
    let points = translation.points.iter();
    points
        .map(|point| point.outcome.as_ref().unwrap().bench[0].expected)
        .collect()
}

fn follows(job: Job, least: f64) {
    let job = printing_its_own_readings(job);
    let middle = translate(&job).unwrap();
    let mut largest = 0.0f64;
    for entry in 0..job.manual.len() {
        let value = job.manual[entry].figure.value;
        // Large beside the printed millionth and what the solver settles to, small beside the meter's
        // error.
        let step = 2e-3 * (0.1 + value.abs());
        let moved = |by: f64| {
            let mut job = job.clone();
            job.manual[entry].figure = figure(value + by);
            let up = job.manual[entry].figure.value;
            (up, expected(&translate(&job).unwrap()))
        };
        let ((high, above), (low, below)) = (moved(step), moved(-step));
        for (k, point) in middle.points.iter().enumerate() {
            let carried = point.outcome.as_ref().unwrap();
            let port = job.manual[k].port.unwrap();
            let conditions = Conditions::default();
            let siemens = 1.0 / carried.bench[0].input_ohms;
            let reconciled = &middle.reconciled;
            let state = reconciled
                .expected(port, &conditions, siemens, None)
                .unwrap();
            let posterior_reading = reconciled.posterior_reading(&conditions, &state).unwrap();
            let slope = posterior_reading.by_printed(entry);
            let got = (above[k] - below[k]) / (high - low);
            // Both ways of a step the sizes move alike, so what is left goes as its square; numbers are
            // settled to a few percent of a standard deviation whose own curvature counts.
            assert!(
                (got - slope).abs() < 2e-3 * (slope.abs() + least),
                "{entry} {k}: {got} {slope}"
            );
            largest = largest.max(slope.abs());
            if k == entry {
                let documented = reconciled
                    .expected(port, &conditions, 1.0 / carried.manual.input_ohms, None)
                    .unwrap();
                let share = slope * documented.ohms / state.ohms;
                // The same numbers in another order.
                assert!(
                    (carried.bench[0].by_printed - share).abs() < 1e-9,
                    "{entry}"
                );
            }
        }
    }
    // Something follows.
    assert!(largest > 0.1, "{largest}");
}

#[test]
fn in_a_linear_circuit() {
    let manual = "point,at,value\n1,top,107\n2,left,45\n3,right,72\n";
    follows(
        read(
            "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n",
            BRIDGE,
            manual,
        ),
        1e-2,
    );
}

#[test]
fn round_a_tube() {
    let sets = family("contrasts");
    let set = sets
        .iter()
        .find(|set| set.id == "contrast-follower")
        .unwrap();
    follows(set.job(false).unwrap(), 1e-2);
}
