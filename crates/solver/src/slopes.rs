//! Many ports of one state at once: what each meter reads there, and how each reading follows
//! every number of the circuit.
//!
//! As [`crate::Solution::pulls`], but on one factorization for all ports. The meter is put on by
//! a change of rank one (J. Sherman, W. J. Morrison, 1950), with `z = J⁻¹c`, `Jᵀλ = c`,
//! `R = cᵀz`:
//!
//! ```text
//! y = v/(1 + gR)     x_m = x − g·y·z     λ_m = λ/(1 + gR)     dy = −λ_mᵀ ∂F/∂θ dθ
//! ```
//!
//! With tubes or semiconductors this is the tangent at the state without a meter. Where the meter
//! is too much for the point for that, such as on the cathode of a tube whose resistor is open,
//! the circuit settles anew with the meter on it and the tangent is taken there.

use circuit::{Circuit, Conditions, PartParameter, Port};
use nalgebra::{DMatrix, DVector};

use crate::adjoint::ParameterId;
use crate::error::SolveError;
use crate::factor::Factor;
use crate::metered::Metered;
use crate::port::{Load, LoadedPort};
use crate::sensitivity::{device_slopes, linear_terms, Numbers, Source, Term};
use crate::solution::Solution;

/// A meter that takes more than this share of a point's volts is not left to the tangent.
pub(crate) const HEAVY: f64 = 0.1;

/// What a meter shows on a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seen {
    /// The reading in volts.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
}

/// Readings on many ports of one state and how they follow the circuit's numbers.
#[derive(Clone, Debug)]
pub struct Slopes {
    /// The readings, in the order asked for.
    pub seen: Vec<Seen>,
    /// The circuit's numbers.
    pub numbers: Vec<ParameterId>,
    /// Volts of the reading per unit of the number: one row a port, one column a number.
    pub by_number: DMatrix<f64>,
}

impl Solution {
    /// What a meter of this conductance in siemens shows on a port.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if the response cannot be trusted.
    pub fn seen(&self, port: Port, siemens: f64) -> Result<Seen, SolveError> {
        let view = self.port(port)?;
        Ok(match self.settled(port, siemens, view) {
            Some(metered) => Seen {
                volts: metered.volts,
                ohms: metered.ohms,
            },
            None => view.seen(siemens),
        })
    }

    /// What a meter of its conductance in siemens shows on each port, and how that follows every
    /// number.
    ///
    /// # Errors
    /// [`SolveError::Singular`] if a response cannot be trusted.
    pub fn slopes(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        probes: &[(Port, f64)],
    ) -> Result<Slopes, SolveError> {
        let (numbers, terms) = self.terms(circuit, conditions, &self.x);
        let mut seen = Vec::with_capacity(probes.len());
        let mut by_number = DMatrix::zeros(probes.len(), numbers.len());
        let mut fill = |row: usize, terms: &[Term], adjoint: &DVector<f64>, x: &DVector<f64>| {
            for term in terms {
                by_number[(row, term.column)] -= term.strength * term.source.felt(adjoint, x);
            }
        };
        for (row, (port, siemens)) in probes.iter().enumerate() {
            let c = self.equations.port_vector(*port);
            let solved = |factor: &Factor, transposed: bool| {
                let found = if transposed {
                    factor.solve_transposed(&c)
                } else {
                    factor.solve(&c)
                };
                found.map_err(|miss| miss.into_error(&self.equations))
            };
            let z = solved(&self.factor, false)?;
            let view = LoadedPort {
                open_volts: self.port_volts(*port),
                ohms: c.dot(&z).max(0.0),
            };
            if let Some(metered) = self.settled(*port, *siemens, view) {
                let adjoint = solved(&metered.factor, true)?;
                let (_, terms) = self.terms(circuit, conditions, &metered.x);
                fill(row, &terms, &adjoint, &metered.x);
                seen.push(Seen {
                    volts: metered.volts,
                    ohms: metered.ohms,
                });
                continue;
            }
            // x_m = x − g·y·z     λ_m = λ/(1 + gR)
            let yielding = 1.0 + siemens * view.ohms;
            let adjoint = solved(&self.factor, true)? / yielding;
            let x = &self.x - &z * (siemens * view.open_volts / yielding);
            fill(row, &terms, &adjoint, &x);
            seen.push(view.seen(*siemens));
        }
        Ok(Slopes {
            seen,
            numbers,
            by_number,
        })
    }

    /// The state with a heavy meter on a port; none where the tangent will do or has to.
    fn settled(&self, port: Port, siemens: f64, view: LoadedPort) -> Option<Metered> {
        if self.is_linear() || siemens * view.ohms <= HEAVY {
            return None;
        }
        let load = Load {
            siemens,
            amperes: 0.0,
        };
        self.metered(port, load, None).ok()
    }

    fn terms(
        &self,
        circuit: &Circuit,
        conditions: &Conditions,
        x: &DVector<f64>,
    ) -> (Vec<ParameterId>, Vec<Term>) {
        let mut numbers = Numbers::default();
        let mut terms = linear_terms(&self.equations, circuit, conditions, &mut numbers);
        for device in &self.equations.devices {
            for (parameter, slopes) in device_slopes(device, x) {
                let entries = device.rows.iter().zip(slopes);
                terms.push(Term {
                    part: device.part,
                    column: numbers.column(device.part, PartParameter::Device(parameter)),
                    strength: 1.0,
                    source: Source::Fixed(
                        entries
                            .filter_map(|(row, slope)| row.map(|row| (row, slope)))
                            .collect(),
                    ),
                });
            }
        }
        (numbers.ids, terms)
    }
}

impl LoadedPort {
    /// What a meter of this conductance in siemens shows here, by the tangent.
    pub fn seen(&self, siemens: f64) -> Seen {
        Seen {
            volts: self.volts(Load {
                siemens,
                amperes: 0.0,
            }),
            ohms: self.ohms_under(siemens),
        }
    }
}
