//! Values of the manual that cannot be believed, as the bench has it too.
//!
//! `check` doubts a value that contradicts the drawing and the other values. Where the bench reads what is
//! printed and not what is drawn, two sets agree on it: the drawing lacks something there, such as an
//! oscillation that biases its own grid. It cannot predict the reading then, and the reading accuses nothing. The
//! same holds of two printed limits, too wide to be doubted, between which the drawing is not.

use circuit::{Job, ManualRow};
use reconcile::{ReconcileError, ValueStatus};
use translate::{Comparison, PointOutcome, Verdict};

use crate::suspects::amperes::with_currents;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likely_set::on_the_bench;
use crate::suspects::reading::{readings, ReadingUsed, Readings, Sources, Unused, WhyUnused};

/// A reading further off the drawing than this many standard deviations does not fit it, no more than the doubted
/// value does that it is to confirm.
const CONTRADICTS: f64 = 2.0;

/// Entries of the manual that cannot be believed, and those of them that a set reads as printed and not as
/// drawn.
///
/// # Errors
/// [`ReconcileError`] if the circuit in order has no trustworthy solution, or the covariance of its
/// readings cannot be inverted.
pub(crate) fn doubted(
    job: &Job,
    comparison: &Comparison,
    set: Option<&str>,
) -> Result<(Vec<usize>, Vec<usize>), ReconcileError> {
    let doubted = by_the_table(comparison);
    let unlike = [doubted.clone(), not_between(job, comparison)].concat();
    let sources = Sources {
        comparison,
        doubted: &doubted,
    };
    let mut read = readings(job, &sources, set);
    // Of a doubted value much is open, so that even a reading in its middle may decide nothing.
    let passes = |used: &ReadingUsed| {
        let judged = comparison.readings.get(used.reading);
        used.entry.is_some()
            && judged.is_some_and(|compared| {
                let judgement = compared.judgement;
                judgement.verdict != Verdict::NotJudged && !judgement.outside
            })
    };
    let of_unlike = |used: &ReadingUsed| used.entry.is_some_and(|entry| unlike.contains(&entry));
    if !read.used.iter().any(|used| of_unlike(used) && passes(used)) {
        return Ok((doubted, Vec::new()));
    }
    let second = on_the_bench(comparison.translation.reconciled.second_set());
    let with_ammeters = with_currents(job, &sources, second, &mut read);
    let evaluator = Evaluator::new(&with_ammeters, &mut read, &job.manual)?;
    let in_order = evaluator.of_one_size(&[(Hypothesis::NothingWrong, 1.0)])?;
    let shown = evaluator.shown.volts.iter();
    let each = shown.zip(&in_order.predicted).zip(&in_order.joint.sigma);
    let off: Vec<bool> = each
        .map(|((shown, predicted), sigma)| {
            shown.is_some_and(|shown| (shown - predicted).abs() > CONTRADICTS * sigma)
        })
        .collect();
    let confirmed = |entry: usize| {
        let own = read.used.iter().zip(&off);
        let mut own = own.filter(|(used, _)| used.entry == Some(entry)).peekable();
        own.peek().is_some() && own.all(|(used, off)| *off && passes(used))
    };
    let confirmed: Vec<usize> = unlike
        .into_iter()
        .filter(|entry| confirmed(*entry))
        .collect();
    let doubted = doubted
        .into_iter()
        .filter(|entry| !confirmed.contains(entry));
    Ok((doubted.collect(), confirmed))
}

/// Takes the readings of these entries from those that count.
pub(crate) fn leave_out(read: &mut Readings, confirmed: &[usize]) {
    let as_printed =
        |used: &ReadingUsed| used.entry.is_some_and(|entry| confirmed.contains(&entry));
    let (gone, used) = std::mem::take(&mut read.used)
        .into_iter()
        .partition(as_printed);
    read.used = used;
    let gone: Vec<ReadingUsed> = gone;
    read.as_printed = gone.iter().map(|used| used.port).collect();
    read.unused.extend(gone.iter().map(|used| Unused {
        reading: used.reading,
        why: WhyUnused::AsPrinted,
    }));
}

/// Readings, by their places among those used, that fail by a printed value that is doubted.
pub(crate) fn against_print(
    comparison: &Comparison,
    used: &[ReadingUsed],
    doubted: &[usize],
) -> Vec<usize> {
    let fails = |used: &ReadingUsed| {
        let of_doubted = used.entry.is_some_and(|entry| doubted.contains(&entry));
        of_doubted && verdict(comparison, used) == Some(Verdict::Fail)
    };
    let places = 0..used.len();
    places.filter(|place| fails(&used[*place])).collect()
}

fn by_the_table(comparison: &Comparison) -> Vec<usize> {
    let reconciled = &comparison.translation.reconciled;
    let entries = 0..reconciled.job().manual.len();
    entries
        .filter(|entry| reconciled.value_status(*entry) != ValueStatus::Believed)
        .collect()
}

/// Entries printed as two limits between which the drawing by itself is not, on the manual's meter.
fn not_between(job: &Job, comparison: &Comparison) -> Vec<usize> {
    let apart = |point: &&PointOutcome| {
        let Ok(carried) = &point.outcome else {
            return false;
        };
        let row = ManualRow::from(&job.manual[point.entry]);
        let drawn = carried.model.as_documented;
        row.two_limits && drawn.is_some_and(|volts| !carried.manual.band.holds(volts))
    };
    let points = comparison.translation.points.iter().filter(apart);
    points.map(|point| point.entry).collect()
}

fn verdict(comparison: &Comparison, used: &ReadingUsed) -> Option<Verdict> {
    let compared = comparison.readings.get(used.reading)?;
    Some(compared.judgement.verdict)
}
