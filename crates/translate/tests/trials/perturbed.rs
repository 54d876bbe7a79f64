//! A circuit with other numbers as a trial reads it, from the drawn one's state and to a trial's
//! accuracy, against the same circuit solved from zero.

use circuit::{spread_of, Conditions, Job, PartId, PartParameter};
use solver::{solve, solve_varied, Load};
use translate::{Distribution, Draws};

use super::jobs::sample;

/// Every resistance, supply and device number drawn within its limits.
fn drawn(job: &Job, trial: u64) -> circuit::Circuit {
    let mut draws = Draws::new(5, trial);
    let conditions = Conditions::default();
    let solution = solve(&job.circuit, &conditions).unwrap();
    let state = solution.unloaded(job.manual[0].port.unwrap());
    let numbers = solution.sensitivities(&job.circuit, &conditions, &state);
    let change = |part: PartId, parameter: PartParameter| {
        let half_width = spread_of(job.circuit.part(part), parameter).half_width;
        draws.deviation(&Distribution::Rectangular { half_width })
    };
    let mut change = change;
    let changes: Vec<_> = numbers
        .iter()
        .map(|sensitivity| {
            (
                sensitivity.id.part,
                sensitivity.id.parameter,
                change(sensitivity.id.part, sensitivity.id.parameter),
            )
        })
        .collect();
    job.circuit.varied(changes)
}

#[test]
fn a_trial_reads_as_the_circuit_solved_from_zero() {
    let conditions = Conditions::default();
    for name in ["lookout-intercom", "gate-post-preamplifier"] {
        let job = sample(name);
        let near = solve(&job.circuit, &conditions).unwrap();
        let mut compared = 0;
        for trial in 0..20 {
            let circuit = drawn(&job, trial);
            let whole = solve(&circuit, &conditions).unwrap();
            let trial = solve_varied(&circuit, &conditions, &near).unwrap();
            for entry in job.manual.iter().filter(|entry| entry.settings.is_empty()) {
                let Some(port) = entry.port else { continue };
                if whole.floats(port) || whole.port(port).ohms < 0.1 {
                    continue;
                }
                let on = trial.unloaded(port);
                // A fifth off what the circuit shows, through 50 kΩ, then through 10 MΩ.
                let g0 = 1.0 / 50e3;
                let own = whole
                    .metered(
                        port,
                        Load {
                            siemens: g0,
                            amperes: 0.0,
                        },
                        None,
                    )
                    .unwrap();
                let held = own.volts * 0.8;
                let anchored = whole.anchored(port, g0, held, Some(&own)).unwrap();
                let (amperes, on) = trial.amperes_for(g0, held, &on).unwrap();
                // Currents are told by what they move at the port; an answer settles to
                // 1e-10, a trial to 1e-7 of the largest volts, and squares that.
                let slack = 1e-6 * (1.0 + held.abs());
                let moved = (amperes - anchored.load.amperes) * anchored.ohms;
                assert!(moved.abs() < slack, "{name} {}: {moved}", entry.point);
                let load = Load {
                    siemens: 1e-7,
                    amperes,
                };
                let full = whole.metered(port, load, Some(&anchored)).unwrap().volts;
                let here = trial.reading(load, &on).unwrap();
                assert!(
                    (here - full).abs() < slack,
                    "{name} {}: {here} {full}",
                    entry.point
                );
                compared += 1;
            }
        }
        assert!(compared > 60, "{name}: {compared}");
    }
}
