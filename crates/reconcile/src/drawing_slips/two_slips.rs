//! Two slips of one drawing.
//!
//! The changes that were tried one by one come in, none of which brings all values to agree; a pair that does
//! goes out. The likeliest are put into the drawing in turn, and a second one is looked for in each of these
//! drawings. Both searches of the likeliest pair were led astray by what the other slip displaces, so each is made
//! anew beside the other. So each of the two makes all values agree where the other is mended.

use circuit::{Alteration, Circuit};

use super::changed::drawn_otherwise;
use super::{tried, DrawingSlip, DrawnTable, SlipSearch, Tried};
use crate::reconciled::{reconcile, Reconciled};

/// Changes that are tried as the first one.
const FIRST: usize = 4;

/// Fewer doubted values than this are as well explained by themselves.
const LEAST_DOUBTED: usize = 3;

/// Rows of a table that is looked at, at most: each first change asks for a search of its own.
const MOST_ROWS: usize = 120;

/// Two slips with which all values agree.
pub(super) fn two_slips(reconciled: &Reconciled, changes: &[Tried]) -> Option<[DrawingSlip; 2]> {
    let too_many = reconciled.table.rows.len() > MOST_ROWS;
    if reconciled.doubted.len() < LEAST_DOUBTED || too_many {
        return None;
    }
    let pairs = changes.iter().take(FIRST).filter_map(|first| {
        let mended = with(reconciled, &first.alteration)?;
        let second = best_beside(&mended, first, &reconciled.job.circuit)?;
        // What the first costs: its probability beforehand, and of a number how much of its range fits.
        let fixed = DrawnTable::of(SlipSearch::of(&mended))?
            .fit
            .log_likelihood();
        let log_odds = second.slip.log_odds + first.slip.log_odds - fixed;
        Some((first, second, log_odds))
    });
    let (first, second, _) = pairs.max_by(|one, other| one.2.total_cmp(&other.2))?;
    let first = anew(reconciled, first, &second).filter(|first| first.agrees)?;
    let second = anew(reconciled, &second, &first).filter(|second| second.agrees)?;
    Some([first.slip, second.slip])
}

/// The manual reconciled with the drawing with a change.
fn with(reconciled: &Reconciled, alteration: &Alteration) -> Option<Reconciled> {
    let other = reconcile(&drawn_otherwise(&reconciled.job, alteration)).ok()?;
    (other.table.rows.len() == reconciled.table.rows.len()).then_some(other)
}

/// The likeliest change of another part of the drawing; a resistor that the first one adds is none.
fn best_beside(mended: &Reconciled, first: &Tried, drawn: &Circuit) -> Option<Tried> {
    let own = first.slip.change.part();
    let mut each = tried(mended)?.into_iter();
    each.find(|second| {
        let other = own.is_none() || own != second.slip.change.part();
        other && second.alteration.is_of(drawn)
    })
}

/// The same change, looked for beside another one.
fn anew(reconciled: &Reconciled, change: &Tried, beside: &Tried) -> Option<Tried> {
    let mended = with(reconciled, &beside.alteration)?;
    let mut each = tried(&mended)?.into_iter();
    each.find(|own| own.slip.change.is_alike(&change.slip.change))
}
