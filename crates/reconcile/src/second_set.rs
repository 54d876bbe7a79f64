//! What the manual's set tells of another set of the same make: its likeliest numbers, what is left
//! open of them, and what the drawing lacks.
//!
//! The numbers of the other set follow those of the manual's by κ, what the drawing lacks wholly.
//! With all of them measured in what was known before, one column each,
//!
//! ```text
//! (z_b, u) ~ N((κẑ, û), 1 − BBᵀ)        B = [κMᵀ; √V Δᵀ] L⁻ᵀ        LLᵀ = S
//! ```

use std::collections::HashMap;

use circuit::{Circuit, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use solver::ParameterId;

use crate::discrepancy::Natural;
use crate::outlook::SHARED_BY_SETS;
use crate::reconciled::Reconciled;

/// Another set of the same make, as manual and drawing make it likely.
#[derive(Clone, Debug)]
pub struct SecondSet {
    /// The drawing with the numbers that the other set most likely has.
    pub circuit: Circuit,
    /// Numbers that the manual speaks of, each with its standard deviation before the manual, in its
    /// own unit.
    pub numbers: Vec<(ParameterId, f64)>,
    /// What the drawing lacks, by port.
    pub lacks: Vec<Lack>,
    /// `B`: one row a number, then one a port; one column a printed value.
    pub learnt: DMatrix<f64>,
    places: HashMap<Port, usize>,
}

/// What the drawing lacks at a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Lack {
    /// Where.
    pub port: Port,
    /// The likeliest, in standard deviations of what was known before.
    pub at: f64,
    /// One of these, as a current into the port in amperes; 0 where a source holds it.
    pub amperes: f64,
    /// One of these, as volts in series with a port that a source holds; 0 elsewhere.
    pub volts: f64,
}

impl Lack {
    /// Volts that one standard deviation of it makes at its port, of this resistance with the meter
    /// on it.
    pub fn effect(&self, ohms: f64) -> f64 {
        self.amperes * ohms + self.volts
    }
}

impl SecondSet {
    /// What the drawing lacks at a port, with its place.
    pub fn lack(&self, port: Port) -> Option<(usize, &Lack)> {
        let place = *self.places.get(&port)?;
        Some((place, self.lacks.get(place)?))
    }
}

impl Reconciled {
    /// Another set of the same make.
    pub fn second_set(&self) -> SecondSet {
        let at = |place: usize| {
            let own = self.prior.at.get(place).copied().unwrap_or(0.0);
            SHARED_BY_SETS * own
        };
        let each = || self.prior.numbers.iter().enumerate();
        let changes: Vec<(PartId, PartParameter, f64)> = each()
            .map(|(place, (id, spread))| (id.part, id.parameter, spread.change(at(place))))
            .collect();
        let numbers = each().map(|(place, (id, spread))| (*id, spread.slope(at(place))));
        let ports = &self.discrepancies.ports;
        let lacks: Vec<Lack> = ports
            .iter()
            .map(|port| {
                let standard = port.variance.sqrt();
                let (amperes, volts) = match port.natural {
                    Natural::Amperes(amperes) => (amperes, 0.0),
                    Natural::Volts(volts) => (0.0, volts),
                };
                Lack {
                    port: port.port,
                    at: if standard > 0.0 {
                        port.at / standard
                    } else {
                        0.0
                    },
                    amperes: amperes * standard,
                    volts: volts * standard,
                }
            })
            .collect();
        SecondSet {
            circuit: self.job.circuit.varied(changes),
            numbers: numbers.collect(),
            places: lacks
                .iter()
                .enumerate()
                .map(|(k, one)| (one.port, k))
                .collect(),
            learnt: self.learnt(),
            lacks,
        }
    }

    fn learnt(&self) -> DMatrix<f64> {
        let (numbers, rows) = (self.prior.numbers.len(), self.fit.len());
        let ports = &self.discrepancies.ports;
        let mut learnt = DMatrix::zeros(numbers + ports.len(), rows);
        let slopes = self.slopes.matrix();
        learnt
            .rows_mut(0, slopes.nrows())
            .copy_from(&(slopes.as_ref() * SHARED_BY_SETS));
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            let standard = ports[*port].variance.sqrt();
            learnt[(numbers + port, row)] = standard * self.discrepancies.effect[row];
        }
        // Brought to one scale, for rows may lie decades of volts apart.
        let scale: Vec<f64> = (0..rows).map(|k| self.fit.matrix[(k, k)].sqrt()).collect();
        let even = DMatrix::from_fn(rows, rows, |i, j| {
            self.fit.matrix[(i, j)] / (scale[i] * scale[j])
        });
        for (column, scale) in scale.iter().enumerate() {
            learnt.column_mut(column).unscale_mut(*scale);
        }
        // Without a factor the manual is taken to have taught nothing: too wide, not too narrow.
        let Some(factor) = even.cholesky() else {
            return DMatrix::zeros(learnt.nrows(), 0);
        };
        let solved = factor.l().solve_lower_triangular(&learnt.transpose());
        solved.map_or(DMatrix::zeros(learnt.nrows(), 0), |solved| {
            solved.transpose()
        })
    }
}
