//! What is known of the parts before the manual's values are looked at.
//!
//! Every number of the circuit is its written value, spread by its tolerance or by the default of
//! its kind ([`circuit::spread_of`]). Limits with nothing known about the inside are rectangular:
//! `σ² = a²/3` (JCGM 100:2008, 4.3.7). Numbers are taken as independent, `P` diagonal.

use std::collections::HashMap;

use circuit::{spread_of, Circuit, PartId, PartParameter};
use solver::{ParameterId, Pull};

/// The numbers met so far, each with its standard deviation.
#[derive(Debug)]
pub(crate) struct Prior<'a> {
    circuit: &'a Circuit,
    places: HashMap<(PartId, PartParameter), usize>,
    /// Places of the numbers of the last row, for most rows have the same numbers in the same order.
    last: Vec<(ParameterId, usize)>,
    /// Numbers and their standard deviations, in the order in which they were met.
    pub(crate) numbers: Vec<(ParameterId, f64)>,
}

impl<'a> Prior<'a> {
    pub(crate) fn new(circuit: &'a Circuit) -> Self {
        Prior {
            circuit,
            places: HashMap::new(),
            last: Vec::new(),
            numbers: Vec::new(),
        }
    }

    /// Derivatives of a reading by each number, in volts for one standard deviation of it: a row
    /// of `H √P`. Numbers met later stand behind its end and count as nothing.
    pub(crate) fn scaled(&mut self, pulls: &[Pull]) -> Vec<f64> {
        let mut row = vec![0.0; self.numbers.len()];
        for (at, pull) in pulls.iter().enumerate() {
            let place = match self.last.get(at) {
                Some((id, place)) if *id == pull.id => *place,
                _ => {
                    let place = self.place(pull.id);
                    self.last.truncate(at);
                    self.last.push((pull.id, place));
                    place
                }
            };
            if place >= row.len() {
                row.resize(place + 1, 0.0);
            }
            // dy = −λᵀ ∂F/∂θ dθ
            row[place] -= pull.value * self.numbers[place].1;
        }
        row
    }

    fn place(&mut self, id: ParameterId) -> usize {
        let next = self.numbers.len();
        let place = *self.places.entry((id.part, id.parameter)).or_insert(next);
        if place == next {
            let spread = spread_of(self.circuit.part(id.part), id.parameter);
            self.numbers.push((id, spread.half_width / 3f64.sqrt()));
        }
        place
    }
}
