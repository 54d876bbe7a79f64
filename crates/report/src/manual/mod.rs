//! What was found out about a manual, in words: doubted values, what would explain them, values
//! not judged, spreads taken for want of a tolerance, and which meter was used.
//!
//! A job and a [`crate::ManualView`] come in; blocks and sentences go out. Who asked for them, and
//! how a belief comes about, is not known here.

mod classes;
mod doubts;
mod drawing_slips;
mod left_out;
mod otherwise;
mod own_bias;
mod remark;
mod slips;
mod spreads;

pub(crate) use classes::{class_blocks, heading, heading_block, ClassOdds};
pub(crate) use doubts::{blocks, doubted, headline, left_out_of, row_of};
pub(crate) use drawing_slips::{first_suspect, is_volts, turn};
pub(crate) use left_out::why;
pub(crate) use otherwise::{answers, otherwise_expected, otherwise_read};
pub(crate) use remark::{doubt, notes, sentences};
pub(crate) use slips::{place_words, slip_words};
pub(crate) use spreads::{assumed, AssumedSpread};
