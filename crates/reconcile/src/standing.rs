//! What is thought of each printed value: whether a doubted one is a slip of the pen, or shows that the
//! drawing is wrong there.
//!
//! A printed value and what all else says of it come in. If a decimal point, two neighbouring digits or a
//! sign have gone wrong, the value meant lies close to what all else says; if the drawing is wrong,
//! the printed value may lie anywhere near its own size. The more likely of the two goes out.

use circuit::Job;
use units::Figure;

use crate::discrepancy::Discrepancies;
use crate::fit::{Fit, Prediction};
use crate::misprint::{negated, shifted, swapped};
use crate::peel::TakenOut;
use crate::row::Printed;
use crate::sheet::{Sheet, Taken};

/// How many printed values have a slip of the pen (common practice, no source: one in fifty).
const SLIPS: f64 = 0.02;

/// What is thought of a printed value.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Standing {
    /// It agrees with the drawing and the other values.
    #[default]
    Believed,
    /// It contradicts them, and may be right all the same: the drawing may be wrong there.
    Doubted,
    /// It contradicts them, and is one of them with a slip of the pen. It is left out.
    Misprint,
}

/// What is thought of the value of each row of a table, some of which are doubted.
pub(crate) fn standing(
    job: &Job,
    sheet: &Sheet,
    drawn: &Fit,
    doubted: &[TakenOut],
) -> Vec<Standing> {
    let of = |(row, taken): (usize, &Taken)| {
        if !doubted.iter().any(|out| out.row == row) {
            return Standing::Believed;
        }
        let figure = &job.manual[taken.entries[0]].figure;
        match is_misprint(figure, &drawn.without(row)) {
            true => Standing::Misprint,
            false => Standing::Doubted,
        }
    };
    sheet.taken.iter().enumerate().map(of).collect()
}

/// Whether these digits are a slip of the pen, `predicted` being what all else says.
fn is_misprint(figure: &Figure, predicted: &Prediction) -> bool {
    let printed = Printed {
        value: figure.value,
        resolution: figure.resolution,
    };
    let kinds = [swapped(figure), shifted(printed), negated(printed)];
    let share = SLIPS / kinds.len() as f64;
    let each = kinds.iter().flat_map(|meant| {
        let share = share / meant.len().max(1) as f64;
        meant
            .iter()
            .map(move |meant| share * digits(meant, predicted.volts, predicted.standard))
    });
    let by_slip: f64 = each.sum();
    let natural = printed.value.abs().max(predicted.volts.abs());
    let sizes = Discrepancies::sizes_beforehand();
    let by_drawing: f64 = sizes
        .map(|(share, size)| {
            let standard = predicted.standard.hypot(size * natural);
            share * digits(&printed, predicted.volts, standard)
        })
        .sum();
    by_slip > by_drawing
}

/// Probability of these digits, of a value about `mean`: `δ/s · exp(−z²/2)/√2π`.
fn digits(printed: &Printed, mean: f64, standard: f64) -> f64 {
    let z = (printed.value - mean) / standard;
    printed.resolution / standard * (-0.5 * z * z).exp() / std::f64::consts::TAU.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use units::Unit;

    fn is_slip(text: &str, volts: f64) -> bool {
        let figure = Figure::parse(text, Unit::Volt).unwrap();
        let standard = 0.05 * volts.abs();
        is_misprint(&figure, &Prediction { volts, standard })
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
}
