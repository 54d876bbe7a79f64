//! Sets of known truth, made and solved by other programs: does the reconciled value hold what it
//! claims, and is it nearer to the truth than either source?
//!
//! Independently derived: `tests/vectors/README.md` says how the sets are made; none of their
//! numbers comes from this program.

mod calibration;
mod contrasts;
mod draws;
mod judged;
mod linear;
mod misprints;
mod sets;
mod slope;
