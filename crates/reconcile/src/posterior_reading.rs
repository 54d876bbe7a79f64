//! The posterior mean of any reading in the reconciled circuit, and its uncertainty terms.
//!
//! A reading `y` has the derivatives `m` by the numbers, in volts for one standard deviation of each, and
//! `δ` by the discrepancy of its own port. With `M` those of the table (one row for each printed value,
//! one column for each number) and `c = M m + V δ_k δ` (the second term at the rows of its own port)
//!
//! ```text
//! K = S⁻¹c        y − ŷ = (m − MᵀK)ᵀz + (δ − Σ K_k δ_k) u − Kᵀe
//! ```
//!
//! with `z`, `u` and `e` independent, so that each number, each printed value and each discrepancy is
//! one line of the uncertainty of `ŷ` (JCGM 100:2008, 5.1.2).

use circuit::Conditions;
use nalgebra::DVector;
use solver::{Condition, SolveError};

use crate::discrepancy::DiscrepancyPort;
use crate::expected::Expected;
use crate::prediction::Prediction;
use crate::prior::Unmet;
use crate::reconciled::Reconciled;
use crate::uncertainty_terms::{Term, TermInput};

/// A reading as manual and drawing together expect it.
#[derive(Clone, Debug, PartialEq)]
pub struct PosteriorReading {
    /// Volts.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
    /// Its uncertainty terms, without the meter that reads it.
    pub terms: Vec<Term>,
    /// What another healthy set of the same make reads, its own scatter included.
    pub another_set: Prediction,
    /// Its decimal digits that arithmetic leaves.
    pub digits: f64,
    /// How it follows the circuit's numbers, in volts for one standard deviation of each as its tolerance
    /// spreads it; none where it follows one that no value of the fit does.
    pub follows: Option<Vec<f64>>,
}

impl PosteriorReading {
    /// Combined standard uncertainty in volts of all terms but the printed values' own errors.
    pub fn by_circuit(&self) -> f64 {
        let squares = self.terms.iter().filter_map(|term| {
            let standard = term.input.standard()?;
            Some((term.slope * standard).powi(2))
        });
        squares.sum::<f64>().sqrt()
    }

    /// Derivative of the reading by the value that an entry prints, in volts per volt.
    pub fn by_printed(&self, entry: usize) -> f64 {
        let own = |term: &&Term| term.input == TermInput::Printed(entry);
        self.terms.iter().find(own).map_or(0.0, |term| term.slope)
    }
}

/// How a reading follows what manual and drawing say.
pub(crate) struct Slopes<'a> {
    /// `m`
    pub(crate) m: Vec<f64>,
    /// Derivatives by numbers that no value of the fit follows.
    pub(crate) unmet: Vec<Unmet>,
    /// `M m`
    pub(crate) by_numbers: DVector<f64>,
    /// `V δ_k δ`, at the rows of its own port.
    pub(crate) by_port: DVector<f64>,
    /// `K`
    pub(crate) shares: DVector<f64>,
    /// Its own port, if some value was read there.
    pub(crate) own: Option<OwnPort<'a>>,
}

/// The port of a reading among those of the discrepancies.
#[derive(Clone, Copy)]
pub(crate) struct OwnPort<'a> {
    pub(crate) place: usize,
    pub(crate) port: &'a DiscrepancyPort,
    /// `δ`
    pub(crate) effect: f64,
}

impl Reconciled {
    /// The uncertainty terms of an expected reading.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state under these conditions, or arithmetic leaves no
    /// digits of the reading.
    pub fn posterior_reading(
        &self,
        conditions: &Conditions,
        expected: &Expected,
    ) -> Result<PosteriorReading, SolveError> {
        let solution = self.states.at(conditions)?;
        let circuit = self.states.circuit();
        let sensitivities = solution.sensitivities(circuit, conditions, &expected.state);
        let condition = Condition::of(circuit, conditions, expected.volts, &sensitivities);
        condition.enough()?;
        let (m, unmet) = self.prior.scaled_known(&sensitivities);
        let slopes = self.slopes(expected, m, unmet);
        // Correction by the tangents where the numbers have not quite converged.
        let at = &self.prior.at;
        let settled: f64 = slopes.m.iter().zip(at).map(|(m, at)| m * at).sum();
        let settled = settled + slopes.own.map_or(0.0, |own| own.effect * own.port.at);
        let volts = expected.volts - settled + slopes.shares.dot(&self.fit.residuals);
        let all_met = slopes.unmet.is_empty();
        let another_set = self.another_set(&solution, (conditions, expected), volts, &slopes);
        Ok(PosteriorReading {
            volts,
            ohms: expected.ohms,
            terms: self.uncertainty_terms(&slopes),
            digits: condition.digits(),
            follows: all_met.then(|| self.as_toleranced(&slopes.m)),
            another_set,
        })
    }

    /// How an expected reading follows the table, from its derivatives by the numbers.
    fn slopes(&self, expected: &Expected, m: Vec<f64>, unmet: Vec<Unmet>) -> Slopes<'_> {
        let by_numbers = self.jacobian.against(&m);
        let discrepancy = self.discrepancy_at(expected.state.port());
        let own = discrepancy.map(|(place, port)| OwnPort {
            place,
            port,
            effect: port.natural.effect(expected.ohms),
        });
        let mut by_port = DVector::zeros(by_numbers.len());
        if let Some(own) = own {
            for row in self.rows_at(own.place) {
                by_port[row] = own.port.variance * self.discrepancies.effect[row] * own.effect;
            }
        }
        // K = S⁻¹c, half of which is read: it costs the time to fetch it from memory.
        let mut shares = DVector::zeros(by_numbers.len());
        let shared = &by_numbers + &by_port;
        shares.sygemv(1.0, &self.fit.inverse, &shared, 0.0);
        Slopes {
            m,
            unmet,
            by_numbers,
            by_port,
            shares,
            own,
        }
    }

    /// How a reading follows the circuit's numbers, in volts for one standard deviation of each as its
    /// tolerance spreads it; none where it follows one that no value of the fit does.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state under these conditions.
    pub fn follows(
        &self,
        conditions: &Conditions,
        expected: &Expected,
    ) -> Result<Option<Vec<f64>>, SolveError> {
        let solution = self.states.at(conditions)?;
        let sensitivities =
            solution.sensitivities(self.states.circuit(), conditions, &expected.state);
        let (m, unmet) = self.prior.scaled_known(&sensitivities);
        Ok(unmet.is_empty().then(|| self.as_toleranced(&m)))
    }

    pub(crate) fn as_toleranced(&self, m: &[f64]) -> Vec<f64> {
        let each = m.iter().enumerate();
        each.map(|(place, m)| m / self.prior.width(place)).collect()
    }
}
