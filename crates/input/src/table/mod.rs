//! The tables of a job: `manual.csv`, the socket charts and `readings.csv`.
//!
//! Comma-separated text comes in, or exports with semicolons or tabs; entries and readings go out,
//! with every fault at its cell. A row with a fault is left out, but its point stays known, so that
//! one mistake causes one message.

mod columns;
pub(crate) mod decibel;
mod entry;
mod gathered;
pub(crate) mod manual;
mod own_row;
pub(crate) mod pin_cell;
pub(crate) mod pin_chart;
mod place;
mod printed;
pub(crate) mod read_context;
mod reading_place;
pub(crate) mod readings;
mod repetition;
mod row;
mod row_conditions;
mod tube_row;
