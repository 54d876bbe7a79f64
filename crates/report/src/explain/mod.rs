//! What one value rests on: the contributions to its uncertainty, told for people and sheets.

mod account;
mod blocks;
mod rows;

pub(crate) use account::{accounts, read_volts, Account, Told};
pub(crate) use blocks::blocks;
pub(crate) use rows::{basis, csv};
