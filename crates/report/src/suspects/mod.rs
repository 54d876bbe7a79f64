//! The suspects of a job, in words: what can be said, who is suspected and how strongly, where to
//! put the probe next, and what each suspect predicts.
//!
//! A [`crate::SuspectsView`] comes in; blocks and rows go out, rounded. How a suspect was found is
//! not known here.

mod convicted;
mod explain;
mod feeds;
mod leads;
mod next;
mod next_ohms;
mod next_parts;
mod notes;
mod part_tests;
mod predicted;
mod rows;
mod signal;
mod sizes;
mod strings;
mod verdict;
mod view;
mod words;
mod worth;

pub(crate) use convicted::repair;
pub(crate) use explain::blocks as explain_blocks;
pub(crate) use leads::place;
pub(crate) use next::{next_step, worth as worth_probing};
pub(crate) use next_ohms::{ohms_place, ohms_told, worth_off};
pub(crate) use next_parts::doing;
pub(crate) use notes::unused_words;
pub(crate) use rows::{csv, unit as size_unit, unit_of};
pub(crate) use strings::blamed;
pub(crate) use verdict::{verdict, NONE_USED};
pub(crate) use view::{blocks, said, sheet_blocks, shown};
pub(crate) use words::{fault_words, short_words, suspect_words};
pub(crate) use worth::decimals_on;
