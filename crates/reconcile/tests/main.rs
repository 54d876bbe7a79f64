//! Reconciled values against sets of known truth, and manuals judged.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod known_truth; // sets of known truth, from other programs
mod manuals; // manuals judged: by hand, of a whole set, of known meters, at random
