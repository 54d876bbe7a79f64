//! The manual's reading as the anchor: what another meter reads, given that the manual's meter
//! read what is printed.
//!
//! A current `i` is injected into the port, such that the model reads the manual's value `V_m` through
//! the manual's meter `g₀`. The current is kept, and the meter is changed to `g₁`:
//!
//! ```text
//! F(x₀) + g₀·c cᵀx₀ − i·c = 0,  cᵀx₀ = V_m        (unknown x₀, i)
//! F(x₁) + g₁·c cᵀx₁ − i·c = 0,  y = cᵀx₁          (unknown x₁)
//! ```
//!
//! In a linear circuit that is `y = m₁ + (V_m − m₀)·(1 + g₀R)/(1 + g₁R)`, with `m₀`, `m₁` the
//! model's own readings; with one line voltage it is `V_m (1 + g₀R)/(1 + g₁R)`, whatever the
//! drawn sources say. `i` represents what the model lacks, so the result depends on the
//! manual's value and on the resistance at the point, and not on tube data.

use std::sync::Arc;

use circuit::{Conditions, Port};
use solver::{Load, LoadedPort, Solution, SolveError};

use crate::nonlinear::{ManualReading, NonlinearStates};

/// A port below this many ohms is held by a source; no meter and no realistic current changes its
/// volts.
const HELD: f64 = 0.1;

/// A point at which the manual's reading is imposed.
#[derive(Clone, Debug)]
pub struct Anchor {
    /// The manual's value in volts.
    pub(crate) printed: f64,
    /// Conductance of the manual's meter in siemens.
    pub(crate) manual_siemens: f64,
    pub(crate) basis: AnchorBasis,
}

/// How the point is known.
#[derive(Clone, Debug)]
pub(crate) enum AnchorBasis {
    /// By its source resistance alone.
    Stated { ohms: f64 },
    /// By its drawn circuit.
    Drawn(Box<Drawn>),
}

/// A point of the drawn circuit.
#[derive(Clone, Debug)]
pub(crate) struct Drawn {
    pub(crate) port: Port,
    pub(crate) manual: Side,
    pub(crate) bench: Side,
    /// States of a circuit with tubes or semiconductors; none where the closed form holds.
    nonlinear: Option<NonlinearStates>,
}

/// The circuit under the conditions of the manual or of the bench.
#[derive(Clone, Debug)]
pub(crate) struct Side {
    pub(crate) solution: Arc<Solution>,
    pub(crate) conditions: Conditions,
    /// The port as seen from outside, by its tangent.
    seen: LoadedPort,
}

impl Side {
    /// A solved circuit and the tangent of one of its ports.
    pub(crate) fn new(solution: Arc<Solution>, conditions: Conditions, port: Port) -> Self {
        Side {
            seen: solution.port(port),
            solution,
            conditions,
        }
    }
}

impl Anchor {
    /// A point of the drawn circuit, under the manual's conditions and the bench's.
    ///
    /// # Errors
    /// [`SolveError`] if no state reads the printed value.
    pub(crate) fn drawn(
        manual: Side,
        bench: Side,
        port: Port,
        reading: ManualReading,
    ) -> Result<Self, SolveError> {
        let linear = manual.solution.is_linear() || manual.seen.ohms.abs() < HELD;
        let nonlinear = if linear {
            None
        } else {
            Some(NonlinearStates::new(&manual.solution, port, reading)?)
        };
        Ok(Anchor {
            printed: reading.printed,
            manual_siemens: reading.siemens,
            basis: AnchorBasis::Drawn(Box::new(Drawn {
                port,
                manual,
                bench,
                nonlinear,
            })),
        })
    }

    /// A point whose source resistance in ohms is stated instead of drawn: the closed form.
    pub fn stated(ohms: f64, manual_siemens: f64, printed: f64) -> Self {
        Anchor {
            printed,
            manual_siemens,
            basis: AnchorBasis::Stated { ohms },
        }
    }

    /// Resistance in ohms seen at the point, as the manual found it, with no meter on it.
    pub fn source_ohms(&self) -> f64 {
        match &self.basis {
            AnchorBasis::Stated { ohms } => *ohms,
            AnchorBasis::Drawn(drawn) => match &drawn.nonlinear {
                Some(nonlinear) => nonlinear.free.ohms,
                None => drawn.manual.seen.ohms,
            },
        }
    }

    /// How much the manual's meter moves the reading, as a share of the unloaded volts.
    pub fn loading(&self) -> f64 {
        let unloaded = self.unloaded();
        let moved = self.printed - unloaded;
        // A point at zero volts has no share to speak of; there the tangent's is meant.
        if self.is_nonlinear() && unloaded.abs() > 1e-6 {
            return moved / unloaded.abs() * unloaded.signum();
        }
        // 1/(1 + g₀R) − 1
        let load = self.manual_siemens * self.source_ohms();
        -load / (1.0 + load)
    }

    /// The manual's value corrected for the load of its meter, at the manual's line voltage.
    pub fn unloaded(&self) -> f64 {
        match &self.basis {
            AnchorBasis::Stated { ohms } => {
                carry_linear(self.printed, self.manual_siemens, 0.0, *ohms)
            }
            AnchorBasis::Drawn(drawn) => match &drawn.nonlinear {
                Some(nonlinear) => nonlinear.free.volts,
                None => self.carry_linear_drawn(drawn, drawn.manual.seen, self.printed, 0.0),
            },
        }
    }

    /// Volts of a bench meter of this conductance in siemens for one volt of the manual's, where
    /// the source resistance is stated: `(1 + g₀R)/(1 + g₁R)`.
    pub(crate) fn stated_ratio(&self, siemens: f64) -> f64 {
        carry_linear(1.0, self.manual_siemens, siemens, self.source_ohms())
    }

    /// What a bench meter of this conductance in siemens should read.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit finds no state with that meter on it.
    pub fn carried(&self, siemens: f64) -> Result<f64, SolveError> {
        let printed = self.printed;
        match &self.basis {
            AnchorBasis::Stated { ohms } => {
                Ok(carry_linear(printed, self.manual_siemens, siemens, *ohms))
            }
            AnchorBasis::Drawn(drawn) => match &drawn.nonlinear {
                None => Ok(self.carry_linear_drawn(drawn, drawn.bench.seen, printed, siemens)),
                Some(nonlinear) => {
                    let load = Load {
                        siemens,
                        amperes: nonlinear.anchored.load.amperes,
                    };
                    drawn.bench.solution.reading(load, &nonlinear.anchored)
                }
            },
        }
    }

    /// Whether the path from the drawn circuit's state to one that reads the printed value passes a
    /// jump.
    pub(crate) fn is_beyond_jump(&self) -> bool {
        self.nonlinear()
            .is_some_and(|nonlinear| nonlinear.anchored.beyond_fold)
    }

    /// What a meter of this conductance in siemens should read by the tangent of the drawn state.
    pub(crate) fn by_tangent(&self, siemens: f64) -> Option<f64> {
        match &self.basis {
            AnchorBasis::Stated { .. } => None,
            AnchorBasis::Drawn(drawn) => {
                Some(self.carry_linear_drawn(drawn, drawn.bench.seen, self.printed, siemens))
            }
        }
    }

    /// Whether a source holds the point, so that no meter moves it.
    pub(crate) fn is_held(&self) -> bool {
        self.source_ohms().abs() < HELD
    }

    /// Whether the point lies in a circuit with tubes or semiconductors.
    fn is_nonlinear(&self) -> bool {
        self.nonlinear().is_some()
    }

    /// The states of such a point.
    pub(crate) fn nonlinear(&self) -> Option<&NonlinearStates> {
        match &self.basis {
            AnchorBasis::Stated { .. } => None,
            AnchorBasis::Drawn(drawn) => drawn.nonlinear.as_ref(),
        }
    }

    fn carry_linear_drawn(
        &self,
        drawn: &Drawn,
        bench: LoadedPort,
        printed: f64,
        siemens: f64,
    ) -> f64 {
        let loads = (self.manual_siemens, siemens);
        carry_linear_drawn((drawn.manual.seen, bench), loads, printed)
    }
}

/// `y = m₁ + (V_m − m₀)·(1 + g₀R)/(1 + g₁R)`, of a port under the manual's and the bench's
/// conditions, with the conductances of their meters in siemens.
pub(crate) fn carry_linear_drawn(
    (manual, bench): (LoadedPort, LoadedPort),
    (g0, g1): (f64, f64),
    printed: f64,
) -> f64 {
    let m0 = through(manual, g0);
    let m1 = through(bench, g1);
    let ratio = (1.0 + g0 * manual.ohms) / (1.0 + g1 * bench.ohms);
    m1 + (printed - m0) * ratio
}

/// `y = V_m (1 + g₀R)/(1 + g₁R)`
pub(crate) fn carry_linear(printed: f64, manual_siemens: f64, siemens: f64, ohms: f64) -> f64 {
    printed * (1.0 + manual_siemens * ohms) / (1.0 + siemens * ohms)
}

fn through(port: LoadedPort, siemens: f64) -> f64 {
    port.volts(Load {
        siemens,
        amperes: 0.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 1e-9 V: sums of a few products of numbers below 1e3 round to less than 1e-12.
    const ROUNDING: f64 = 1e-9;

    #[test]
    fn a_stated_resistance_gives_the_closed_form() {
        // y = V_m (1 + g₀R)/(1 + g₁R): 200 V behind 220 kΩ reads 106.383 V through 250 kΩ and
        // 195.695 V through 10 MΩ (V·Rm/(Rm+R), worked by hand).
        let printed = 200.0 * 250e3 / 470e3;
        let anchor = Anchor::stated(220e3, 1.0 / 250e3, printed);
        assert!((anchor.unloaded() - 200.0).abs() < ROUNDING);
        let carried = anchor.carried(1.0 / 10e6).expect("a closed form");
        assert!((carried - 200.0 * 10e6 / 10.22e6).abs() < ROUNDING);
        assert!((anchor.loading() + 220.0 / 470.0).abs() < ROUNDING);
    }

    #[test]
    fn a_point_without_resistance_keeps_its_value() {
        let anchor = Anchor::stated(0.0, 1.0 / 50e3, 285.0);
        let carried = anchor.carried(1e-7).expect("a closed form");
        assert!((carried - 285.0).abs() < ROUNDING);
    }
}
