//! The sheet to take to the bench: one model, already rounded, and its renderers.

mod brief;
mod cautions;
mod drawing;
mod markdown;
mod model;
mod page;
mod page_points;
mod page_readings;
mod point;
mod reading;
mod rounded;
mod rows;
mod same_place;
mod stages;
mod text;

pub(crate) use markdown::markdown;
pub(crate) use model::{model, Worksheet};
pub(crate) use page::document;
pub(crate) use rounded::Rounded;
pub(crate) use rows::csv;
pub(crate) use text::text;
