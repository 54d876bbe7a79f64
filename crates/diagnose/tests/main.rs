//! Suspects against known faults and plain reference computations.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod campaign; // known faults in sets from another program
mod suspects; // by hand, of a whole set, against plain reference computations
