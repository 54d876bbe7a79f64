//! The uncertainty of a reading in the reconciled circuit, term by term.
//!
//! How the reading follows numbers, discrepancies and printed values comes in; one term for each independent input goes
//! out. How the reading itself is found is not known here ([`crate::posterior_reading`]).

use circuit::PartSpread;
use nalgebra::DVector;
use solver::ParameterId;

use crate::posterior_reading::Slopes;
use crate::reconciled::Reconciled;

/// One uncertainty term of a reading.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Term {
    /// What it is.
    pub input: TermInput,
    /// Derivative of the reading by it, volts per unit of it.
    pub slope: f64,
}

/// The input of an uncertainty term.
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
    pub(crate) fn standard(&self) -> Option<f64> {
        match self {
            TermInput::Number(_, spread) => Some(spread.standard()),
            TermInput::Printed(_) => None,
            TermInput::Scale(_) => Some(1.0),
            TermInput::Discrepancy(standard) => Some(*standard),
        }
    }
}

impl Reconciled {
    /// One term for each number, each discrepancy, each printed value and each range.
    pub(crate) fn uncertainty_terms(&self, slopes: &Slopes<'_>) -> Vec<Term> {
        let Slopes {
            m,
            unmet,
            shares,
            own,
            ..
        } = slopes;
        let taken = self.jacobian.times(shares);
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
        for unmet in unmet {
            let input = TermInput::Number(unmet.id, unmet.spread);
            push(&mut terms, input, unmet.volts, unmet.spread.standard());
        }
        let mut by_ports = vec![0.0; self.discrepancies.ports.len()];
        for (row, port) in self.discrepancies.of_row.iter().enumerate() {
            by_ports[*port] += shares[row] * self.discrepancies.effect[row];
        }
        let ports = self.discrepancies.ports.iter().zip(by_ports);
        for (place, (port, taken)) in ports.enumerate() {
            let here = own.filter(|own| own.place == place);
            terms.push(Term {
                input: TermInput::Discrepancy(port.variance.sqrt()),
                slope: here.map_or(0.0, |own| own.effect) - taken,
            });
        }
        for (row, share) in shares.iter().enumerate() {
            let entry = self.table.taken[row].entries[0];
            terms.push(Term {
                input: TermInput::Printed(entry),
                slope: *share,
            });
        }
        terms.extend(self.scale_terms(shares));
        terms
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
