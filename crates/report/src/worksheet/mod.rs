//! The sheet to take to the bench: one model, already rounded, and its view.

mod answer;
mod brief;
mod cautions;
mod drawing;
mod model;
mod other;
mod point;
mod point_of_row;
mod point_words;
mod points;
mod reading;
mod rounded;
mod rows;
mod same_place;
mod stages;
mod untranslated;
mod view;

pub(crate) use model::model;
#[cfg(feature = "schema")]
pub(crate) use model::Worksheet;
pub(crate) use rounded::Rounded;
pub(crate) use rows::csv;
pub(crate) use view::{blocks, document, Pictures};
