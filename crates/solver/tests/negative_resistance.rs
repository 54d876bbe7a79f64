//! Circuits with negative resistance, and circuits with more states than one.
//!
//! Independently derived: `vectors/bistable.py` finds all states of each circuit from many starts,
//! proves by the signs of their determinants that none is missing, settles them at 50 digits and
//! sorts them into stable and unstable ones. The same for what a meter reads and for the current
//! that makes it read given volts.

mod case;
mod published;

use crate::twelve_decades::tally::Tally;
use case::{cases, Case, Held, Listed, MeteredPort, Question};
use circuit::{Circuit, Conditions};
use solver::{solve, Load, Solution};

/// Whether an unstable state, in which no real circuit stays, is a wrong answer. Where a circuit
/// has no stable state at all, any is right.
const STABLE_ONLY: bool = true;

/// Four times the accuracy promised to users at 250 V; states of one circuit are tenths of a volt
/// apart.
const VOLTS_FLOOR: f64 = 1e-6;
const VOLTS_SHARE: f64 = 1e-8;

/// Of a resistance or current that rests on such volts, in stages that amplify up to a hundred
/// times.
const SHARE: f64 = 1e-6;

/// Ten nanovolts across the smallest resistances here, a few ohms; a held reading is exact, so
/// that only the other nodes' volts are in it.
const AMPERES_FLOOR: f64 = 5e-9;

/// The one place that says which of the listed answers will do.
fn will_do(stable: bool, any_stable: bool) -> bool {
    stable || !STABLE_ONLY || !any_stable
}

/// Which of the listed answers this is.
fn found<T: Listed>(answers: &[T], near: impl Fn(&T) -> bool) -> Result<usize, &'static str> {
    let place = answers
        .iter()
        .position(near)
        .ok_or("is none of the answers there are")?;
    let any_stable = answers.iter().any(Listed::stable);
    if will_do(answers[place].stable(), any_stable) {
        Ok(place)
    } else {
        Err("is an unstable answer")
    }
}

fn same_volts(got: f64, want: f64) -> bool {
    (got - want).abs() <= VOLTS_FLOOR + VOLTS_SHARE * want.abs()
}

fn state_of(case: &Case, circuit: &Circuit, solution: &Solution) -> Result<usize, &'static str> {
    found(&case.states, |state| {
        state.volts.iter().all(|want| {
            let node = circuit.node(&want.node).unwrap();
            same_volts(solution.node_volts(node), want.volts)
        })
    })
}

/// Every circuit that can be solved, with the state it is in.
fn survey(mut each: impl FnMut(&mut Tally, &Case, &Circuit, &Solution, usize), at_least: usize) {
    let mut tally = Tally::default();
    for case in cases() {
        let circuit = case.circuit();
        let name = case.name().to_owned();
        match solve(&circuit, &Conditions::default()) {
            Err(error) => tally.refused("refused", &name, &error),
            Ok(solution) => match state_of(&case, &circuit, &solution) {
                Err(why) => tally.refused("states", &name, &why),
                Ok(state) => each(&mut tally, &case, &circuit, &solution, state),
            },
        }
    }
    tally.none_of(at_least);
}

#[test]
fn the_vectors_hold_what_they_are_for() {
    let cases = cases();
    let states = |count: usize| cases.iter().filter(|c| c.states.len() == count).count();
    assert!(states(1) >= 6 && states(3) >= 8);
    let ports = || cases.iter().flat_map(|case| &case.ports);
    let negative = |case: &&Case| {
        let stable = |k: usize| case.states[k].stable;
        let below = |p: &MeteredPort| (0..p.ohms.len()).any(|k| stable(k) && p.ohms[k] < 0.0);
        case.ports.iter().any(below)
    };
    assert!(cases.iter().filter(negative).count() >= 2);
    let lost = |q: &Question| q.follows.contains(&-1);
    assert!(ports().flat_map(|p| &p.metered).filter(|q| lost(q)).count() >= 4);
    let many = |h: &&Held| h.answers.len() > 1;
    assert!(ports().flat_map(|p| &p.held).filter(many).count() >= 8);
}

#[test]
fn a_state_is_one_of_those_there_are() {
    survey(|tally, _, _, _, _| tally.checks += 1, 17);
}

#[test]
fn a_port_has_its_resistance_of_either_sign() {
    survey(
        |tally, case, circuit, solution, state| {
            for port in &case.ports {
                let what = format!("{}, {} to {}", case.name(), port.plus, port.minus);
                let want = port.ohms[state];
                let view = solution.port(port.at(circuit));
                let allowed = SHARE * want.abs();
                tally.compare("ohms", &what, (view.ohms, want), allowed);
            }
        },
        35,
    );
}

fn each_question(
    mut each: impl FnMut(&mut Tally, &str, &Question, usize, Result<f64, solver::SolveError>),
) {
    survey(
        |tally, case, circuit, solution, state| {
            for port in &case.ports {
                for question in &port.metered {
                    let load = Load {
                        siemens: 1.0 / question.ohms,
                        amperes: question.amperes,
                    };
                    let reading = solution
                        .metered(port.at(circuit), load, None)
                        .map(|metered| metered.volts);
                    let what = format!(
                        "{}, {} ohms and {} A from {} to {}",
                        case.name(),
                        question.ohms,
                        question.amperes,
                        port.plus,
                        port.minus
                    );
                    each(tally, &what, question, state, reading);
                }
            }
        },
        75,
    );
}

/// Whatever became of the state it was put on.
#[test]
fn a_meter_reads_what_it_can_read() {
    each_question(|tally, what, question, _, reading| match reading {
        Err(error) => tally.refused("refused", what, &error),
        Ok(volts) => {
            tally.checks += 1;
            if let Err(why) = found(&question.answers, |a| same_volts(volts, a.volts)) {
                tally.refused("readings", what, &format!("{volts} V {why}"));
            }
        }
    });
}

/// A state that goes on existing as the meter comes on is not left for another.
#[test]
fn a_meter_reads_the_state_it_is_put_on() {
    each_question(|tally, what, question, state, reading| {
        let follows = usize::try_from(question.follows[state]);
        match (follows, reading) {
            // The state ends on the way: a refusal is as good as another state.
            (Err(_), _) => tally.checks += 1,
            (Ok(_), Err(error)) => tally.refused("refused", what, &error),
            (Ok(follows), Ok(volts)) => {
                let want = question.answers[follows].volts;
                let allowed = VOLTS_FLOOR + VOLTS_SHARE * want.abs();
                tally.compare("readings", what, (volts, want), allowed);
            }
        }
    });
}

#[test]
fn a_held_reading_needs_one_of_its_currents() {
    survey(
        |tally, case, circuit, solution, _| {
            for port in &case.ports {
                for held in &port.held {
                    let what = format!(
                        "{}, {} V from {} to {}",
                        case.name(),
                        held.volts,
                        port.plus,
                        port.minus
                    );
                    let at = port.at(circuit);
                    match solution.anchored(at, 1.0 / held.ohms, held.volts, None) {
                        Err(error) => tally.refused("refused", &what, &error),
                        Ok(state) => {
                            let got = state.load.amperes;
                            let near = |want: f64| {
                                (got - want).abs() <= SHARE * want.abs() + AMPERES_FLOOR
                            };
                            tally.checks += 1;
                            if let Err(why) = found(&held.answers, |a| near(a.amperes)) {
                                tally.refused("currents", &what, &format!("{got} A {why}"));
                            }
                        }
                    }
                }
            }
        },
        55,
    );
}
