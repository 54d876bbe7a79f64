//! Two slips of one drawing.
//!
//! The changes that were tried one by one come in, none of which brings all values to agree; a pair that does
//! goes out. The likeliest are put into the drawing in turn, and a second one is looked for in each of these drawings;
//! then the first anew in the drawing with the second, for its own search was led astray by what the other one
//! displaces. So each of the two makes all values agree where the other is mended.

use circuit::{Alteration, Job, PartId};

use super::{agreeing, tried, DrawingChange, DrawingSlip, DrawnTable, Tried};
use crate::reconciled::{reconcile, Reconciled};

/// Changes that are tried as the first one.
const FIRST: usize = 4;

/// Fewer doubted values than this are as well explained by themselves.
const LEAST_DOUBTED: usize = 3;

/// Rows of a table that is looked at, at most: each first change asks for a search of its own.
const MOST_ROWS: usize = 120;

/// Two slips with which all values agree.
pub(super) fn two_slips(reconciled: &Reconciled, tried: &[Tried]) -> Option<[DrawingSlip; 2]> {
    let doubted = reconciled.doubted.len();
    if doubted < LEAST_DOUBTED || reconciled.table.rows.len() > MOST_ROWS {
        return None;
    }
    let pairs = tried.iter().take(FIRST).filter_map(|first| {
        let mended = with(reconciled, &first.alteration)?;
        if mended.doubted.len() >= doubted {
            return None;
        }
        let second = best_beside(&mended, first)?;
        // What the first costs: its probability beforehand, and of a number how much of its range fits.
        let fixed = DrawnTable::of(&mended)?.fit.log_likelihood();
        let log_odds = second.slip.log_odds + first.slip.log_odds - fixed;
        Some((first, second, log_odds))
    });
    let (first, second, _) = pairs.max_by(|one, other| one.2.total_cmp(&other.2))?;
    let mended = with(reconciled, &second.alteration)?;
    let again = self::tried(&mended)?;
    let again = agreeing(&again).into_iter();
    let mut again = again.filter(|slip| is_alike(&slip.change, &first.slip.change));
    Some([again.next()?, second.slip])
}

/// The manual reconciled with the drawing with a change.
fn with(reconciled: &Reconciled, alteration: &Alteration) -> Option<Reconciled> {
    let job = Job {
        circuit: reconciled.job.circuit.altered(alteration),
        ..Job::clone(&reconciled.job)
    };
    let other = reconcile(&job).ok()?;
    (other.table.rows.len() == reconciled.table.rows.len()).then_some(other)
}

/// The likeliest change of another part with which all values agree.
fn best_beside(mended: &Reconciled, first: &Tried) -> Option<Tried> {
    let own = part(&first.slip.change);
    let mut each = tried(mended)?.into_iter();
    each.find(|second| {
        let other = part(&second.slip.change);
        second.agrees && (own.is_none() || own != other)
    })
}

/// The part that is changed; none of a resistor that is not drawn.
fn part(change: &DrawingChange) -> Option<PartId> {
    match *change {
        DrawingChange::Number { id, .. } => Some(id.part),
        DrawingChange::NotDrawn { .. } => None,
        DrawingChange::OtherNode { part, .. }
        | DrawingChange::Exchanged { part, .. }
        | DrawingChange::OtherType { part, .. }
        | DrawingChange::Position { part, .. } => Some(part),
    }
}

/// Whether two changes are the same but for values.
fn is_alike(one: &DrawingChange, other: &DrawingChange) -> bool {
    let ports = [one, other].map(|change| match change {
        DrawingChange::NotDrawn { port, .. } => Some(*port),
        _ => None,
    });
    let kinds = [one, other].map(std::mem::discriminant);
    kinds[0] == kinds[1] && part(one) == part(other) && ports[0] == ports[1]
}
