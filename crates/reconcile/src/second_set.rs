//! What is known of another set of the same make: its likeliest numbers, their remaining uncertainty, and
//! the discrepancies of the drawing.
//!
//! The numbers of the other set are correlated with those of the manual's set by κ; the discrepancies are
//! the same. With all of them in units of their prior standard deviations,
//!
//! ```text
//! (z_b, u) ~ N((κẑ, û), 1 − BBᵀ)        B = [κMᵀ; √V Δᵀ] L⁻ᵀ        LLᵀ = S
//! ```
//!
//! A doubted value is no evidence for a number. At its port, either the drawing has the discrepancy `û`, or
//! the value is wrong and the drawing has none, both equally likely: a mean of `û/2` with a standard
//! deviation of `|û|/2`.

use std::collections::HashMap;

use circuit::{Circuit, PartId, PartParameter, Port};
use nalgebra::DMatrix;
use solver::ParameterId;

use crate::another_set::SHARED_BY_SETS;
use crate::discrepancy::{DiscrepancyPort, Natural};
use crate::reconciled::{reconcile, Reconciled};
use crate::value_status::ValueStatus;

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
    /// `B`: one row for each number, then one for each port; one column for each printed value.
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
    /// Where the manual's meter loaded the port so that it saw nothing there.
    pub unseen: Option<Unseen>,
}

/// A port at which both the printed value and the drawn reading lie within the error of the manual's meter.
/// That error says nothing of what flows at the port: the current that makes it across a meter of 5 kΩ makes
/// tens of volts across a grid leak.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Unseen {
    /// Standard deviation of what the drawing lacks, as a share of the port's volts.
    pub share: f64,
    /// Standard error of the printed value in volts.
    pub error: f64,
}

impl Lack {
    /// This or nothing, both equally likely, by the first two moments of both.
    fn or_none(self) -> Self {
        let half = 0.5 * self.at.abs();
        Lack {
            at: self.at.signum(),
            amperes: self.amperes * half,
            volts: self.volts * half,
            unseen: self.unseen.map(|unseen| Unseen {
                share: unseen.share * half,
                ..unseen
            }),
            ..self
        }
    }

    /// One standard deviation of it as a current into its port in amperes, where another meter shows so many
    /// volts behind so many ohms. Where the manual's meter saw nothing it is no more than its share of those
    /// volts, or the error of that meter: of less the printed value does not speak.
    pub fn amperes_behind(&self, volts: f64, ohms: f64) -> f64 {
        match self.unseen {
            Some(unseen) if ohms > 0.0 => {
                let most = (unseen.share * volts.abs()).max(unseen.error) / ohms;
                self.amperes.clamp(-most, most)
            }
            _ => self.amperes,
        }
    }

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

    /// The same with what the drawing may lack at some more ports, of which the manual teaches
    /// nothing.
    fn or_lacking(self, doubted: Vec<Lack>) -> Self {
        let each = doubted.into_iter().map(Lack::or_none);
        each.fold(self, SecondSet::with_lack)
    }

    /// The same with what the drawing lacks at one more port, of which no printed value teaches
    /// anything. A port that has one keeps it.
    pub fn with_lack(mut self, lack: Lack) -> Self {
        if !self.places.contains_key(&lack.port) {
            self.places.insert(lack.port, self.lacks.len());
            self.lacks.push(lack);
            let rows = self.learnt.nrows();
            self.learnt = self.learnt.insert_row(rows, 0.0);
        }
        self
    }
}

impl Reconciled {
    /// Another set of the same make.
    pub fn second_set(&self) -> SecondSet {
        let mut job = self.job.as_ref().clone();
        let mut entries = 0..;
        job.manual.retain(|_| {
            let entry = entries.next().unwrap_or_default();
            self.value_status(entry) != ValueStatus::Doubted
        });
        if job.manual.len() == self.job.manual.len() {
            return self.second_set_by_all();
        }
        // Without a solution the doubted values have to do as well.
        reconcile(&job).map_or_else(
            |_| self.second_set_by_all(),
            |believed| {
                believed
                    .second_set_by_all()
                    .or_lacking(self.doubted_lacks())
            },
        )
    }

    /// What the drawing lacks where a value is doubted, if that is right.
    fn doubted_lacks(&self) -> Vec<Lack> {
        let lacks = self.lacks().into_iter().enumerate();
        let doubted = lacks.filter(|(port, _)| {
            let rows = self.discrepancies.of_row.iter().zip(&self.value_status);
            let mut own = rows.filter(|(of, _)| *of == port);
            own.any(|(_, value_status)| *value_status == ValueStatus::Doubted)
        });
        doubted.map(|(_, lack)| lack).collect()
    }

    fn second_set_by_all(&self) -> SecondSet {
        let at = |place: usize| {
            let own = self.prior.at.get(place).copied().unwrap_or(0.0);
            SHARED_BY_SETS * own
        };
        let each = || self.prior.numbers.iter().enumerate();
        let changes: Vec<(PartId, PartParameter, f64)> = each()
            .map(|(place, (id, spread))| (id.part, id.parameter, spread.change(at(place))))
            .collect();
        let numbers = each().map(|(place, (id, spread))| (*id, spread.slope(at(place))));
        let lacks = self.lacks();
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

    /// What the drawing lacks at each port, as manual and drawing make it likely.
    fn lacks(&self) -> Vec<Lack> {
        let ports = self.discrepancies.ports.iter();
        let lack = |port: &DiscrepancyPort| {
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
                unseen: port.unseen.map(|error| Unseen {
                    share: standard,
                    error,
                }),
            }
        };
        ports.map(lack).collect()
    }

    fn learnt(&self) -> DMatrix<f64> {
        let (numbers, rows) = (self.prior.numbers.len(), self.fit.len());
        let ports = &self.discrepancies.ports;
        let mut learnt = DMatrix::zeros(numbers + ports.len(), rows);
        let jacobian = self.jacobian.matrix();
        learnt
            .rows_mut(0, jacobian.nrows())
            .copy_from(&(jacobian.as_ref() * SHARED_BY_SETS));
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            let standard = ports[*port].variance.sqrt();
            learnt[(numbers + port, row)] = standard * self.discrepancies.effect[row];
        }
        // Scaled to correlations, because rows may differ by decades of volts.
        let scale: Vec<f64> = (0..rows).map(|k| self.fit.matrix[(k, k)].sqrt()).collect();
        let even = DMatrix::from_fn(rows, rows, |i, j| {
            self.fit.matrix[(i, j)] / (scale[i] * scale[j])
        });
        for (column, scale) in scale.iter().enumerate() {
            learnt.column_mut(column).unscale_mut(*scale);
        }
        // Without a factor the manual is taken as no evidence: too wide, not too narrow.
        let Some(factor) = even.cholesky() else {
            return DMatrix::zeros(learnt.nrows(), 0);
        };
        let solved = factor.l().solve_lower_triangular(&learnt.transpose());
        solved.map_or(DMatrix::zeros(learnt.nrows(), 0), |solved| {
            solved.transpose()
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::NodeId;

    fn lack(unseen: Option<Unseen>) -> Lack {
        Lack {
            port: Port {
                plus: NodeId(1),
                minus: NodeId(0),
            },
            at: 0.0,
            amperes: 20e-6,
            volts: 0.0,
            unseen,
        }
    }

    #[test]
    fn what_the_manual_did_not_see_is_no_more_than_volts_and_error_allow() {
        // A fifth of 1 V behind 1 MΩ is 0.2 µA; 0.3 V of error there is 0.3 µA. Few operations: 1e-12 of it.
        let near = |got: f64, want: f64| (got - want).abs() < 1e-12 * want.abs();
        let by_share = lack(Some(Unseen {
            share: 0.2,
            error: 0.1,
        }));
        assert!(near(by_share.amperes_behind(-1.0, 1e6), 0.2e-6));
        let by_error = lack(Some(Unseen {
            share: 0.2,
            error: 0.3,
        }));
        assert!(near(by_error.amperes_behind(1.0, 1e6), 0.3e-6));
        // Behind 1 kΩ there is room for more than the 20 µA; a value that was seen keeps its own.
        assert!(near(by_error.amperes_behind(1.0, 1e3), 20e-6));
        assert!(near(lack(None).amperes_behind(1.0, 1e6), 20e-6));
        assert!(near(by_error.amperes_behind(1.0, 0.0), 20e-6));
    }
}
