//! One circuit out of all those that manual and drawing leave possible.
//!
//! Draws of everything that is uncertain come in: of the numbers before the manual, of the
//! discrepancies, of the errors of the printed values. The same circuit after the manual goes
//! out: with `x` the draws and `r` what they make the table read,
//!
//! ```text
//! x̂ = x − C Mᵀ(M C Mᵀ + W)⁻¹ r
//! ```
//!
//! which has the posterior's mean and covariance whatever the shape of the draws (conditioning by kriging,
//! A. G. Journel and C. J. Huijbregts, "Mining Geostatistics", 1978; from memory).

use circuit::{PartId, PartParameter, PartSpread};
use nalgebra::DVector;
use solver::ParameterId;

use crate::reconciled::Reconciled;

/// Draws, in standard deviations of each but for the errors, which are in volts.
#[derive(Clone, Debug, Default)]
pub struct PriorDraw {
    /// One for each of [`Reconciled::spreads`].
    pub numbers: Vec<f64>,
    /// One for each of [`Reconciled::discrepancy_count`].
    pub discrepancies: Vec<f64>,
    /// One for each of [`Reconciled::readings`]: what is each one's own.
    pub errors: Vec<f64>,
    /// What readings of one range have in common, one for each of [`Reconciled::scale_count`].
    pub scales: Vec<f64>,
}

/// A circuit that manual and drawing leave possible.
#[derive(Clone, Debug)]
pub struct PosteriorDraw {
    /// Changes of its numbers from what is written, in their own units.
    pub changes: Vec<(PartId, PartParameter, f64)>,
    /// Current in amperes into each port and volts in series with it.
    pub discrepancies: Vec<(f64, f64)>,
}

impl Reconciled {
    /// The numbers that the table follows, with their spreads.
    pub fn spreads(&self) -> &[(ParameterId, PartSpread)] {
        &self.prior.numbers
    }

    /// How many ports the drawing may lack something at.
    pub fn discrepancy_count(&self) -> usize {
        self.discrepancies.ports.len()
    }

    /// On how many ranges of how many meters the table was read.
    pub fn scale_count(&self) -> usize {
        let ranges = self.table.rows.iter().filter_map(|row| row.common);
        ranges.map(|common| common.range + 1).max().unwrap_or(0)
    }

    /// The entry of each reading of the table, the first that prints it.
    pub fn readings(&self) -> impl Iterator<Item = usize> + '_ {
        self.table.taken.iter().map(|taken| taken.entries[0])
    }

    /// The place of a port among the discrepancies.
    pub fn discrepancy_place(&self, port: circuit::Port) -> Option<usize> {
        self.discrepancies
            .ports
            .iter()
            .position(|known| known.port == port)
    }

    /// The circuit of a draw.
    pub fn sampled(&self, draw: &PriorDraw) -> PosteriorDraw {
        let ports = &self.discrepancies.ports;
        let drawn: Vec<f64> = ports
            .iter()
            .zip(&draw.discrepancies)
            .map(|(port, sigmas)| port.variance.sqrt() * sigmas)
            .collect();
        // r = M z + Δ u + C g + e
        let mut shown = self.jacobian.against(&draw.numbers);
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            shown[row] += self.discrepancies.effect[row] * drawn[*port] + draw.errors[row];
            if let Some(common) = self.table.rows[row].common {
                shown[row] += common.volts * draw.scales[common.range];
            }
        }
        let weighted: DVector<f64> = &self.fit.inverse * shown;
        let taken = self.jacobian.times(&weighted);
        let numbers = self.prior.numbers.iter().enumerate();
        let changes = numbers.map(|(place, (id, spread))| {
            let of = |each: &[f64]| each.get(place).copied().unwrap_or(0.0);
            let sigmas = of(&self.prior.at) + of(&draw.numbers) - of(taken.as_slice());
            (id.part, id.parameter, spread.change(sigmas))
        });
        let mut moved = drawn;
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            moved[*port] -= ports[*port].variance * self.discrepancies.effect[row] * weighted[row];
        }
        let discrepancies = ports.iter().zip(moved).map(|(port, moved)| {
            let mut port = *port;
            port.at += moved;
            (port.amperes(), port.volts())
        });
        PosteriorDraw {
            changes: changes.collect(),
            discrepancies: discrepancies.collect(),
        }
    }
}
