//! The numbers of a circuit, and a reading's derivatives by them.

use std::sync::Arc;

use circuit::{PartId, PartParameter};

/// A number of the circuit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParameterId {
    /// The part it is written on.
    pub part: PartId,
    /// Which of its numbers.
    pub parameter: PartParameter,
}

/// All numbers of a circuit that its equations contain, each once and those of a part together.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Numbers {
    /// The numbers, in the order of their parts.
    pub ids: Vec<ParameterId>,
    /// The size of each in its own unit, of which rounding takes its share.
    pub sizes: Vec<f64>,
}

impl Numbers {
    /// The place of a number.
    pub fn place(&self, id: ParameterId) -> Option<usize> {
        let first = self.ids.partition_point(|known| known.part < id.part);
        let own = self.ids[first..].iter();
        let own = own.take_while(|known| known.part == id.part);
        let place = own.into_iter().position(|known| *known == id)?;
        Some(first + place)
    }
}

/// `λᵀ ∂F/∂θ` of one reading for every number: the negative derivatives of that reading.
///
/// All readings of a solution share their numbers.
#[derive(Clone, Debug)]
pub struct Sensitivities {
    /// The numbers.
    pub numbers: Arc<Numbers>,
    /// `λᵀ ∂F/∂θ` for each of them, in volts per unit of the number.
    pub values: Vec<f64>,
}

/// `λᵀ ∂F/∂θ` for one number: the negative derivative of the reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ParameterSensitivity {
    /// The number.
    pub id: ParameterId,
    /// `λᵀ ∂F/∂θ`, in volts per unit of the number.
    pub value: f64,
}

impl Sensitivities {
    /// Each number with its own, in the order of the circuit's parts.
    pub fn iter(&self) -> impl Iterator<Item = ParameterSensitivity> + '_ {
        let each = self.numbers.ids.iter().zip(&self.values);
        each.map(|(id, value)| ParameterSensitivity {
            id: *id,
            value: *value,
        })
    }
}
