//! What the reconciled circuit says of any reading, and what that rests on.
//!
//! A reading `y` follows the numbers by `m`, in volts for one standard deviation of each, and the
//! discrepancy of its own port by `δ`. With `M` and `c = M m + V δ_k δ` (the second at the rows of its own port)
//!
//! ```text
//! K = S⁻¹c        y − ŷ = (m − MᵀK)ᵀz + (δ − Σ K_k δ_k) u − Kᵀe
//! ```
//!
//! with `z`, `u` and `e` independent, so that each number, each printed value and each discrepancy is
//! one line of the uncertainty of `ŷ` (JCGM 100:2008, 5.1.2).

use circuit::{Conditions, PartSpread, Port};
use nalgebra::DVector;
use solver::{Condition, Load, Metered, ParameterId, SolveError};

use crate::discrepancy::DiscrepancyPort;
use crate::fit::Prediction;
use crate::reconciled::Reconciled;

/// How much of the variance of its parts two sets of one make share: κ. The rest is each set's own
/// (common practice, no source: parts come in lots, and one factory bought for both).
pub(crate) const SHARED_BY_SETS: f64 = 0.5;

/// A reading as manual and drawing together expect it.
#[derive(Clone, Debug, PartialEq)]
pub struct PosteriorReading {
    /// Volts.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
    /// What it rests on, but for the meter that reads it.
    pub terms: Vec<Term>,
    /// What another healthy set of the same make reads, its own scatter included.
    pub another_set: Prediction,
    /// Decimal digits that arithmetic leaves of it.
    pub digits: f64,
    /// How it follows the circuit's numbers, in volts for one standard deviation of each as its tolerance
    /// spreads it; none where it follows one that no value of the fit does.
    pub follows: Option<Vec<f64>>,
}

/// One thing that a reading rests on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// What it is.
    pub input: TermInput,
    /// Derivative of the reading by it, volts per unit of it.
    pub slope: f64,
}

/// What a reading may rest on.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TermInput {
    /// A number of the circuit, with its spread.
    Number(ParameterId, PartSpread),
    /// A printed value, by an entry that prints it; in volts.
    Printed(usize),
    /// What all readings of one meter on one range have in common, by the first entry read there, in
    /// standard deviations.
    Scale(usize),
    /// What the drawing lacks at a port, in shares of the port's natural size, with its
    /// standard deviation; one for each port, in their order.
    Discrepancy(f64),
}

impl TermInput {
    /// Its standard deviation in its own unit; that of a printed value is known by its entry.
    fn standard(&self) -> Option<f64> {
        match self {
            TermInput::Number(_, spread) => Some(spread.standard()),
            TermInput::Printed(_) => None,
            TermInput::Scale(_) => Some(1.0),
            TermInput::Discrepancy(standard) => Some(*standard),
        }
    }
}

impl PosteriorReading {
    /// Combined standard uncertainty in volts of all but what is each printed value's own error.
    pub fn by_circuit(&self) -> f64 {
        let squares = self.terms.iter().filter_map(|term| {
            let standard = term.input.standard()?;
            Some((term.slope * standard).powi(2))
        });
        squares.sum::<f64>().sqrt()
    }

    /// How the reading follows the value that an entry prints, in volts per volt.
    pub fn by_printed(&self, entry: usize) -> f64 {
        let own = |term: &&Term| term.input == TermInput::Printed(entry);
        self.terms.iter().find(own).map_or(0.0, |term| term.slope)
    }
}

/// What the drawing seems to lack at a port.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DiscrepancyFound {
    /// As a share of what would move the manual's reading by as much as it shows.
    pub share: f64,
    /// Standard deviation of that share.
    pub standard: f64,
    /// As a current into the port, in amperes; 0 where a source holds it.
    pub amperes: f64,
    /// As volts in series with a port that a source holds; 0 elsewhere.
    pub volts: f64,
}

/// A state of the reconciled circuit with a meter on a port.
#[derive(Clone, Debug)]
pub struct Expected {
    /// Volts that the meter reads.
    pub volts: f64,
    /// Resistance in ohms seen at the port with the meter on it.
    pub ohms: f64,
    state: Metered,
}

impl Reconciled {
    /// What a meter of this conductance in siemens shows at a port under given conditions; `near` is
    /// the same port with another meter, to start from.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state.
    pub fn expected(
        &self,
        port: Port,
        conditions: &Conditions,
        siemens: f64,
        near: Option<&Expected>,
    ) -> Result<Expected, SolveError> {
        let solution = self.states.at(conditions)?;
        let discrepancy = self.discrepancy_at(port);
        let load = Load {
            siemens,
            amperes: discrepancy.map_or(0.0, |(_, own)| own.amperes()),
        };
        let state = solution.metered(port, load, near.map(|near| &near.state))?;
        let series = discrepancy.map_or(0.0, |(_, own)| own.volts());
        Ok(Expected {
            volts: state.volts + series,
            ohms: state.ohms,
            state,
        })
    }

    /// The same reading by itself, as closely as a trial needs it.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state.
    pub fn shown(
        &self,
        conditions: &Conditions,
        siemens: f64,
        near: &Expected,
    ) -> Result<f64, SolveError> {
        let solution = self.states.at(conditions)?;
        let discrepancy = self.discrepancy_at(near.state.port());
        let load = Load {
            siemens,
            amperes: discrepancy.map_or(0.0, |(_, own)| own.amperes()),
        };
        let series = discrepancy.map_or(0.0, |(_, own)| own.volts());
        Ok(solution.reading(load, &near.state)? + series)
    }

    /// The same with what it rests on.
    ///
    /// # Errors
    /// [`SolveError`] where the circuit has no state under these conditions, or arithmetic leaves no
    /// digits of the reading.
    pub fn posterior_reading(
        &self,
        conditions: &Conditions,
        expected: &Expected,
    ) -> Result<PosteriorReading, SolveError> {
        let port = expected.state.port();
        let solution = self.states.at(conditions)?;
        let circuit = self.states.circuit();
        let sensitivities = solution.sensitivities(circuit, conditions, &expected.state);
        let condition = Condition::of(circuit, conditions, expected.volts, &sensitivities);
        condition.enough()?;
        let (m, unmet) = self.prior.scaled_known(&sensitivities);
        let by_numbers = self.jacobian.against(&m);
        let discrepancy = self.discrepancy_at(port);
        let own = discrepancy.map(|(place, own)| (place, own, own.natural.effect(expected.ohms)));
        let mut by_port = DVector::zeros(by_numbers.len());
        if let Some((place, own, effect)) = own {
            for row in self.rows_at(place) {
                by_port[row] = own.variance * self.discrepancies.effect[row] * effect;
            }
        }
        // K = S⁻¹c
        let shares = &self.fit.inverse * (&by_numbers + &by_port);
        let taken = self.jacobian.times(&shares);
        // What the tangents still add where the numbers have not quite settled.
        let at = &self.prior.at;
        let settled: f64 = m.iter().zip(at).map(|(m, at)| m * at).sum();
        let settled = settled + own.map_or(0.0, |(_, own, effect)| effect * own.at);
        let volts = expected.volts - settled + shares.dot(&self.fit.residuals);

        let mut terms = Vec::new();
        for (place, (id, spread)) in self.prior.numbers.iter().enumerate() {
            let left =
                m.get(place).copied().unwrap_or(0.0) - taken.get(place).copied().unwrap_or(0.0);
            push(
                &mut terms,
                TermInput::Number(*id, *spread),
                left,
                spread.standard(),
            );
        }
        for unmet in &unmet {
            let input = TermInput::Number(unmet.id, unmet.spread);
            push(&mut terms, input, unmet.volts, unmet.spread.standard());
        }
        let mut by_ports = vec![0.0; self.discrepancies.ports.len()];
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            by_ports[*port] += shares[row] * self.discrepancies.effect[row];
        }
        let ports = self.discrepancies.ports.iter().zip(by_ports);
        for (place, (port, taken)) in ports.enumerate() {
            let here = own.filter(|(own, _, _)| *own == place);
            terms.push(Term {
                input: TermInput::Discrepancy(port.variance.sqrt()),
                slope: here.map_or(0.0, |(_, _, effect)| effect) - taken,
            });
        }
        for (row, share) in shares.iter().enumerate() {
            let entry = self.table.taken[row].entries[0];
            terms.push(Term {
                input: TermInput::Printed(entry),
                slope: *share,
            });
        }
        terms.extend(self.scale_terms(&shares));
        let follows = unmet.is_empty().then(|| self.as_toleranced(&m));
        let unmet: f64 = unmet.iter().map(|unmet| unmet.volts.powi(2)).sum();
        Ok(PosteriorReading {
            volts,
            ohms: expected.ohms,
            terms,
            digits: condition.digits(),
            follows,
            another_set: self.another_set(volts, &m, (&by_numbers, &by_port, &shares), own, unmet),
        })
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

    fn as_toleranced(&self, m: &[f64]) -> Vec<f64> {
        let each = m.iter().enumerate();
        each.map(|(place, m)| m / self.prior.width(place)).collect()
    }

    /// What each range of each meter has in common, by the shares that the printed values have.
    fn scale_terms(&self, shares: &DVector<f64>) -> impl Iterator<Item = Term> {
        let mut found: Vec<(usize, Term)> = Vec::new();
        for (row, share) in shares.iter().enumerate() {
            let Some(common) = self.table.rows[row].common else {
                continue;
            };
            let slope = share * common.volts;
            match found.iter_mut().find(|(range, _)| *range == common.range) {
                Some((_, term)) => term.slope += slope,
                None => {
                    let input = TermInput::Scale(self.table.taken[row].entries[0]);
                    found.push((common.range, Term { input, slope }));
                }
            }
        }
        found.into_iter().map(|(_, term)| term)
    }

    /// `z_b = κz + …`: what the manual's set has shown of its numbers holds for another set by κ,
    /// of its discrepancies wholly.
    fn another_set(
        &self,
        volts: f64,
        m: &[f64],
        (by_numbers, by_port, shares): (&DVector<f64>, &DVector<f64>, &DVector<f64>),
        own: Option<(usize, &DiscrepancyPort, f64)>,
        unmet: f64,
    ) -> Prediction {
        let kappa = SHARED_BY_SETS;
        // mᵀ(M S⁻¹r)
        let of_numbers = by_numbers.dot(&self.fit.weighted);
        let before: f64 = m.iter().map(|m| m * m).sum::<f64>() + unmet;
        let by_own = own.map_or(0.0, |(_, own, effect)| own.variance * effect * effect);
        let shared = by_numbers * kappa + by_port;
        // S⁻¹(κc_z + c_u) = κK + (1 − κ)S⁻¹c_u, and c_u is nothing but at its own port.
        let mut weighted = shares * kappa;
        for (row, share) in by_port
            .iter()
            .enumerate()
            .filter(|(_, share)| **share != 0.0)
        {
            weighted.axpy((1.0 - kappa) * share, &self.fit.inverse.column(row), 1.0);
        }
        let learnt = shared.dot(&weighted);
        Prediction {
            volts: volts - (1.0 - kappa) * of_numbers,
            standard: (before + by_own - learnt).max(0.0).sqrt(),
        }
    }

    /// What the drawing seems to lack at a port; none where no value of the fit was read.
    pub fn discrepancy(&self, port: Port) -> Option<DiscrepancyFound> {
        let (place, own) = self.discrepancy_at(port)?;
        // V − V δᵀS⁻¹δ V
        let effect = |row: usize| own.variance * self.discrepancies.effect[row];
        let each = self.rows_at(place).map(|row| {
            let others = self.rows_at(place);
            let by_others = others.map(|other| self.fit.inverse[(row, other)] * effect(other));
            effect(row) * by_others.sum::<f64>()
        });
        let learnt: f64 = each.sum();
        Some(DiscrepancyFound {
            share: own.at,
            standard: (own.variance - learnt).max(0.0).sqrt(),
            amperes: own.amperes(),
            volts: own.volts(),
        })
    }

    fn discrepancy_at(&self, port: Port) -> Option<(usize, &DiscrepancyPort)> {
        let mut ports = self.discrepancies.ports.iter().enumerate();
        ports.find(|(_, known)| known.port == port)
    }

    fn rows_at(&self, place: usize) -> impl Iterator<Item = usize> + '_ {
        let each = self.discrepancies.of_row.iter().enumerate();
        each.filter(move |(_, port)| **port == place)
            .map(|(row, _)| row)
    }
}

/// A line for a number, `volts` being for one standard deviation of it.
fn push(terms: &mut Vec<Term>, input: TermInput, volts: f64, standard: f64) {
    if standard > 0.0 && volts != 0.0 {
        terms.push(Term {
            input,
            slope: volts / standard,
        });
    }
}
