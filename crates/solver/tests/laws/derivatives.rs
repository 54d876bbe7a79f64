//! Stated derivatives against central differences of the stated currents.
//!
//! Fourth-order difference `[8·(I(h) − I(−h)) − (I(2h) − I(−2h))]/(12·h)`. It errs by two things,
//! which make up the tolerance:
//!
//! - truncation, `h⁴/30` of the fifth derivative: for a current that grows by e in `L` volts a
//!   share `(h/L)⁴/30` of the derivative, 1e-10 for the step and the narrowest bend chosen here;
//! - rounding of the currents, some 1e-16 of the largest, times 1.5/h. An exponent of up to 40
//!   multiplies the rounding of its exponential.
//!
//! Volts and steps are multiples of 2⁻¹² V, so that their sums are exact.

use circuit::Characteristic;
use solver::{evaluate, MOST_TERMINALS};

use super::samples::{every_law, J2N5457, Q2N404, WORN};

type Volts = [f64; MOST_TERMINALS];

/// Truncation as a share of a terminal's largest derivative: 1e-10 from the bend, times 20 since
/// the fifth derivative of a product of bends exceeds that of one.
const TRUNCATION: f64 = 2e-9;

/// Rounding of a current as a share of the largest one: 2⁻⁵², times 40 of the exponent.
const ROUNDING: f64 = 40.0 * f64::EPSILON;

/// A conductance in siemens that no circuit can tell from none: a billionth of a teraohm's. Deep
/// in cut-off, where the bend is narrowed by the plate's hold on it, all is far below it.
const NOTHING: f64 = 1e-21;

const PLATES: [f64; 10] = [-60.0, -8.0, -1.0, 0.0, 0.5, 2.0, 12.0, 40.0, 100.0, 450.0];
const SCREENS: [f64; 7] = [-20.0, -1.0, 0.0, 1.5, 20.0, 100.0, 300.0];
const GRIDS: [f64; 9] = [-50.0, -20.0, -8.0, -2.0, -1.0, -0.5, 0.0, 0.5, 4.0];
const SIGNALS: [f64; 6] = [-30.0, -4.0, -1.5, -1.25, 0.0, 2.0];

/// Step in volts: a hundredth of the narrowest bend, 0.139 V in a tube, 0.026 V in a
/// semiconductor.
fn step(law: &Characteristic) -> f64 {
    match law {
        Characteristic::Junction(_)
        | Characteristic::SoftKnee(_)
        | Characteristic::Bipolar(_)
        | Characteristic::FieldEffect(_) => 1.0 / 4096.0,
        _ => 1.0 / 1024.0,
    }
}

/// Volts across a semiconductor's junctions: fine steps of 1/32 V where they conduct, well into
/// the straight continuation above 40 thermal voltages, coarse ones in reverse. The odd 1/64 V
/// keeps them 2·h away from the places where a law is smooth only once (see the last test).
fn across_junction() -> Vec<f64> {
    let forward = (-8..=48).map(|count| f64::from(count) / 32.0);
    let wide = [-50.0, -12.0, -4.0, -3.0, -2.5, -1.0, 4.0, 20.0, 50.0, 90.0];
    forward
        .chain(wide)
        .map(|volts| volts + 1.0 / 64.0)
        .collect()
}

/// Terminal volts to try, the cathode's (emitter's, source's) included.
pub fn grid_of_volts(law: &Characteristic) -> Vec<Volts> {
    let mut points = Vec::new();
    match law {
        Characteristic::VacuumDiode(_) => {
            for plate in PLATES.into_iter().chain(GRIDS) {
                points.push([plate, 0.0, 0.0, 0.0, 0.0]);
                points.push([plate + 3.0, 3.0, 0.0, 0.0, 0.0]);
            }
        }
        Characteristic::Triode(_) | Characteristic::Oscillator(_) => {
            for plate in PLATES {
                for grid in GRIDS {
                    points.push([plate, grid, 0.0, 0.0, 0.0]);
                    points.push([plate, grid, 1.5, 0.0, 0.0]);
                }
            }
        }
        Characteristic::Pentode(_) => {
            for plate in PLATES {
                for screen in SCREENS {
                    points.extend(GRIDS.map(|grid| [plate, screen, grid, 0.0, 0.0]));
                }
            }
        }
        Characteristic::Pentagrid(_) | Characteristic::Heptode(_) => {
            for plate in PLATES {
                for screen in SCREENS {
                    for signal in SIGNALS {
                        points.extend(GRIDS.map(|grid| [plate, screen, grid, signal, 0.0]));
                    }
                }
            }
        }
        Characteristic::Junction(_) | Characteristic::SoftKnee(_) => {
            points.extend(
                across_junction()
                    .into_iter()
                    .map(|v| [v, 0.0, 0.0, 0.0, 0.0]),
            );
        }
        Characteristic::Bipolar(_) | Characteristic::FieldEffect(_) => {
            // Both polarities conduct somewhere in it, for the middle terminal is taken to both.
            for first in across_junction() {
                for second in across_junction() {
                    points.push([-first, 0.0, -second, 0.0, 0.0]);
                    points.push([first, 0.0, second, 0.0, 0.0]);
                }
            }
            // Equal volts at both ends are no place to take differences.
            points.retain(|volts| (volts[0] - volts[2]).abs() > 1e-3);
        }
    }
    points
}

/// Derivatives of all currents by the volts of `terminal`, by differences.
fn difference(law: &Characteristic, volts: &Volts, terminal: usize, h: f64) -> Volts {
    let at = |steps: f64| {
        let mut moved = *volts;
        moved[terminal] += steps * h;
        evaluate(law, &moved).current
    };
    let (far_below, below, above, far_above) = (at(-2.0), at(-1.0), at(1.0), at(2.0));
    std::array::from_fn(|row| {
        (8.0 * (above[row] - below[row]) - (far_above[row] - far_below[row])) / (12.0 * h)
    })
}

fn largest(values: impl IntoIterator<Item = f64>) -> f64 {
    values
        .into_iter()
        .fold(0.0, |most, value| value.abs().max(most))
}

#[test]
fn stated_derivatives_are_those_of_the_currents() {
    let mut failures = Vec::new();
    for (name, law) in every_law() {
        let h = step(&law);
        for volts in grid_of_volts(&law) {
            let stated = evaluate(&law, &volts);
            let mut far = volts;
            far[0] += 2.0 * h;
            let currents = largest(stated.current).max(largest(evaluate(&law, &far).current));
            for by in 0..law.terminals() {
                let found = difference(&law, &volts, by, h);
                let slopes = largest((0..law.terminals()).map(|row| stated.conductance[row][by]));
                let tolerance = TRUNCATION * slopes + 1.5 * ROUNDING * currents / h + NOTHING;
                for (row, want) in found.into_iter().enumerate().take(law.terminals()) {
                    let got = stated.conductance[row][by];
                    let miss = (got - want).abs();
                    if miss.is_nan() || miss > tolerance {
                        failures.push(format!(
                            "{name} at {volts:?}: d I{row}/d V{by} stated {got:e}, by \
                             difference {want:e}, miss {miss:e}, allowed {tolerance:e}"
                        ));
                    }
                }
            }
        }
    }
    assert!(
        failures.is_empty(),
        "{} failures:\n{}",
        failures.len(),
        failures[..failures.len().min(12)].join("\n")
    );
}

/// Where a law changes its formula, current and derivatives must meet; only the curvature may
/// jump. Within ±1e-9 V of the place a derivative moves by 1e-9 V times the curvature, which is
/// at most the derivative over the thermal voltage: 4e-8 of it, and twice that from side to side,
/// half as much again for rounding. The square law's curvature is 2·IDSS/Vp² = 6.4e-4 S/V even
/// where its derivative is nothing: 1.3e-12 S.
#[test]
fn formulas_meet_where_they_change() {
    let straight = 40.0 * solver::THERMAL_VOLTS;
    let places = [
        // Collector at the volts of the base; both junctions at the end of their exponential.
        (Characteristic::Bipolar(Q2N404), [0.0, 0.0, 0.1, 0.0, 0.0]),
        (
            Characteristic::Bipolar(Q2N404),
            [straight, 0.0, 0.1, 0.0, 0.0],
        ),
        (
            Characteristic::Bipolar(Q2N404),
            [-2.0, 0.0, straight, 0.0, 0.0],
        ),
        // Channel at its knee, at cut-off, and turned round.
        (
            Characteristic::FieldEffect(J2N5457),
            [2.058, -1.0, 0.0, 0.0, 0.0],
        ),
        (
            Characteristic::FieldEffect(J2N5457),
            [5.0, -3.058, 0.0, 0.0, 0.0],
        ),
        (
            Characteristic::FieldEffect(J2N5457),
            [0.0, -1.0, 0.0, 0.0, 0.0],
        ),
    ];
    for (law, volts) in places {
        for moved in 0..3 {
            let side = |change: f64| {
                let mut volts = volts;
                volts[moved] += change;
                evaluate(&law, &volts)
            };
            let (below, above) = (side(-1e-9), side(1e-9));
            let slopes = largest(below.conductance.into_iter().flatten());
            for row in 0..3 {
                let jump = (above.current[row] - below.current[row]).abs();
                // 2e-9 V times the slope, half as much again for rounding.
                let allowed = 3e-9 * slopes + 1e-18;
                assert!(
                    jump <= allowed,
                    "{law:?} at {volts:?}: I{row} jumps by {jump:e} A"
                );
                for by in 0..3 {
                    let jump = (above.conductance[row][by] - below.conductance[row][by]).abs();
                    assert!(
                        jump <= 1.2e-7 * slopes + 1.3e-12,
                        "{law:?} at {volts:?}: d I{row}/d V{by} jumps by {jump:e} of {slopes:e} S"
                    );
                }
            }
        }
    }
}

/// Emission scales what the cathode gives, gas adds a current from plate to grid and nothing
/// else: linear in both, so exact but for rounding.
#[test]
fn wear_scales_emission_and_adds_gas() {
    for (name, law) in every_law() {
        let (new, worn, grid) = match law {
            Characteristic::Triode(tube) if tube.wear.gas <= 0.0 => (
                law,
                Characteristic::Triode(circuit::Triode { wear: WORN, ..tube }),
                1,
            ),
            Characteristic::Pentode(tube) if tube.wear.gas <= 0.0 => (
                law,
                Characteristic::Pentode(circuit::Pentode { wear: WORN, ..tube }),
                2,
            ),
            _ => continue,
        };
        for volts in grid_of_volts(&law) {
            let (new, worn) = (evaluate(&new, &volts), evaluate(&worn, &volts));
            for row in 0..law.terminals() {
                let gas = match row {
                    0 => WORN.gas,
                    _ if row == grid => -WORN.gas,
                    _ => 0.0,
                };
                let want = WORN.emission * new.current[row] + gas;
                let tolerance = 8.0 * f64::EPSILON * (largest(new.current) + WORN.gas);
                assert!(
                    (worn.current[row] - want).abs() <= tolerance,
                    "{name} at {volts:?}: I{row} worn {:e}, want {want:e}",
                    worn.current[row]
                );
            }
        }
    }
}
