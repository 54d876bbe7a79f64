//! Sockets seen from below, with what each pin should show and what was read there.
//!
//! What it owns: which entries of a manual belong to which pin, and in what words a drawing tells them. What comes
//! in: a job's comparison and its hazard marks. What goes out: drawings, and the same as rows. Not known here: how
//! any value came about, and where a drawing stands on a page.

mod drawn;
mod pins;
mod rows;
mod seats;

pub(crate) use drawn::{document, key_of_sheet, picture, pictures, small_socket, SOCKETS};
pub(crate) use rows::{blocks, csv};
