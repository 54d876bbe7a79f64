//! The semiconductor junction, and the limit it sets to a step of Newton's method.

use circuit::{DeviceParameter, Junction};

use super::by_number::{flow, ByNumber};
use super::evaluation::{Evaluation, MOST_TERMINALS};

const ANODE: usize = 0;
const CATHODE: usize = 1;

/// Above this exponent the exponential goes on as a straight line, so that no voltage overflows.
const STRAIGHT_FROM: f64 = 40.0;

/// A junction whose step has to be limited.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Limiter {
    /// Terminal at its P side.
    pub(crate) anode: usize,
    /// Terminal at its N side.
    pub(crate) cathode: usize,
    /// `n·V_T` in volts.
    pub(crate) slope_volts: f64,
    /// Saturation current in amperes.
    pub(crate) saturation: f64,
}

/// `e(v)` and its derivative by `v`, for `v` in units of the slope voltage.
pub(crate) fn exponential(v: f64) -> (f64, f64) {
    if v > STRAIGHT_FROM {
        let e = STRAIGHT_FROM.exp();
        (e * (1.0 + v - STRAIGHT_FROM), e)
    } else {
        (v.exp(), v.exp())
    }
}

pub(crate) fn evaluate(junction: &Junction, volts: &[f64; MOST_TERMINALS]) -> Evaluation {
    let v = volts[ANODE] - volts[CATHODE];
    let (e, de) = exponential(v / junction.slope_volts);
    // I = Is·(exp(V/(n·VT)) − 1) + V/Rp
    let amperes = junction.saturation * (e - 1.0) + v / junction.leak_ohms;
    let siemens = junction.saturation * de / junction.slope_volts + 1.0 / junction.leak_ohms;
    let mut found = Evaluation::NONE;
    found.flow((ANODE, CATHODE), amperes, CATHODE, &[(ANODE, siemens)]);
    found
}

pub(crate) fn by_number(junction: &Junction, volts: &[f64; MOST_TERMINALS]) -> Vec<ByNumber> {
    let v = volts[ANODE] - volts[CATHODE];
    let (e, _) = exponential(v / junction.slope_volts);
    let through = |amperes| flow(&[((ANODE, CATHODE), amperes)]);
    vec![
        (
            DeviceParameter::Saturation,
            through(junction.saturation * (e - 1.0)),
        ),
        (
            DeviceParameter::JunctionLeakage,
            through(v / junction.leak_ohms),
        ),
    ]
}

pub(crate) fn limiters(junction: &Junction) -> Vec<Limiter> {
    vec![Limiter {
        anode: ANODE,
        cathode: CATHODE,
        slope_volts: junction.slope_volts,
        saturation: junction.saturation,
    }]
}

impl Limiter {
    /// Volts above which a step is limited: `V_c = n·VT·ln(n·VT/(√2·Is))`.
    pub(crate) fn critical(&self) -> f64 {
        self.slope_volts * (self.slope_volts / (std::f64::consts::SQRT_2 * self.saturation)).ln()
    }
}

/// The junction volts to accept instead of `new`, coming from `old`: above the critical voltage
/// `v + n·VT·ln(1 + dv/(n·VT))` (standard practice in nonlinear circuit analysis).
pub(crate) fn limit_junction(limiter: &Limiter, new: f64, old: f64) -> f64 {
    let nvt = limiter.slope_volts;
    let critical = limiter.critical();
    if new <= critical || new <= old + 2.0 * nvt {
        return new;
    }
    if old < critical {
        // From a junction that was off: straight to where it begins to conduct; from just below
        // that place, the two slope volts that are free anyway.
        critical.max(old + 2.0 * nvt)
    } else {
        old + nvt * ((new - old) / nvt).ln_1p()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 5 V, 1 kΩ, Is = 1e-14 A, n = 1, 300 K: a circuit with a closed form. Boltzmann's constant
    /// and the elementary charge are exact since 2019 (SI).
    const SLOPE_VOLTS: f64 = 1.380649e-23 * 300.0 / 1.602176634e-19;
    const SATURATION: f64 = 1e-14;
    /// Its junction volts by Lambert's W (computed independently).
    const WANT: f64 = 0.692543627;

    const LIMITER: Limiter = Limiter {
        anode: ANODE,
        cathode: CATHODE,
        slope_volts: SLOPE_VOLTS,
        saturation: SATURATION,
    };

    /// Newton's method from 0 V with the unextended exponential, until a step is below 1e-9 V:
    /// steps, and the volts found.
    fn iterate(accept: impl Fn(f64, f64) -> f64) -> (usize, f64) {
        let mut volts: f64 = 0.0;
        for steps in 1..=1000 {
            let e = (volts / SLOPE_VOLTS).exp();
            let residual = SATURATION * (e - 1.0) - (5.0 - volts) / 1e3;
            let new = volts - residual / (SATURATION * e / SLOPE_VOLTS + 1e-3);
            let accepted = accept(new, volts);
            if (accepted - volts).abs() < 1e-9 {
                return (steps, accepted);
            }
            volts = accepted;
        }
        (1000, volts)
    }

    #[test]
    fn critical_volts_of_the_limiter() {
        // Computed independently, to six digits; tolerance: half the last.
        assert!((LIMITER.critical() - 0.729912).abs() <= 0.5e-6);
    }

    /// An independent computation took 173 steps without the limit and 8 with it; the counts
    /// depend a little on when one stops.
    #[test]
    fn the_limit_saves_a_hundred_steps() {
        let (plain, unlimited) = iterate(|new, _| new);
        let (few, limited) = iterate(|new, old| limit_junction(&LIMITER, new, old));
        // Half the last digit of the closed form, and the step that ended it.
        for volts in [unlimited, limited] {
            assert!((volts - WANT).abs() <= 1.5e-9, "{volts} V");
        }
        assert!(plain > 100, "{plain} steps");
        assert!(few <= 10, "{few} steps");
    }

    #[test]
    fn small_and_downward_steps_are_free() {
        let critical = LIMITER.critical();
        for (new, old) in [
            (critical - 0.01, -40.0),
            (0.9, 0.9 - 1.9 * SLOPE_VOLTS),
            (0.8, 3.0),
            (-100.0, 0.9),
        ] {
            let accepted = limit_junction(&LIMITER, new, old);
            assert!((accepted - new).abs() <= 0.0, "{old} to {new}: {accepted}");
        }
    }

    /// The step of the whole circuit is shortened by the share that the junction allows. Were
    /// that the distance to the critical voltage, a junction one rounding below it would stop
    /// the circuit for good.
    #[test]
    fn just_below_the_critical_volts_a_step_is_not_starved() {
        let critical = LIMITER.critical();
        for below in [1e-16, 1e-12, 1e-6, SLOPE_VOLTS] {
            let old = critical - below;
            let accepted = limit_junction(&LIMITER, old + 5.0, old);
            assert!(accepted >= old + SLOPE_VOLTS, "{below} below: {accepted}");
            assert!(accepted <= critical + 2.0 * SLOPE_VOLTS, "{below} below");
        }
    }

    /// No limit must let the exponential grow by more than the step of the logarithm allows.
    #[test]
    fn a_limited_step_grows_with_the_step_wanted() {
        let old = LIMITER.critical() + 0.05;
        let mut last = old;
        for wanted in [0.1, 0.5, 2.0, 10.0, 100.0] {
            let accepted = limit_junction(&LIMITER, old + wanted, old);
            assert!(accepted > last && accepted < old + wanted);
            // ln(1 + 100/0.0259) = 8.3 slope volts.
            assert!(accepted <= old + 8.3 * SLOPE_VOLTS);
            last = accepted;
        }
    }
}
