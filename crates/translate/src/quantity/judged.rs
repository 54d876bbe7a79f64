//! A bench reading of a resistance, a current or alternating volts, judged.

use circuit::{Job, Reading, Shown};
use units::Figure;

use super::carry::carry;
use super::circuits::Circuits;
use super::{QuantityPoint, QuantitySide};
use crate::band::Band;
use crate::budget::{Budget, BudgetLine, Input};
use crate::uncertainty::Distribution;
use crate::verdict::{judge, Judgement, Verdict};

/// A reading against its row: the side of the meter it was taken with, and the word. None where the
/// row says nothing of such a meter.
pub(crate) fn judge_reading(
    job: &Job,
    points: &[QuantityPoint],
    reading: &Reading,
    known: &mut Circuits<'_>,
) -> Option<(usize, QuantitySide, Judgement)> {
    let at = points
        .iter()
        .position(|point| job.row(point.row).point == reading.point)?;
    let row = job.row(points[at].row);
    let meters = std::slice::from_ref(&reading.meter);
    let side = carry(job, &row, meters, known).ok()?;
    let side = side.bench.into_iter().next()?;
    let (side, judgement) = judged(job, reading, side);
    Some((at, side, judgement))
}

fn judged(job: &Job, reading: &Reading, side: QuantitySide) -> (QuantitySide, Judgement) {
    match &reading.shown {
        Shown::Value(figure) => {
            let nearer = with_rounding(nearer_lead(&side, figure.value), figure);
            let judgement = judge(&reading.shown, &nearer.side, job.bench.guard);
            (nearer, judgement)
        }
        Shown::Overrange => {
            let verdict = overrange(&side);
            let judgement = Judgement {
                verdict,
                conformity: None,
                outside: verdict == Verdict::Fail,
            };
            (side, judgement)
        }
    }
}

/// An open circuit was shown: more than the meter can show.
fn overrange(side: &QuantitySide) -> Verdict {
    let Band { low, high } = side.side.band;
    let width = side.side.budget.expanded();
    match (low, high) {
        (_, Some(high)) if high + width < side.most => Verdict::Fail,
        (Some(low), None) if low <= side.most => Verdict::Pass,
        (None, None) if side.side.expected > side.most => Verdict::Pass,
        _ => Verdict::NotJudged,
    }
}

/// The rounding of what was read has its own line.
fn with_rounding(mut side: QuantitySide, figure: &Figure) -> QuantitySide {
    let mut lines: Vec<BudgetLine> = side.side.budget.lines.clone();
    lines.push(BudgetLine {
        input: Input::ReadingRounding,
        spread: Distribution::of_resolution(figure.resolution),
        basis: circuit::SpreadBasis::Stated,
        sensitivity: 1.0,
    });
    side.side.budget = Budget::of(lines);
    side
}

/// Nobody notes which lead was where. A reading is held against the way round that is nearer, with
/// the limits and the uncertainty in the same ratio.
fn nearer_lead(side: &QuantitySide, read: f64) -> QuantitySide {
    let Some(other) = side.exchanged.filter(|other| other.is_finite()) else {
        return side.clone();
    };
    let expected = side.side.expected;
    let far = |ohms: f64| (read.max(1e-3) / ohms.max(1e-3)).ln().abs();
    if !expected.is_finite() || far(other) >= far(expected) {
        return side.clone();
    }
    let ratio = other / expected;
    let mut turned = side.clone();
    turned.side.expected = other;
    turned.side.band = Band {
        low: side.side.band.low.map(|low| low * ratio),
        high: side.side.band.high.map(|high| high * ratio),
    };
    let lines = side.side.budget.lines.iter();
    let lines = lines.map(|line| BudgetLine {
        sensitivity: line.sensitivity * ratio,
        ..*line
    });
    turned.side.budget = Budget::of(lines.collect());
    turned.exchanged = Some(expected);
    turned.turned = true;
    turned
}
