//! What the drawing lacks at each port: a current into it, of unknown size.
//!
//! The natural size of such a current at a port is `q = |V|/R`, with `R` the resistance seen there under the
//! manual's meter: it moves that meter's reading by as much as it shows.
//! The discrepancy is `u·q` with `u ~ N(0, s²)`. `s` differs from port to port: most of a drawing is
//! right, and one wrong part or missing load affects the ports that it feeds. So `s` is one of a few
//! sizes, with probabilities that all ports share and that are estimated from the table (a scale mixture of
//! normal distributions, after D. F. Andrews and C. L. Mallows, "Scale mixtures of normal
//! distributions", J. Royal Statistical Society B 36, 1974; from memory).

use circuit::{Circuit, DeviceClass, PartKind, Port};
use nalgebra::{DMatrix, DVector};

use crate::agreement::BELIEVABLE;
use crate::fit::Fit;
use crate::observation::Observation;
use crate::scale_mixture::{Likelihood, ScaleMixture};

/// Sizes that a discrepancy may have, as shares of the natural size of its port, and how many ports
/// of each represent the knowledge before the table is read.
const SIZES: ScaleMixture<6> = ScaleMixture {
    sizes: [0.0, 0.01, 0.03, 0.1, 0.3, 1.0],
    known: [4.0, 0.5, 0.5, 0.4, 0.2, 0.1],
};

/// A port below this many ohms is held by a source. No realistic current moves it, so its discrepancy
/// is a voltage.
const HELD: f64 = 0.1;

/// In a circuit with devices the same holds below this many ohms, as long as the meter moves what the drawing
/// lacks by less than the printed value's own error: volts and current are equivalent there; but the natural current of a regulator
/// tube would extinguish the tube.
const STIFF: f64 = 1e3;

/// The current in amperes at which the marked volts of a Zener diode hold.
const ZENER_AMPERES: f64 = 5e-3;

/// A port with the manual's meter on it.
#[derive(Clone, Copy, Debug)]
pub(crate) struct MeteredPort {
    pub(crate) port: Port,
    /// Conductance of the meter in siemens.
    pub(crate) siemens: f64,
    /// Amperes that the regulator, glow or neon tube is meant for to whose two ends the port leads: a natural
    /// current above that would put it out or is more than it ever carries, so the port is held.
    pub(crate) regulated: Option<f64>,
}

impl MeteredPort {
    pub(crate) fn new(circuit: &Circuit, port: Port, siemens: f64) -> Self {
        let ends = [port.plus, port.minus];
        let mut parts = circuit.parts().iter();
        let regulated = parts.find_map(|part| {
            let PartKind::Device(device) = &part.kind else {
                return None;
            };
            let is_regulator =
                matches!(device.class, DeviceClass::Regulator | DeviceClass::NeonLamp);
            let across = part.nodes.len() == 2 && part.nodes.iter().all(|node| ends.contains(node));
            let glow = device.units.iter().find_map(|unit| unit.glow);
            (is_regulator && across).then(|| glow.map_or(ZENER_AMPERES, |glow| glow.most_amperes))
        });
        MeteredPort {
            port,
            siemens,
            regulated,
        }
    }
}

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
    /// Where the manual's meter saw nothing: the standard error of what it printed, in volts.
    pub(crate) unseen: Option<f64>,
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
    /// Probability of each size, as estimated from the table so far.
    probabilities: Option<[f64; 6]>,
}

/// The standard error of a printed value in volts if both that value and the drawn reading lie within it.
fn unseen(row: &Observation) -> Option<f64> {
    let error = row.whole_noise().sqrt();
    (row.printed.value.abs().max(row.model.abs()) < error).then_some(error)
}

impl Natural {
    /// Of a row at this port.
    fn of(row: &Observation, at: &MeteredPort, is_linear: bool) -> Self {
        let held = if is_linear { HELD } else { STIFF };
        // A value smaller than its own error is taken to be of that size.
        let printed = row.printed.value.abs().max(row.whole_noise().sqrt());
        let volts = printed.max(row.model.abs());
        // R = R_l/(1 − g·R_l), R_l with the meter on it
        let open = (1.0 - at.siemens * row.ohms).max(f64::MIN_POSITIVE);
        let amperes = volts / row.ohms.abs();
        let regulated = at.regulated.is_some_and(|most| amperes > most);
        let ohms = (row.ohms / open).abs();
        // What the meter takes of a discrepancy in volts is left out, and must not show in what is printed.
        let taken = row.residual().abs() * (1.0 - open).abs();
        // What parts alone may make is no discrepancy.
        let contradicts =
            row.residual().powi(2) > BELIEVABLE.powi(2) * (row.own() + row.whole_noise());
        let told_apart = ohms >= HELD && contradicts && taken.powi(2) > row.whole_noise();
        if regulated || (ohms < held && !told_apart) {
            Natural::Volts(volts)
        } else {
            Natural::Amperes(amperes)
        }
    }

    /// Of a port that is read under several settings: what the row says at which the port is softest. A switch
    /// may join a port to a source for one row and feed it through a resistor for another. What the drawing lacks
    /// at the second moves the first by next to nothing, and the natural current of the first would be any number
    /// of volts at the second.
    fn or_of_softer(self, own: f64, other: Natural, ohms: f64) -> Self {
        match (self, other) {
            (Natural::Volts(_), Natural::Amperes(_)) => other,
            (Natural::Amperes(_), Natural::Amperes(_)) if ohms > 2.0 * own => other,
            _ => self,
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
    /// Of rows as the drawn circuit sees them, with their ports, and of a circuit with devices or without.
    pub(crate) fn new(rows: &[Observation], readings: &[MeteredPort], is_linear: bool) -> Self {
        let mut found = Discrepancies::default();
        // Ohms that the natural size of each port is of.
        let mut softest: Vec<f64> = Vec::new();
        for (row, at) in rows.iter().zip(readings) {
            let known = found.ports.iter().position(|known| known.port == at.port);
            let natural = Natural::of(row, at, is_linear);
            let ohms = row.ohms.abs();
            let place = known.unwrap_or_else(|| {
                softest.push(ohms);
                found.ports.push(DiscrepancyPort {
                    port: at.port,
                    natural,
                    unseen: unseen(row),
                    variance: SIZES.expected_variance(),
                    at: 0.0,
                });
                found.ports.len() - 1
            });
            let port = &mut found.ports[place];
            let softer = port.natural.or_of_softer(softest[place], natural, ohms);
            if softer != port.natural {
                (port.natural, port.unseen) = (softer, unseen(row));
                softest[place] = ohms;
            }
            found.of_row.push(place);
        }
        found.seen(rows);
        found
    }

    /// The sizes with their probabilities before a table is looked at.
    #[cfg(test)]
    pub(crate) fn beforehand() -> Vec<(f64, f64)> {
        let shares = SIZES.probabilities();
        shares.into_iter().zip(SIZES.sizes).collect()
    }

    /// Takes the rows' resistances as they are now.
    pub(crate) fn seen(&mut self, rows: &[Observation]) {
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

    /// Likelihood of the discrepancy at each port, from `S⁻¹` and `S⁻¹r` under the present variances: `a = δᵀS⁻¹δ` and `b = δᵀS⁻¹r`.
    fn likelihoods(&self, inverse: &DMatrix<f64>, weighted: &DVector<f64>) -> Vec<Likelihood> {
        let rows = self.rows_by_port();
        let each = rows.iter().zip(&self.ports).map(|(rows, port)| {
            let (mut a, mut b) = (0.0, 0.0);
            for i in rows {
                b += self.effect[*i] * weighted[*i];
                for j in rows {
                    a += self.effect[*i] * inverse[(*i, *j)] * self.effect[*j];
                }
            }
            Likelihood::of(a, b, port.variance)
        });
        each.collect()
    }

    /// Estimates from the table how large the discrepancies are.
    pub(crate) fn learn(&mut self, inverse: &DMatrix<f64>, weighted: &DVector<f64>) {
        let likelihoods = self.likelihoods(inverse, weighted);
        for (port, variance) in self
            .ports
            .iter_mut()
            .zip(SIZES.variances(&likelihoods, &mut self.probabilities))
        {
            if let Some(variance) = variance {
                port.variance = variance;
            }
        }
    }

    /// How much more likely the table is with all sizes that the discrepancies may have than with the one variance
    /// that stands for them: logarithm.
    pub(crate) fn log_gain(&self, fit: &Fit) -> f64 {
        let likelihoods = self.likelihoods(&fit.inverse, &fit.weighted);
        let each = likelihoods.iter().zip(&self.ports);
        each.map(|(own, port)| SIZES.log_gain(own, port.variance))
            .sum()
    }

    /// Sizes that the discrepancy of each row's port may have, as shares of its natural size, with the
    /// probabilities estimated from the other ports.
    pub(crate) fn by_the_others(
        &self,
        inverse: &DMatrix<f64>,
        weighted: &DVector<f64>,
    ) -> Vec<Vec<(f64, f64)>> {
        let likelihoods = self.likelihoods(inverse, weighted);
        let learnt = self.probabilities.unwrap_or(SIZES.probabilities());
        let by_port = SIZES.by_the_others(&likelihoods, &learnt);
        let of = |port: &usize| by_port[*port].into_iter().zip(SIZES.sizes).collect();
        self.of_row.iter().map(of).collect()
    }
}
