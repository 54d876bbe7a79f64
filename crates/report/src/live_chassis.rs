//! What marks a set without a mains transformer, on everything that is taken to the bench.

use circuit::Job;

use crate::document::Block;

/// Stands at the head of the sheet of a set without a mains transformer.
pub(crate) const LIVE_CHASSIS: &str =
    "This set has no mains transformer: its chassis, and all metal joined to it, may stand at line \
     potential, whichever way the plug is turned and even when the set is switched off. Feed it \
     through an isolation transformer before a ground clip or an earthed instrument touches it.";

/// The words that mark such a sheet.
const LIVE_CHASSIS_MARK: &str = "LIVE CHASSIS";

/// The frame at the head of whatever is taken to the bench of such a set; none for other sets.
pub(crate) fn live_chassis(job: &Job) -> Option<Block> {
    let mark = format!("!! {LIVE_CHASSIS_MARK}");
    (job.hot_chassis).then(|| Block::Danger(mark, LIVE_CHASSIS.to_owned()))
}

/// The mark in few words, for the head of every page and for a picture; none for other sets.
pub(crate) fn live_chassis_mark(job: &Job) -> Option<String> {
    (job.hot_chassis).then(|| format!("!! {LIVE_CHASSIS_MARK}: line potential"))
}
