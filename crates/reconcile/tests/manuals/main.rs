//! Manuals judged: by hand, of a whole set, of known meters, and many at random.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod by_hand;
mod calibration;
mod campaign;
mod intercom;
mod jobs;
mod meters;
mod networks;
