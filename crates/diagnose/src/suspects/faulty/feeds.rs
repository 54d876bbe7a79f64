//! Supplies that nothing feeds any more.
//!
//! An alteration in the making comes in; supplies go out whose feed no live source reaches. What a drawing has
//! between the feed and the supply is not known.

use circuit::{Alteration, Circuit, PartId, PartKind};

use super::live::Altered;

/// Fed supplies that still give volts as altered, though their feed has lost its source.
pub(super) fn unfed(circuit: &Circuit, made: &Alteration) -> Vec<PartId> {
    if circuit.feeds().is_empty() || made.parts.is_empty() && made.bridges.is_empty() {
        return Vec::new();
    }
    let altered = Altered { circuit, made };
    let live = altered.live(true);
    let gives = |id: &PartId| {
        let mut parts = altered.parts();
        parts.any(|(own, part)| match &part.kind {
            PartKind::Supply(supply) => own == *id && supply.volts != 0.0,
            _ => false,
        })
    };
    let drawn = Alteration::none(&made.conditions);
    let before = Altered {
        circuit,
        made: &drawn,
    }
    .live(true);
    // A feed that had no source as drawn says nothing.
    let lost = circuit
        .feeds()
        .iter()
        .filter(|feed| before[feed.from.0] && !live[feed.from.0]);
    let supplies = lost.flat_map(|feed| feed.supplies.iter().copied());
    supplies.filter(gives).collect()
}
