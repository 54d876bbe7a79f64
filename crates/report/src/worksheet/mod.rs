//! The sheet to take to the bench: one model, already rounded, and its renderers.

mod cautions;
mod markdown;
mod model;
mod point;
mod rounded;
mod rows;
mod text;

pub(crate) use markdown::markdown;
pub(crate) use model::{model, Worksheet};
pub(crate) use rows::csv;
pub(crate) use text::text;
