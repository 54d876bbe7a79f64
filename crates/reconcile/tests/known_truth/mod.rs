//! Sets of known truth, made and solved by other programs: the coverage of the reconciled value,
//! and whether it is nearer to the truth than either source.
//!
//! Independently derived: `tests/vectors/README.md` says how the sets are made; none of their
//! numbers comes from this program.

mod calibration;
mod contrasts;
mod drawing_slips;
mod draws;
mod judged;
mod linear;
mod misprints;
mod sets;
mod slope;
