//! Two faults at once, and the derivatives behind every spread.

use circuit::{Conditions, Port};
use diagnose::{suspects, Fault, Hypothesis, SuspectOptions};
use solver::{solve, Load};

use super::jobs::intercom;

/// The readings are those of another set, by another solver (tests/cases/sample-readings/readings.py).
#[test]
fn an_open_cathode_and_a_worn_tube_are_found_together() {
    let job = intercom("../../tests/cases/sample-readings/two-faults.csv");
    assert_eq!(job.readings.len(), 28);
    let part = |name: &str, fault: Fault| Hypothesis::Part {
        part: job.circuit.part_named(name).unwrap(),
        fault,
    };
    let (open, worn) = (part("R8", Fault::Open), part("V3", Fault::LowEmission));
    let options = SuspectOptions {
        pairs: true,
        probes: 0,
        ..SuspectOptions::default()
    };
    let found = suspects(&job, &options).unwrap();
    let faults: Vec<Hypothesis> = found.hypotheses[0].members[0]
        .faults
        .iter()
        .map(|(hypothesis, _)| *hypothesis)
        .collect();
    assert_eq!(faults.len(), 2, "{faults:?}");
    assert!(
        faults.contains(&open) && faults.contains(&worn),
        "{faults:?}"
    );
}

#[test]
fn slopes_of_many_ports_are_those_of_each() {
    let job = intercom("readings.csv");
    let conditions = Conditions::default();
    let solution = solve(&job.circuit, &conditions).unwrap();
    let ports = job.manual.iter().filter_map(|entry| entry.port);
    let probes: Vec<(Port, f64)> = ports.map(|port| (port, 0.0)).collect();
    let slopes = solution.jacobian(&job.circuit, &conditions, &probes);
    for (row, (port, _)) in probes.iter().enumerate() {
        let state = solution.metered(*port, Load::default(), None).unwrap();
        let sensitivities = solution.sensitivities(&job.circuit, &conditions, &state);
        assert!((slopes.readings[row].volts - state.volts).abs() < 1e-9);
        for sensitivity in sensitivities.iter() {
            let column = slopes
                .numbers
                .iter()
                .position(|id| *id == sensitivity.id)
                .unwrap();
            let got = slopes.by_number[(row, column)];
            // The same sums in another order, and a state that differs in its last digits.
            let allowed = 1e-6 * sensitivity.value.abs() + 1e-12;
            assert!(
                (got + sensitivity.value).abs() <= allowed,
                "{:?}: {got} {}",
                sensitivity.id,
                sensitivity.value
            );
        }
    }
}

#[test]
fn a_second_fault_that_no_reading_shows_takes_nothing_from_the_first() {
    let job = intercom("readings-open-cathode.csv");
    let options = SuspectOptions {
        pairs: true,
        probes: 0,
        ..SuspectOptions::default()
    };
    let found = suspects(&job, &options).unwrap();
    let first = &found.hypotheses[0];
    let lead = &first.members[0];
    assert_eq!(lead.faults.len(), 1);
    assert_eq!(lead.faults[0].0.part(), job.circuit.part_named("R8"));
    assert!(first.members.iter().any(|member| member.faults.len() == 2));
    // The planted fault and all that hides behind it: nearly everything.
    assert!(first.probability > 0.95, "{}", first.probability);
}
