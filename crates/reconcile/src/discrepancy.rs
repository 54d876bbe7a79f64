//! What the drawing lacks at each port: a current into it, of unknown size.
//!
//! The natural size of such a current at a port is `q = |V|/R`: it moves the port by its own volts.
//! The discrepancy is `u·q` with `u ~ N(0, s²)`. How large `s` is differs from port to port: most of a drawing
//! is right, and one wrong part or missing load spoils the ports that it feeds. So `s` is one of a
//! few sizes, with probabilities that the whole table shares and teaches (a scale mixture of
//! normal distributions, after D. F. Andrews and C. L. Mallows, "Scale mixtures of normal
//! distributions", J. Royal Statistical Society B 36, 1974; from memory).

use circuit::Port;
use nalgebra::{DMatrix, DVector};

use crate::row::Row;

/// Sizes that a discrepancy may have, as shares of the natural size of its port.
const SIZES: [f64; 6] = [0.0, 0.01, 0.03, 0.1, 0.3, 1.0];

/// How many ports of each size stand for what is known before the table is looked at.
const KNOWN: [f64; 6] = [4.0, 0.5, 0.5, 0.4, 0.2, 0.1];

/// Size at a port whose value is doubted: whatever makes it read what is printed.
const FREE: f64 = 30.0;

/// A port that yields less than this many ohms is held by a source; no sensible current moves it,
/// and its discrepancy is one of volts.
const HELD: f64 = 0.1;

/// Rounds in which sizes and probabilities are brought to agree.
const ROUNDS: usize = 4;

/// Natural size of a discrepancy.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Natural {
    /// A current into the port, in amperes.
    Amperes(f64),
    /// A source in series with the port, in volts.
    Volts(f64),
}

/// A port that some rows were read at.
#[derive(Clone, Copy, Debug)]
pub(crate) struct DiscrepancyPort {
    pub(crate) port: Port,
    pub(crate) natural: Natural,
    /// Whether a value there is doubted.
    free: bool,
    /// Variance of `u`.
    pub(crate) variance: f64,
    /// Most likely `u`.
    pub(crate) at: f64,
}

/// The discrepancies of all ports.
#[derive(Clone, Debug, Default)]
pub(crate) struct Discrepancies {
    pub(crate) ports: Vec<DiscrepancyPort>,
    /// The port of each row, by its place.
    pub(crate) of_row: Vec<usize>,
    /// Volts of each row for `u = 1`: `δ`.
    pub(crate) effect: Vec<f64>,
}

impl Natural {
    fn of(row: &Row, siemens: f64) -> Self {
        let volts = row
            .printed
            .value
            .abs()
            .max(row.model.abs())
            .max(row.printed.resolution);
        // R = R_l/(1 − g·R_l), R_l with the meter on it
        let open = (1.0 - siemens * row.ohms).max(f64::MIN_POSITIVE);
        let ohms = (row.ohms / open).abs();
        if ohms < HELD {
            Natural::Volts(volts)
        } else {
            Natural::Amperes(volts / ohms)
        }
    }

    /// Volts that a unit of it makes at a port of this resistance, its meter on it.
    pub(crate) fn effect(self, ohms: f64) -> f64 {
        match self {
            Natural::Amperes(amperes) => amperes * ohms,
            Natural::Volts(volts) => volts,
        }
    }
}

impl DiscrepancyPort {
    /// The current in amperes into the port.
    pub(crate) fn amperes(&self) -> f64 {
        match self.natural {
            Natural::Amperes(amperes) => amperes * self.at,
            Natural::Volts(_) => 0.0,
        }
    }

    /// The volts in series with it.
    pub(crate) fn volts(&self) -> f64 {
        match self.natural {
            Natural::Amperes(_) => 0.0,
            Natural::Volts(volts) => volts * self.at,
        }
    }
}

impl Discrepancies {
    /// Of rows as the drawn circuit sees them, with their ports, the loads of their meters in
    /// siemens, and whether they are doubted.
    pub(crate) fn new(rows: &[Row], readings: &[(Port, f64, bool)]) -> Self {
        let mut found = Discrepancies::default();
        for (row, (port, siemens, doubted)) in rows.iter().zip(readings) {
            let known = found.ports.iter().position(|known| known.port == *port);
            let place = known.unwrap_or_else(|| {
                found.ports.push(DiscrepancyPort {
                    port: *port,
                    natural: Natural::of(row, *siemens),
                    free: false,
                    variance: 0.0,
                    at: 0.0,
                });
                found.ports.len() - 1
            });
            found.ports[place].free |= doubted;
            found.of_row.push(place);
        }
        for port in &mut found.ports {
            port.variance = if port.free {
                FREE.powi(2)
            } else {
                expected_variance(&shares(&KNOWN))
            };
        }
        found.seen(rows);
        found
    }

    /// Takes the rows' resistances as they are now.
    pub(crate) fn seen(&mut self, rows: &[Row]) {
        let each = rows.iter().zip(&self.of_row);
        self.effect = each
            .map(|(row, port)| self.ports[*port].natural.effect(row.ohms))
            .collect();
    }

    /// Adds what rows of one port share by its discrepancy to their covariance.
    pub(crate) fn add_to(&self, matrix: &mut DMatrix<f64>) {
        for rows in self.rows_by_port() {
            for i in &rows {
                for j in &rows {
                    let variance = self.ports[self.of_row[*i]].variance;
                    matrix[(*i, *j)] += variance * self.effect[*i] * self.effect[*j];
                }
            }
        }
    }

    /// The rows of each port.
    pub(crate) fn rows_by_port(&self) -> Vec<Vec<usize>> {
        let mut rows = vec![Vec::new(); self.ports.len()];
        for (row, port) in self.of_row.iter().enumerate() {
            rows[*port].push(row);
        }
        rows
    }

    /// Lets the table say how large the discrepancies are: `fit` gives `S⁻¹` and `S⁻¹r` under the
    /// variances taken so far.
    ///
    /// What the rest of the table says of `u` at one port is a normal likelihood about `b/a` with
    /// the variance `1/a − V`, where `a = δᵀS⁻¹δ`, `b = δᵀS⁻¹r` and `V` the variance of `u` taken so
    /// far. Each size then has the evidence `N(b/a; 0, 1/a − V + s²)`, and the variance that pulls
    /// `u` towards zero as all sizes together do takes the place of `V`.
    ///
    /// # Errors
    /// Whatever `fit` says.
    pub(crate) fn learn<E>(
        &mut self,
        mut fit: impl FnMut(&Self) -> Result<(DMatrix<f64>, DVector<f64>), E>,
    ) -> Result<(), E> {
        let rows = self.rows_by_port();
        let mut counts = KNOWN;
        for _ in 0..ROUNDS {
            let (inverse, weighted) = fit(self)?;
            let probabilities = shares(&counts);
            counts = KNOWN;
            for (port, rows) in self.ports.iter_mut().zip(&rows) {
                if port.free {
                    continue;
                }
                let (mut a, mut b) = (0.0, 0.0);
                for i in rows {
                    b += self.effect[*i] * weighted[*i];
                    for j in rows {
                        a += self.effect[*i] * inverse[(*i, *j)] * self.effect[*j];
                    }
                }
                // A port that no discrepancy moves says nothing of its size.
                if a <= 0.0 || !a.is_finite() {
                    continue;
                }
                let others = (1.0 / a - port.variance).max(1e-12 / a);
                let posterior = sizes(&probabilities, b / a, others);
                for (count, share) in counts.iter_mut().zip(posterior) {
                    *count += share;
                }
                port.variance = matched(&posterior, others);
            }
        }
        Ok(())
    }
}

/// Probability of each size after a likelihood about `mean` with this variance.
fn sizes(probabilities: &[f64; 6], mean: f64, variance: f64) -> [f64; 6] {
    let log_evidence = |size: f64| {
        let whole = variance + size * size;
        -0.5 * (mean * mean / whole + whole.ln())
    };
    let logs: [f64; 6] = std::array::from_fn(|k| probabilities[k].ln() + log_evidence(SIZES[k]));
    let most = logs.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    shares(&logs.map(|log| (log - most).exp()))
}

/// The one variance that keeps as much of the likelihood's mean as all sizes together.
fn matched(posterior: &[f64; 6], variance: f64) -> f64 {
    let kept = |size: f64| size * size / (size * size + variance);
    let each = posterior.iter().zip(SIZES);
    let kept: f64 = each.map(|(share, size)| share * kept(size)).sum();
    // B = V/(V + v)
    variance * kept / (1.0 - kept).max(1e-12)
}

fn expected_variance(probabilities: &[f64; 6]) -> f64 {
    probabilities
        .iter()
        .zip(SIZES)
        .map(|(share, size)| share * size * size)
        .sum()
}

fn shares(counts: &[f64; 6]) -> [f64; 6] {
    let sum: f64 = counts.iter().sum();
    counts.map(|count| count / sum)
}
