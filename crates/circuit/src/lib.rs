//! The nouns of the trade: nodes, parts, circuits, meters, manual entries, readings, jobs.
//!
//! Plain values without behaviour beyond their own arithmetic. What comes in has already been
//! read from text by `input`; what goes out is used by `solver`, `translate` and `report`.
//! This crate knows nothing of text positions, files or linear algebra.

mod circuit;
mod job;
mod manual;
mod meter;
mod meter_class;
mod part;
mod place;
mod reading;
mod topology;

pub use circuit::{Circuit, CircuitBuilder, Node, NodeId, Origin, PartId, Port};
pub use job::{Bench, Documented, Job};
pub use manual::{ManualEntry, Quantity};
pub use meter::{AcInput, Accuracy, Meter, MeterInput, MeterRange, Response};
pub use meter_class::{meter_by_name, meter_classes};
pub use part::{
    Capacitor, Contact, ContactKind, Generator, Inductor, Lamp, Part, PartKind, Potentiometer,
    Resistor, Supply, SupplyKind, Transformer,
};
pub use place::{resolve, PlaceError};
pub use reading::{Reading, Shown};
pub use topology::{conductive_groups, islands, Groups, Island};

mod setting;
pub use setting::{Conditions, Setting, SettingValue};
