//! Manuals judged: by hand, of a whole set, of known meters, and many at random.

mod by_hand;
mod calibration;
mod campaign;
mod intercom;
mod jobs;
mod meters;
mod networks;
