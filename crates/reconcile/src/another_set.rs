//! What another healthy set of the same make reads, its own scatter included.
//!
//! An expected reading of the reconciled circuit comes in; volts and their scatter from set to set go out.

use circuit::{spread_of, Conditions, PartKind, Port};
use solver::{Load, Solution, SolveError};

use crate::expected::Expected;
use crate::posterior_reading::{OwnPort, Slopes};
use crate::prediction::Prediction;
use crate::reconciled::Reconciled;
use crate::value_status::ValueStatus;

/// Share of the variance of parts that two sets of one make have in common: κ. The rest is independent
/// (common practice, no source: parts come in lots, and one factory bought for both).
pub const SHARED_BY_SETS: f64 = 0.5;

impl Reconciled {
    /// Another set at an expected reading, of these volts by manual and drawing together.
    ///
    /// Where the value printed at the port is doubted and counts all the same, it is what sets show. It has
    /// pulled the numbers to where they scatter otherwise, or not, by how far it is off; so the scatter is
    /// that of the circuit as drawn. Where a number far from what is written explains the table, the
    /// circuit as drawn is in another state, and it is that of the reconciled one, by the written tolerances.
    pub(crate) fn another_set(
        &self,
        solution: &Solution,
        (conditions, expected): (&Conditions, &Expected),
        volts: f64,
        slopes: &Slopes<'_>,
    ) -> Prediction {
        let by_leaks = self.by_usual_leaks(solution, expected, slopes.own);
        let is_doubted = |row: usize| self.value_status[row] == ValueStatus::Doubted;
        let mut rows = slopes
            .own
            .into_iter()
            .flat_map(|own| self.rows_at(own.place));
        let by_tolerances = match rows.any(is_doubted) {
            true if self.elsewhere => {
                let each = self.as_toleranced(&slopes.m);
                Some(each.iter().map(|m| m * m).sum::<f64>().sqrt())
            }
            true => self.scatter_as_drawn(conditions, expected).ok(),
            false => None,
        };
        let mut set = match by_tolerances {
            Some(standard) => Prediction { volts, standard },
            None => self.learnt_of_another(volts, slopes),
        };
        set.standard = set.standard.hypot(by_leaks);
        set
    }

    /// Standard deviation in volts of a reading of the circuit as drawn, by the tolerances of its parts.
    fn scatter_as_drawn(
        &self,
        conditions: &Conditions,
        expected: &Expected,
    ) -> Result<f64, SolveError> {
        let drawn = self.drawn(conditions)?;
        let load = Load {
            siemens: expected.state.load.siemens,
            amperes: 0.0,
        };
        let state = drawn.metered(expected.state.port(), load, None)?;
        let circuit = &self.job.circuit;
        let sensitivities = drawn.sensitivities(circuit, conditions, &state);
        let squares = sensitivities.iter().map(|own| {
            let spread = spread_of(circuit.part(own.id.part), own.id.parameter);
            (own.value * spread.slope(0.0)).powi(2)
        });
        Ok(squares.sum::<f64>().sqrt())
    }

    /// Standard deviation in volts of what the usual leakage of sound capacitors makes of a reading. A
    /// capacitor without a stated leakage is drawn as a perfect insulator. Its usual leakage, known to a
    /// factor of three, is taken as the standard deviation of its conductance: 99 % of sets have less than
    /// 2.6 times as much. More than a value printed at the port leaves open would have been printed.
    fn by_usual_leaks(
        &self,
        solution: &Solution,
        expected: &Expected,
        own: Option<OwnPort<'_>>,
    ) -> f64 {
        let parts = self.states.circuit().parts().iter();
        let (ports, siemens): (Vec<Port>, Vec<f64>) = parts
            .filter_map(|part| match (&part.kind, part.nodes.as_slice()) {
                (PartKind::Capacitor(own), &[plus, minus]) if own.leak.is_none() => {
                    Some((Port { plus, minus }, 1.0 / own.usual_leak()))
                }
                _ => None,
            })
            .unzip();
        if ports.is_empty() {
            return 0.0;
        }
        let slopes = solution.by_conductance(&expected.state, ports);
        let squares = slopes
            .zip(siemens)
            .map(|(slope, own)| (slope * own).powi(2));
        let before = squares.sum::<f64>();
        let rows = own.into_iter().flat_map(|own| self.rows_at(own.place));
        let printed = rows.filter(|row| self.fit.kept[*row]);
        let noise = printed.map(|row| self.table.rows[row].whole_noise());
        // 1/σ² = 1/σ₀² + 1/w
        match noise.min_by(f64::total_cmp) {
            Some(noise) => (before * noise / (before + noise)).sqrt(),
            None => before.sqrt(),
        }
    }

    /// `z_b = κz + …`: what is learned of the manual's set holds for the numbers of another set with the
    /// factor κ, and for its discrepancies in full.
    fn learnt_of_another(&self, volts: f64, slopes: &Slopes<'_>) -> Prediction {
        let kappa = SHARED_BY_SETS;
        let Slopes {
            by_numbers,
            by_port,
            shares,
            ..
        } = slopes;
        // mᵀ(M S⁻¹r)
        let of_numbers = by_numbers.dot(&self.fit.weighted);
        let unmet = slopes.unmet.iter().map(|unmet| unmet.volts.powi(2));
        let unmet: f64 = unmet.sum();
        let before: f64 = slopes.m.iter().map(|m| m * m).sum::<f64>() + unmet;
        let by_own = slopes
            .own
            .map_or(0.0, |own| own.port.variance * own.effect * own.effect);
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
}
