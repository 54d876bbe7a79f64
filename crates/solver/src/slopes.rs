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

use circuit::{Circuit, Conditions, DeviceParameter, PartParameter, Port};
use nalgebra::{DMatrix, DVector};

use crate::adjoint::ParameterId;
use crate::element::{dependences, ElementKind, Target};
use crate::error::SolveError;
use crate::factor::Factor;
use crate::law::{self, MOST_TERMINALS};
use crate::metered::Metered;
use crate::port::{Load, LoadedPort};
use crate::solution::Solution;

/// A meter that takes more than this share of a point's volts is not left to the tangent.
const HEAVY: f64 = 0.1;

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

/// `∂F/∂θ` of one number through one element: `strength` times a difference of two adjoint
/// entries, and for a conductance times the volts across it.
enum Source {
    /// Between two rows, by the volts across them.
    Across(Option<usize>, Option<usize>),
    /// In a branch row, by the branch's own current.
    Current(usize),
    /// In a branch row, by nothing.
    Held(usize),
    /// Fixed entries.
    Fixed(Vec<(usize, f64)>),
}

struct Term {
    column: usize,
    strength: f64,
    source: Source,
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
        let equations = &self.equations;
        let mut numbers: Vec<ParameterId> = Vec::new();
        let mut terms = Vec::new();
        let mut add = |id: ParameterId, strength: f64, source: Source| {
            // Numbers of one part stand together, so the search from the end is short.
            let known = numbers.iter().rev().take(16).position(|known| *known == id);
            let column = match known {
                Some(back) => numbers.len() - 1 - back,
                None => {
                    numbers.push(id);
                    numbers.len() - 1
                }
            };
            terms.push(Term {
                column,
                strength,
                source,
            });
        };
        let mut branch_row = equations.nodes;
        for element in &equations.elements {
            let ends = [element.plus, element.minus].map(|node| equations.node_rows[node.0]);
            let row = branch_row;
            if matches!(element.kind, ElementKind::Branch { .. }) {
                branch_row += 1;
            }
            for dependence in dependences(circuit.part(element.part), element, conditions) {
                let id = ParameterId {
                    part: element.part,
                    parameter: dependence.parameter,
                };
                // Node rows hold +g·(v₊ − v₋), the branch row v₊ − v₋ − r·j − E.
                match dependence.target {
                    Target::Siemens => {
                        add(id, dependence.slope, Source::Across(ends[0], ends[1]));
                    }
                    Target::Ohms => add(id, -dependence.slope, Source::Current(row)),
                    Target::Volts => add(id, -dependence.slope, Source::Held(row)),
                }
            }
        }
        for series in &equations.series {
            let id = ParameterId {
                part: series.part,
                parameter: PartParameter::Device(DeviceParameter::SeriesResistance),
            };
            let across = Source::Across(series.outer, Some(series.inner));
            add(id, -1.0 / series.ohms.powi(2), across);
        }
        for device in &equations.devices {
            let volts = device.terminal_volts(x);
            for parameter in device.characteristic.parameters() {
                let step = parameter.step();
                let at = |change: f64| {
                    law::evaluate(&device.characteristic.varied(*parameter, change), &volts).current
                };
                let (above, below) = (at(step), at(-step));
                let entries = (0..MOST_TERMINALS)
                    .filter_map(|terminal| {
                        let slope = (above[terminal] - below[terminal]) / (2.0 * step);
                        device.rows[terminal].map(|row| (row, slope))
                    })
                    .collect();
                let id = ParameterId {
                    part: device.part,
                    parameter: PartParameter::Device(*parameter),
                };
                add(id, 1.0, Source::Fixed(entries));
            }
        }
        (numbers, terms)
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

impl Source {
    /// `λᵀ ∂F/∂θ` for a strength of 1.
    fn felt(&self, adjoint: &DVector<f64>, x: &DVector<f64>) -> f64 {
        let across = |vector: &DVector<f64>, plus: Option<usize>, minus: Option<usize>| {
            plus.map_or(0.0, |row| vector[row]) - minus.map_or(0.0, |row| vector[row])
        };
        match self {
            Source::Across(plus, minus) => {
                across(adjoint, *plus, *minus) * across(x, *plus, *minus)
            }
            Source::Current(row) => adjoint[*row] * x[*row],
            Source::Held(row) => adjoint[*row],
            Source::Fixed(entries) => entries
                .iter()
                .map(|(row, slope)| adjoint[*row] * slope)
                .sum(),
        }
    }
}
