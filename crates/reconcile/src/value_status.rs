//! The status of each printed value: whether a doubted one is a slip of the pen, or shows that the
//! drawing is wrong there.
//!
//! A printed value and its prediction from everything else come in. After a slip (a decimal point, two
//! neighbouring digits, a sign) the intended value lies close to the prediction. If the drawing is wrong,
//! either one number of a part is wrong in a way that the other values allow, or the drawing has a
//! discrepancy at that port, with the same probability as at the others. The more likely explanation goes
//! out.

use circuit::{Job, PartSpread};
use solver::ParameterId;
use units::Figure;

use crate::doubts::Doubts;
use crate::excluded::Excluded;
use crate::manual_table::ManualTable;
use crate::misprint::{negated, shifted, swapped};
use crate::observation::Printed;
use crate::overload::is_overloaded;
use crate::prediction::Prediction;
use crate::states::States;
use crate::wrong_number::{predicted, wrong_numbers, Possible};

/// Share of printed values with a slip of the pen (common practice, no source: one in twenty-five of a
/// table set by hand). The effect of other shares is in `benches/results.md`.
const SLIPS: f64 = 0.04;

/// Standard deviations of a value that is impossible: `exp(−z²/2)` is 10⁻³⁰⁰.
const IMPOSSIBLE: f64 = 37.0;

/// The status of a printed value.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum ValueStatus {
    /// It agrees with the drawing and the other values.
    #[default]
    Believed,
    /// It contradicts them, and may be right all the same: the drawing may be wrong there.
    Doubted,
    /// It contradicts them, and is one of them with a slip of the pen. It is left out.
    Misprint,
    /// It contradicts them, and was not read with the meter that is stated, which would have left next to nothing
    /// of the volts. It is left out.
    OtherMeter,
}

impl ValueStatus {
    /// Whether the value is left out of the reconciliation.
    pub fn is_left_out(self) -> bool {
        matches!(self, ValueStatus::Misprint | ValueStatus::OtherMeter)
    }
}

/// The status of the value of each row of a table, some of which are doubted; `lacking` are the sizes that
/// the discrepancy of each row's port may have, with their probabilities by the other ports.
pub(crate) fn value_status(
    (job, states): (&Job, &States),
    table: &ManualTable,
    (doubts, numbers): (&Doubts, &[(ParameterId, PartSpread)]),
    lacking: &[Vec<(f64, f64)>],
) -> Vec<ValueStatus> {
    let mut found = vec![ValueStatus::Believed; table.taken.len()];
    let rows = doubts.rows_out();
    // A drawing that is wrong as a whole predicts no value.
    let is_wrong = doubts.fit.agreement().disagrees();
    let (loaded, rows): (Vec<usize>, Vec<usize>) = rows
        .into_iter()
        .partition(|row| is_overloaded(states, job, &table.taken[*row]));
    for row in loaded {
        found[row] = ValueStatus::OtherMeter;
    }
    if is_wrong {
        for row in rows {
            found[row] = ValueStatus::Doubted;
        }
        return found;
    }
    let wrong = wrong_numbers(doubts, numbers);
    let each = rows.iter().zip(doubts.fit.each_excluded(&rows));
    let of = |(row, excluded): (&usize, Excluded)| {
        let entry = &job.manual[table.taken[*row].entries[0]];
        let predicted = predicted(doubts, &wrong, *row, &excluded);
        match is_misprint((&entry.figure, entry.range), &predicted, &lacking[*row]) {
            true => ValueStatus::Misprint,
            false => ValueStatus::Doubted,
        }
    };
    let status: Vec<ValueStatus> = parallel::map(each, of);
    for (row, status) in rows.into_iter().zip(status) {
        found[row] = status;
    }
    found
}

/// Whether these digits are a slip of the pen, given the predictions from everything else. What is beyond the
/// range that is stated, if one is, was not read there.
fn is_misprint(
    (figure, full_scale): (&Figure, Option<f64>),
    predicted: &[Possible],
    lacking: &[(f64, f64)],
) -> bool {
    let printed = Printed {
        value: figure.value,
        resolution: figure.resolution,
    };
    let kinds = [swapped(figure), shifted(printed), negated(printed)];
    let share = SLIPS / kinds.len() as f64;
    let meant = kinds.iter().flat_map(|meant| {
        let share = share / meant.len().max(1) as f64;
        let readable = |meant: &&Printed| full_scale.is_none_or(|volts| meant.value.abs() <= volts);
        meant
            .iter()
            .filter(readable)
            .map(move |meant| (share, meant))
    });
    let by_slip: f64 = meant
        .map(|(share, meant)| share * likelihood(meant, predicted, &[(1.0, 0.0)]))
        .sum();
    let by_drawing = likelihood(&printed, predicted, lacking);
    by_slip > by_drawing
}

/// Likelihood of these digits over all predictions, with a discrepancy of any of these sizes.
fn likelihood(printed: &Printed, predicted: &[Possible], lacking: &[(f64, f64)]) -> f64 {
    let each = predicted.iter().flat_map(|possible| {
        let Prediction { volts, standard } = possible.predicted;
        let natural = printed.value.abs().max(volts.abs());
        lacking.iter().map(move |(share, size)| {
            let standard = (standard.powi(2) + (size * natural).powi(2)).sqrt();
            possible.weight * share * digits(printed, volts, standard)
        })
    });
    each.sum()
}

/// Probability of these digits, of a value about `mean`: `δ/s · exp(−z²/2)/√2π`.
fn digits(printed: &Printed, mean: f64, standard: f64) -> f64 {
    let z = (printed.value - mean) / standard;
    // Below that the exponential is as good as zero, and takes many times as long.
    if z.abs() > IMPOSSIBLE {
        return 0.0;
    }
    printed.resolution / standard * (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::discrepancy::Discrepancies;
    use crate::fit::Fit;
    use crate::jacobian::ScaledJacobian;
    use crate::observation::Observation;
    use crate::prior::Prior;
    use circuit::{PartId, PartParameter, SpreadBasis, SpreadScale};
    use units::Unit;

    /// Sizes as they are before a table is looked at.
    fn is_slip(text: &str, volts: f64) -> bool {
        is_slip_on(text, volts, None)
    }

    fn is_slip_on(text: &str, volts: f64, full_scale: Option<f64>) -> bool {
        let figure = Figure::parse(text, Unit::Volt).unwrap();
        let standard = 0.05 * volts.abs();
        let lacking = Discrepancies::beforehand();
        let predicted = Prediction { volts, standard };
        let only = Possible {
            weight: 1.0,
            predicted,
        };
        is_misprint((&figure, full_scale), &[only], &lacking)
    }

    #[test]
    fn slips_of_the_pen_are_told_from_a_wrong_drawing() {
        // 135 V is expected, give or take 7 V.
        assert!(is_slip("1350", 135.0), "a point dropped");
        assert!(is_slip("13.5", 135.0), "a point too many");
        assert!(is_slip("315", 135.0), "digits swapped");
        assert!(is_slip("-135", 135.0), "a sign too many");
        // Half or twice as much is what a wrong part makes of it.
        assert!(!is_slip("68", 135.0) && !is_slip("270", 135.0));
    }

    /// 418 V with its digits swapped, unless it is said to have been read on 300 V.
    #[test]
    fn what_its_range_does_not_hold_was_not_meant() {
        assert!(is_slip_on("148", 410.0, None) && is_slip_on("148", 410.0, Some(500.0)));
        assert!(!is_slip_on("148", 410.0, Some(300.0)));
    }

    /// A wrong number by the formula against a fit in which it is spread as far.
    #[test]
    fn a_number_spread_further_by_formula_is_that_number_spread_further() {
        let row = |residual: f64, jacobian: &[f64]| Observation {
            printed: Printed {
                value: 50.0 + residual,
                resolution: 0.1,
            },
            model: 50.0,
            ohms: 0.0,
            jacobian: jacobian.to_vec(),
            noise: 0.3,
            common: None,
        };
        let rows = [
            row(2.0, &[1.0, 0.4]),
            row(1.0, &[0.7, -0.2]),
            row(30.0, &[0.5, 2.0]),
        ];
        let doubts = Doubts::of(&rows).unwrap();
        assert_eq!(doubts.rows_out(), [2]);
        let id = ParameterId {
            part: PartId(0),
            parameter: PartParameter::Resistance,
        };
        let spread = PartSpread {
            nominal: 1.0,
            half_width: 1.0,
            scale: SpreadScale::Ohms,
            basis: SpreadBasis::Stated,
            what: "",
        };
        let wrong = wrong_numbers(&doubts, &[(id, spread); 2]);
        let found = predicted(&doubts, &wrong, 2, &doubts.fit.excluded(2));
        assert_eq!(found.len(), 1 + 2 * 3);
        let refitted = |place: usize, width: f64| {
            let mut rows = rows.clone();
            for row in &mut rows {
                row.jacobian[place] *= width;
            }
            let rows: Vec<&Observation> = rows.iter().collect();
            let kept = vec![true, true, false];
            Fit::of(&rows, &ScaledJacobian::of(&rows), kept).unwrap()
        };
        let plain = refitted(0, 1.0);
        let shares = Prior::widths_of(&spread).unwrap();
        let mut each = found[1..].iter();
        for place in 0..2 {
            for (share, width) in &shares[1..] {
                let possible = each.next().unwrap();
                let wide = refitted(place, *width);
                let want = wide.without(2);
                // A few dozen operations on numbers below 1000.
                assert!((possible.predicted.volts - want.volts).abs() < 1e-9);
                assert!((possible.predicted.standard - want.standard).abs() < 1e-9);
                let odds = (wide.log_likelihood() - plain.log_likelihood()).exp();
                assert!((possible.weight - share * odds).abs() < 1e-9);
            }
        }
    }
}
