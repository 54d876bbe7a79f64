//! Derivatives of a translated value by the printed value and by every number of the circuit.
//!
//! With `x₀` the state under the manual's meter, `x₁` that under the bench meter, `Rₖ` the
//! resistance at the port with the meter on it and `λₖ` the adjoint solutions,
//!
//! ```text
//! dy = (R₁/R₀) dV_m + [ (R₁/R₀) λ₀ᵀ ∂F/∂θ|x₀ − λ₁ᵀ ∂F/∂θ|x₁ ] dθ
//! ```

use circuit::{spread_of, Circuit};
use solver::{Load, Metered, ParameterId, Sensitivities, SolveError};

use crate::anchor::{Anchor, AnchorBasis, Drawn};

/// First-order derivatives of one translated value.
#[derive(Clone, Debug, PartialEq)]
pub struct Derivatives {
    /// By the printed value, volts per volt.
    pub by_printed: f64,
    /// By the stated source resistance, volts per ohm; none for a drawn point.
    pub by_stated_ohms: Option<f64>,
    /// By each number of the circuit, volts per unit of that number.
    pub by_parameter: Vec<(ParameterId, f64)>,
}

/// Variance of a value through the spread of the parts, in the square of the value's unit; `slopes` are its
/// derivatives by the circuit's numbers.
pub(crate) fn variance_by_parts(
    circuit: &Circuit,
    slopes: impl Iterator<Item = (ParameterId, f64)>,
) -> f64 {
    slopes
        .map(|(id, slope)| {
            let spread = spread_of(circuit.part(id.part), id.parameter);
            (slope * spread.standard()).powi(2)
        })
        .sum()
}

impl Anchor {
    /// Derivatives of what a meter of this conductance in siemens should read.
    ///
    /// # Errors
    /// [`SolveError`] where a state or its adjoint does not exist.
    pub fn derivatives(&self, circuit: &Circuit, siemens: f64) -> Result<Derivatives, SolveError> {
        match &self.basis {
            AnchorBasis::Stated { ohms } => Ok(self.stated_derivatives(*ohms, siemens)),
            AnchorBasis::Drawn(drawn) => self.drawn_derivatives(drawn, circuit, siemens),
        }
    }

    fn stated_derivatives(&self, ohms: f64, siemens: f64) -> Derivatives {
        let (g0, g1) = (self.manual_siemens, siemens);
        let ratio = (1.0 + g0 * ohms) / (1.0 + g1 * ohms);
        Derivatives {
            by_printed: ratio,
            // d/dR (1 + g₀R)/(1 + g₁R) = (g₀ − g₁)/(1 + g₁R)²
            by_stated_ohms: Some(self.printed * (g0 - g1) / (1.0 + g1 * ohms).powi(2)),
            by_parameter: Vec::new(),
        }
    }

    fn drawn_derivatives(
        &self,
        drawn: &Drawn,
        circuit: &Circuit,
        siemens: f64,
    ) -> Result<Derivatives, SolveError> {
        let (before, after) = self.states(drawn, siemens)?;
        let ratio = if before.ohms == 0.0 {
            1.0
        } else {
            after.ohms / before.ohms
        };
        let (manual, bench) = (&drawn.manual, &drawn.bench);
        let before = manual
            .solution
            .sensitivities(circuit, &manual.conditions, &before);
        let after = bench
            .solution
            .sensitivities(circuit, &bench.conditions, &after);
        Ok(Derivatives {
            by_printed: ratio,
            by_stated_ohms: None,
            by_parameter: together(&before, &after, ratio),
        })
    }

    /// The states under the manual's meter and under the bench meter.
    fn states(&self, drawn: &Drawn, siemens: f64) -> Result<(Metered, Metered), SolveError> {
        let amperes_of = |state: &Metered| state.load.amperes;
        let manual = &drawn.manual.solution;
        let before = match self.nonlinear() {
            Some(nonlinear) => nonlinear.anchored.clone(),
            // The current is absurd, so the drawn state is used.
            None if self.is_held() => {
                let load = Load {
                    siemens: self.manual_siemens,
                    amperes: 0.0,
                };
                manual.metered(drawn.port, load, None)?
            }
            None => manual.anchored(drawn.port, self.manual_siemens, self.printed, None)?,
        };
        let load = Load {
            siemens,
            amperes: amperes_of(&before),
        };
        let near = Some(&before);
        let after = drawn.bench.solution.metered(drawn.port, load, near)?;
        Ok((before, after))
    }
}

/// `ratio·before − after` for every number that either follows. Both stand in the order of the
/// circuit's parts; a supply that the bench takes as read is followed by the manual's side alone.
fn together(before: &Sensitivities, after: &Sensitivities, ratio: f64) -> Vec<(ParameterId, f64)> {
    let mut found = Vec::with_capacity(before.values.len().max(after.values.len()));
    let mut ahead = after.iter().peekable();
    for own in before.iter() {
        while let Some(other) = ahead.next_if(|other| other.id.part < own.id.part) {
            found.push((other.id, -other.value));
        }
        let same = ahead.next_if(|other| other.id == own.id);
        let taken = same.map_or(0.0, |other| other.value);
        found.push((own.id, ratio * own.value - taken));
    }
    found.extend(ahead.map(|other| (other.id, -other.value)));
    found
}
