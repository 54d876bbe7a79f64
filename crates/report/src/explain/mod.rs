//! The uncertainty budget of one value, for people and spreadsheets.

mod account;
mod blocks;
mod rows;

pub(crate) use account::{accounts, read_volts, Account, Told};
pub(crate) use blocks::blocks;
pub(crate) use rows::{basis, csv};
