//! The ways in which a reading goes wrong, each with its likelihood.

use crate::suspects::bench_model::SensitivityMatrix;
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::likelihood::LawErrors;
use crate::suspects::misread::instead::Instead;
use crate::suspects::misreading::Misreading;

/// Shares of the kinds of slips (common practice, no source): the point one place off, two digits,
/// another line or point, another scale, the sign, and a value from nowhere.
const DECIMAL: f64 = 0.2;
const DIGITS: f64 = 0.15;
const OTHER_POINT: f64 = 0.2;
const OTHER_SCALE: f64 = 0.1;
const SIGN: f64 = 0.1;
pub(super) const NOWHERE: f64 = 0.25;

/// A point one place off.
pub(super) const DECIMALS: [f64; 2] = [0.1, 10.0];

/// Every way by which a noted value, the reading at some place among those used, may stand for
/// another one, with the logarithm of its share and likelihood.
pub(super) fn ways_to(
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    (place, value): (usize, f64),
    instead: &Instead,
) -> Vec<(Misreading, f64)> {
    let (shown, joint) = (&evaluator.shown, &in_order.joint);
    let mut ways = Vec::new();
    let meant = |value: f64| {
        let mut meant = shown.clone();
        meant.volts[place] = Some(value);
        joint.log_likelihood(&meant, &in_order.predicted)
    };
    ways.extend(by_scale((DECIMAL, &DECIMALS), value, meant));
    ways.extend(by_scale((OTHER_SCALE, &instead.factors), value, meant));
    let each = (DIGITS / instead.swapped.len().max(1) as f64).ln();
    for swapped in &instead.swapped {
        let way = Misreading::SwappedDigits { meant: *swapped };
        ways.push((way, each + meant(*swapped)));
    }
    ways.push((Misreading::OtherSign, SIGN.ln() + meant(-value)));
    ways.extend(by_point(evaluator, in_order, place, instead));
    ways
}

/// A slip by which what was noted is some factor times what stood on the meter.
fn by_scale<'a>(
    (share, factors): (f64, &'a [f64]),
    value: f64,
    log_likelihood: impl Fn(f64) -> f64 + 'a,
) -> impl Iterator<Item = (Misreading, f64)> + 'a {
    let weight = (share / factors.len().max(1) as f64).ln();
    factors.iter().map(move |factor| {
        // v = factor · y: the density of v is that of y over the factor.
        let likelihood = log_likelihood(value / factor) - factor.abs().ln();
        (
            Misreading::OtherScale { factor: *factor },
            weight + likelihood,
        )
    })
}

/// The other points whose value may have been noted here, each with its likelihood.
fn by_point(
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    place: usize,
    instead: &Instead,
) -> Vec<(Misreading, f64)> {
    let (shown, known) = (&evaluator.shown, &evaluator.bench.known);
    let points: Vec<usize> = (0..in_order.predicted.len()).collect();
    let at = |(row, entry): (usize, &usize)| {
        let mut sensitivities = SensitivityMatrix::clone(&in_order.sensitivities);
        sensitivities.set_row(place, &instead.sensitivities.row(row));
        let mut predicted = in_order.predicted.clone();
        predicted[place] = instead.response.volts[row] + instead.shift[row];
        let mut volts = vec![0.0; predicted.len()];
        // Nothing is also what a fault leaves that takes the volts away: neither is known better than the other.
        let own = instead.sensitivities.row(row);
        let spread = own.norm_squared() - (own * known).norm_squared() + shown.noise[place];
        if predicted[place].powi(2) <= spread {
            volts[place] = evaluator
                .laws
                .at_work(predicted[place] - in_order.predicted[place]);
        }
        let laws = LawErrors {
            volts: &volts,
            points: &points,
        };
        // Two readings of one point with a fine meter may be too alike to invert: no explanation.
        let before = (&*in_order.sensitivities, known);
        let changed = (&sensitivities, &[place][..], &[][..]);
        let joint = in_order.joint.changed(before, changed, laws, shown).ok()?;
        let likelihood = joint.log_likelihood(shown, &predicted);
        Some((
            Misreading::OtherPoint { entry: *entry },
            (OTHER_POINT * instead.shares[row]).ln() + likelihood,
        ))
    };
    instead.points.iter().enumerate().filter_map(at).collect()
}
