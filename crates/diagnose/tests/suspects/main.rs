//! Suspects: by hand, of a whole set, and against plain reference computations.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

mod altered;
mod alternating;
mod amperes;
mod gain;
mod hazards;
mod intercom;
mod jobs;
mod ohms;
mod one_fault;
mod posterior;
mod second_set;
mod two_faults;
