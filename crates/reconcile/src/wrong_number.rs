//! What a doubted value should be if one number of the drawing is wrong.
//!
//! The believed values and the numbers of the circuit come in; predictions of the doubted value go out, by the
//! drawing as it is and with each number in turn wrong, each with its relative probability.

use circuit::PartSpread;
use solver::ParameterId;

use crate::doubts::Doubts;
use crate::excluded::Excluded;
use crate::prediction::Prediction;
use crate::prior::Prior;

/// A number that is spread further than it was, as the believed values see it.
pub(crate) struct WrongNumber {
    place: usize,
    /// How likely that is beside the drawing as it is.
    weight: f64,
    /// What remains open of it, as a variance, and where it is.
    open: f64,
    at: f64,
}

/// Each number in turn with the widths of a wrong one.
pub(crate) fn wrong_numbers(
    doubts: &Doubts,
    numbers: &[(ParameterId, PartSpread)],
) -> Vec<WrongNumber> {
    let Doubts { fit, jacobian, .. } = doubts;
    // The likelihood of each number by the believed values: a = mᵀS⁻¹m and b = mᵀS⁻¹r.
    let (a, b) = (
        jacobian.squares(&fit.inverse),
        jacobian.times(&fit.weighted),
    );
    let mut found = Vec::new();
    for (place, (_, spread)) in numbers.iter().enumerate().take(a.len()) {
        let widths = Prior::widths_of(spread).into_iter().flatten();
        for (share, width) in widths.filter(|(_, width)| *width > 1.0) {
            // t ~ N(0, c) more of the number: by the others about τ²b, with the variance τ² = c/(1 + c a),
            // and √(τ²/c)·exp(τ²b²/2) times as likely as none.
            let more = width * width - 1.0;
            let open = more / (1.0 + more * a[place]);
            found.push(WrongNumber {
                place,
                weight: share * (open / more).sqrt() * (0.5 * open * b[place].powi(2)).exp(),
                open,
                at: open * b[place],
            });
        }
    }
    found
}

/// Prediction of a value if the drawing is right except for one number, or right, with its relative
/// probability.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Possible {
    pub(crate) weight: f64,
    pub(crate) predicted: Prediction,
}

/// Predictions of a doubted value from the believed ones: by the drawing as it is, and with each number in
/// turn given the widths of a wrong one.
pub(crate) fn predicted(
    Doubts { fit, jacobian, .. }: &Doubts,
    wrong: &[WrongNumber],
    row: usize,
    excluded: &Excluded,
) -> Vec<Possible> {
    let plain = fit.predicted(row, excluded);
    // Derivatives m of the row itself, less the part of them that the believed values explain.
    let mut only = -&excluded.weights;
    only[row] += 1.0;
    let follows = jacobian.times(&only);
    let one = |number: &WrongNumber| {
        let follows = follows[number.place];
        let variance = plain.standard.powi(2) + follows.powi(2) * number.open;
        Possible {
            weight: number.weight,
            predicted: Prediction {
                volts: plain.volts + follows * number.at,
                standard: variance.sqrt(),
            },
        }
    };
    let drawn = Possible {
        weight: 1.0,
        predicted: plain,
    };
    std::iter::once(drawn)
        .chain(wrong.iter().map(one))
        .collect()
}
