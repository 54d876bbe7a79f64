//! The manual's reading as the anchor: what another meter reads, given that the manual's meter
//! read what is printed.
//!
//! Into the port goes the current `i` with which the model reads the manual's value through the
//! manual's meter; the current stays, the meter changes. In a linear circuit
//!
//! ```text
//! y = m₁ + (V_m − m₀) · R₁/R₀,    R₁/R₀ = (1 + g₀R) / (1 + g₁R)
//! ```
//!
//! with `m₀`, `m₁` the model's own readings through the two meters. With one line voltage this
//! is `y = V_m (1 + g₀R) / (1 + g₁R)`, whatever the model's sources say: the answer rests on
//! the manual's value and on the source resistance alone.

use circuit::Port;
use solver::{Load, LoadedPort, Solution, SolveError};

/// A point with the manual's reading on it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchor {
    /// The port under the manual's line voltage.
    manual: LoadedPort,
    /// The port under the bench's line voltage.
    bench: LoadedPort,
    /// Conductance of the manual's meter in siemens.
    manual_siemens: f64,
    /// Whether the circuit is drawn, so that the model's own volts mean something.
    drawn: bool,
}

impl Anchor {
    /// A point of the drawn circuit, under the manual's conditions and the bench's.
    ///
    /// # Errors
    /// [`SolveError`] if the port's resistance cannot be had.
    pub fn drawn(
        manual: &Solution,
        bench: &Solution,
        port: Port,
        manual_siemens: f64,
    ) -> Result<Self, SolveError> {
        Ok(Anchor {
            manual: manual.port(port)?,
            bench: bench.port(port)?,
            manual_siemens,
            drawn: true,
        })
    }

    /// A point whose source resistance in ohms is stated instead of drawn: the closed form.
    pub fn stated(ohms: f64, manual_siemens: f64) -> Self {
        let port = LoadedPort {
            open_volts: 0.0,
            ohms,
        };
        Anchor {
            manual: port,
            bench: port,
            manual_siemens,
            drawn: false,
        }
    }

    /// Resistance in ohms seen at the point with no meter on it.
    pub fn source_ohms(&self) -> f64 {
        self.manual.ohms
    }

    /// How much the manual's meter moves the reading, as a share of the unloaded volts.
    pub fn loading(&self) -> f64 {
        // 1/(1 + g₀R) − 1
        let load = self.manual_siemens * self.manual.ohms;
        -load / (1.0 + load)
    }

    /// The model's own volts through the manual's meter; none where nothing is drawn.
    pub fn model_as_documented(&self) -> Option<f64> {
        self.drawn
            .then(|| self.model_through(self.manual, self.manual_siemens))
    }

    /// The model's own volts with no meter; none where nothing is drawn.
    pub fn model_unloaded(&self) -> Option<f64> {
        self.drawn.then_some(self.manual.open_volts)
    }

    /// The manual's value freed from its meter, under the manual's line voltage.
    pub fn unloaded(&self, printed: f64) -> f64 {
        // V_m (1 + g₀R)
        self.move_to(self.manual, printed, 0.0)
    }

    /// What a bench meter of this conductance in siemens should read.
    pub fn carried(&self, printed: f64, siemens: f64) -> f64 {
        self.move_to(self.bench, printed, siemens)
    }

    /// Volts of the unloaded point that the model does not account for: the injected current
    /// times the source resistance.
    pub fn disagreement(&self, printed: f64) -> Option<f64> {
        self.drawn
            .then(|| self.unloaded(printed) - self.manual.open_volts)
    }

    fn move_to(&self, port: LoadedPort, printed: f64, siemens: f64) -> f64 {
        let m0 = self.model_through(self.manual, self.manual_siemens);
        let m1 = self.model_through(port, siemens);
        let ratio = (1.0 + self.manual_siemens * self.manual.ohms) / (1.0 + siemens * port.ohms);
        m1 + (printed - m0) * ratio
    }

    fn model_through(&self, port: LoadedPort, siemens: f64) -> f64 {
        port.volts(Load {
            siemens,
            amperes: 0.0,
        })
    }
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
        let anchor = Anchor::stated(220e3, 1.0 / 250e3);
        let printed = 200.0 * 250e3 / 470e3;
        assert!((anchor.unloaded(printed) - 200.0).abs() < ROUNDING);
        let carried = anchor.carried(printed, 1.0 / 10e6);
        assert!((carried - 200.0 * 10e6 / 10.22e6).abs() < ROUNDING);
        assert!((anchor.loading() + 220.0 / 470.0).abs() < ROUNDING);
        assert!(anchor.model_unloaded().is_none());
    }

    #[test]
    fn a_point_without_resistance_keeps_its_value() {
        let anchor = Anchor::stated(0.0, 1.0 / 50e3);
        assert!((anchor.carried(285.0, 1e-7) - 285.0).abs() < ROUNDING);
    }
}
