//! Every fault of the sample sets, by the altered equations and by the altered circuit solved anew.

use circuit::{spread_of, Bridge, Circuit, Conditions, Job, Port};
use diagnose::{alteration, candidates, AgeFactors, Candidate, Fault};
use solver::{solve, solve_near, Alterable, Jacobian, PortReading, Solution};

use super::jobs::{job, sample};

/// A 10 MΩ meter, and one of 20,000 ohms per volt on its 50 V range.
const METERS: [f64; 2] = [1e-7, 1e-6];

/// Faults that may be left to a solution anew. A broken connection has three sizes here, and where one
/// of them does not settle, none does.
const MOST_LEFT: f64 = 0.07;

fn sizes(candidate: &Candidate) -> Vec<f64> {
    candidate.sizes.map_or(vec![1.0], |sizes| {
        vec![sizes.least, (sizes.least * sizes.most).sqrt(), sizes.most]
    })
}

fn probes(job: &Job) -> Vec<(Port, f64)> {
    let mut ports: Vec<Port> = job.manual.iter().filter_map(|entry| entry.port).collect();
    ports.dedup();
    let each = ports.into_iter().zip(METERS.into_iter().cycle());
    each.collect()
}

fn anew(circuit: &Circuit, conditions: &Conditions, near: &Solution) -> Option<Solution> {
    solve_near(circuit, conditions, near)
        .or_else(|_| solve(circuit, conditions))
        .ok()
}

/// Volts and ohms of every probe, of a fault that is compared.
fn compare_seen(quick: &[PortReading], slow: &[PortReading], fault: &str) {
    let most = slow.iter().map(|seen| seen.volts.abs()).fold(1.0, f64::max);
    for (quick, slow) in quick.iter().zip(slow) {
        // The state is found to 1e-7 of the largest volts; slopes that have moved by less than 1e-4
        // beside their terminals' resistance count as where they were, which leaves some 1e-3 of
        // a resistance open, and a tenth of that of the volts, since no meter here that takes more
        // than a tenth of a point's volts is left to the tangent.
        let near = 1e-4 * most;
        assert!(
            (quick.volts - slow.volts).abs() <= near,
            "{fault}: {quick:?} {slow:?}"
        );
        // A closed contact is a wire of 1 mΩ here and none there; to a rounding of the megohms that
        // were between its ends before.
        let ohms = 2e-3 * slow.ohms.abs() + 1e-3 + 1e-8;
        assert!(
            (quick.ohms - slow.ohms).abs() <= ohms,
            "{fault}: {quick:?} {slow:?}"
        );
    }
}

/// How far every number, within its limits, moves every probe.
fn compare_slopes(circuit: &Circuit, quick: &Jacobian, slow: &Jacobian, fault: &str) {
    let known = |id| quick.numbers.iter().position(|other| *other == id);
    let most = slow.readings.iter().map(|seen| seen.volts.abs());
    let most = most.fold(1.0, f64::max);
    for (column, id) in slow.numbers.iter().enumerate() {
        let Some(own) = known(*id) else { continue };
        let spread = spread_of(circuit.part(id.part), id.parameter).half_width;
        for row in 0..slow.readings.len() {
            let quick = quick.by_number[(row, own)] * spread;
            let slow = slow.by_number[(row, column)] * spread;
            // As above: a derivative is made of resistances.
            assert!(
                (quick - slow).abs() <= 4e-3 * slow.abs() + 1e-5 * most,
                "{fault} {id:?}: {quick} {slow}"
            );
        }
    }
}

fn check(name: &str) {
    check_job(name, &sample(name));
}

fn check_job(name: &str, job: &Job) {
    let conditions = Conditions {
        line_factor: job.line_factor(),
        ..Conditions::default()
    };
    let near = solve(&job.circuit, &conditions).unwrap();
    let base: Alterable<'_> = near.clone().alterable(&job.circuit, &conditions);
    let probes = probes(job);
    let (mut tried, mut left) = (0.0, 0.0);
    for candidate in candidates(&job.circuit, &AgeFactors::default()) {
        for size in sizes(&candidate) {
            let fault = (candidate.hypothesis, size);
            let words = format!("{name}: {:?} {size:e}", candidate.hypothesis);
            let alteration = alteration(&job.circuit, &conditions, &[fault]);
            let circuit = job.circuit.altered(&alteration);
            let Some(slow) = anew(&circuit, &alteration.conditions, &near) else {
                continue;
            };
            tried += 1.0;
            let Some(quick) = base.altered(&alteration) else {
                left += 1.0;
                continue;
            };
            let each = probes.iter();
            let seen: Option<Vec<PortReading>> = each
                .map(|(port, g)| quick.port_reading(*port, *g))
                .collect();
            // Without a meter: a light one is left to the tangent here and met in full there.
            let bare: Vec<_> = probes.iter().map(|(port, _)| (*port, 0.0)).collect();
            let slow_slopes = slow.jacobian(&circuit, &alteration.conditions, &bare);
            let Some(seen) = seen else {
                left += 1.0;
                continue;
            };
            // The reference leaves a light meter to the tangent too. Where the altered circuit does not, it is held
            // against the circuit with the meter drawn as one more resistor.
            let each = probes.iter().zip(&seen);
            let slow_seen = each.map(|((port, g), quick)| {
                let light = slow.port_reading(*port, *g);
                let alike = (quick.volts - light.volts).abs() <= 1e-4 * light.volts.abs().max(1.0)
                    && (quick.ohms - light.ohms).abs() <= 2e-3 * light.ohms.abs() + 1e-3;
                let mut drawn = alteration.clone();
                drawn.bridges.push(Bridge {
                    plus: port.plus,
                    minus: port.minus,
                    ohms: 1.0 / g,
                });
                let drawn = (!alike)
                    .then(|| job.circuit.altered(&drawn))
                    .and_then(|circuit| anew(&circuit, &alteration.conditions, &slow));
                drawn.map_or(light, |met| met.port_reading(*port, 0.0))
            });
            let slow_seen: Vec<PortReading> = slow_seen.collect();
            compare_seen(&seen, &slow_seen, &words);
            // Of 10¹² Ω beside cold tubes, all that is left of a set that nothing feeds, no digit can be compared.
            let unfed = candidate.hypothesis.fault() == Some(Fault::Unfed);
            if let Some(slopes) = quick.jacobian(&bare).filter(|_| !unfed) {
                compare_slopes(&circuit, &slopes, &slow_slopes, &words);
            }
        }
    }
    assert!(left <= MOST_LEFT * tried, "{name}: {left} of {tried} left");
}

#[test]
fn a_transistor_set() {
    check("gate-post-preamplifier");
}

#[test]
fn a_tube_set() {
    check("lookout-intercom");
}

#[test]
fn a_relay_board() {
    check("call-bell-board");
}

#[test]
fn a_set_of_islands() {
    check("ridge-line-panel");
}

/// A glow tube as the reference of a loop: without its current, by the tangent, it would not have struck.
#[test]
fn a_series_regulator() {
    let netlist = "ground c\nPS1: 470V source=220R, plus=un, minus=c\n\
        V1A: 6AS7G, plate=un, grid=gp, cathode=out\nR3: 1k 10%, pe to gp\n\
        V2: 6SJ7, plate=pe, screen=se, grid=ge, cathode=ref\nR5: 470k 10%, un to pe\n\
        R6: 150k 10%, out to se\nR7: 100k 10%, se to ref\nV3: 0A3, anode=ref, cathode=c\n\
        R8: 22k 10%, out to ref\nR9: 82k 5%, out to ge\nR11: 47k 5%, ge to c\n\
        C3: 0.1uF 400V, out to ge\nR13: 12k 10%, out to c\n";
    let manual = "point,at,value\n1,un,458\n2,out,208\n3,pe,106\n4,ref,75\n5,se,98\n6,ge,75\n";
    let meter = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    check_job(
        "regulator",
        &job(meter, netlist, manual, "point,reading\n1,458\n"),
    );
}
