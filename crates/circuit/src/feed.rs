//! Supplies that are fed by what stands somewhere else in the drawing.
//!
//! A drawing for direct current ends at a vibrator, an inverter or a transformer's primary. A feed says which
//! supplies go dead with the place before it.

use crate::circuit::{Circuit, CircuitBuilder, NodeId, PartId};

/// Supplies whose volts come from a place.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Feed {
    /// The place.
    pub from: NodeId,
    /// The supplies, in the order of the netlist.
    pub supplies: Vec<PartId>,
}

impl Circuit {
    /// Whether a supply is fed from a place of the drawing.
    pub fn is_fed(&self, supply: PartId) -> bool {
        let mut feeds = self.feeds().iter();
        feeds.any(|feed| feed.supplies.contains(&supply))
    }
}

impl CircuitBuilder {
    /// Adds a feed. One without supplies is none.
    pub fn feed(&mut self, feed: Feed) {
        if !feed.supplies.is_empty() {
            self.add_feed(feed);
        }
    }
}
