//! How the equations follow the numbers of the circuit's parts.
//!
//! Equations and the parts that made them come in; for every number, `∂F/∂θ` goes out as a few
//! terms, so that one adjoint vector gives the derivative of a reading by all of them. Meters and
//! ports are not known here.

use circuit::{Circuit, Conditions, DeviceParameter, Part, PartId, PartParameter};
use nalgebra::DVector;

use crate::adjoint::ParameterId;
use crate::device::Device;
use crate::element::{dependences, Element, Target};
use crate::equations::Equations;
use crate::law::{self, MOST_TERMINALS};

/// Numbers of a circuit, each once, in the order in which they were met.
#[derive(Clone, Debug, Default)]
pub(crate) struct Numbers {
    pub(crate) ids: Vec<ParameterId>,
}

/// `∂F/∂θ` of one number through one element: `strength` times a difference of two adjoint
/// entries, and for a conductance times the volts across it.
#[derive(Clone, Debug)]
pub(crate) enum Source {
    /// Between two rows, by the volts across them.
    Across(Option<usize>, Option<usize>),
    /// In a branch row, by the branch's own current.
    Current(usize),
    /// In a branch row, by nothing.
    Held(usize),
    /// Fixed entries.
    Fixed(Vec<(usize, f64)>),
}

/// A number's part in the equations.
#[derive(Clone, Debug)]
pub(crate) struct Term {
    pub(crate) part: PartId,
    pub(crate) column: usize,
    pub(crate) strength: f64,
    pub(crate) source: Source,
}

impl Numbers {
    /// The column of a number, added if it is new.
    pub(crate) fn column(&mut self, part: PartId, parameter: PartParameter) -> usize {
        let id = ParameterId { part, parameter };
        // Numbers of one part stand together, so the search from the end is short.
        let known = self
            .ids
            .iter()
            .rev()
            .take(16)
            .position(|known| *known == id);
        match known {
            Some(back) => self.ids.len() - 1 - back,
            None => {
                self.ids.push(id);
                self.ids.len() - 1
            }
        }
    }
}

/// The terms of everything but the devices' own laws.
pub(crate) fn linear_terms(
    equations: &Equations,
    circuit: &Circuit,
    conditions: &Conditions,
    numbers: &mut Numbers,
) -> Vec<Term> {
    let mut terms = Vec::new();
    for (element, row) in equations.elements_with_rows() {
        let part = circuit.part(element.part);
        for (parameter, strength, source) in
            element_slopes(equations, (part, conditions), element, row)
        {
            terms.push(Term {
                part: element.part,
                column: numbers.column(element.part, parameter),
                strength,
                source,
            });
        }
    }
    for series in &equations.series {
        let parameter = PartParameter::Device(DeviceParameter::SeriesResistance);
        terms.push(Term {
            part: series.part,
            column: numbers.column(series.part, parameter),
            strength: -1.0 / series.ohms.powi(2),
            source: Source::Across(series.outer, Some(series.inner)),
        });
    }
    terms
}

/// How the equations follow the numbers of an element's part through that element. `row` is that
/// of its current, if it is a branch.
pub(crate) fn element_slopes(
    equations: &Equations,
    (part, conditions): (&Part, &Conditions),
    element: &Element,
    row: Option<usize>,
) -> Vec<(PartParameter, f64, Source)> {
    let ends = [element.plus, element.minus].map(|node| equations.node_rows[node.0]);
    let each = dependences(part, element, conditions).into_iter();
    // Node rows hold +g·(v₊ − v₋), the branch row v₊ − v₋ − r·j − E.
    each.filter_map(|dependence| {
        let (strength, source) = match dependence.target {
            Target::Siemens => (dependence.slope, Source::Across(ends[0], ends[1])),
            Target::Ohms => (-dependence.slope, Source::Current(row?)),
            Target::Volts => (-dependence.slope, Source::Held(row?)),
        };
        Some((dependence.parameter, strength, source))
    })
    .collect()
}

/// Derivatives of a device's currents by each of its numbers.
pub(crate) fn device_slopes(
    device: &Device,
    x: &DVector<f64>,
) -> Vec<(DeviceParameter, [f64; MOST_TERMINALS])> {
    let volts = device.terminal_volts(x);
    let parameters = device.characteristic.parameters().iter();
    parameters
        .map(|parameter| {
            let step = parameter.step();
            let at = |change: f64| {
                law::evaluate(&device.characteristic.varied(*parameter, change), &volts).current
            };
            let (above, below) = (at(step), at(-step));
            let slope = |terminal: usize| (above[terminal] - below[terminal]) / (2.0 * step);
            (*parameter, std::array::from_fn(slope))
        })
        .collect()
}

impl Source {
    /// `λᵀ ∂F/∂θ` for a strength of 1.
    pub(crate) fn felt(&self, adjoint: &DVector<f64>, x: &DVector<f64>) -> f64 {
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
