//! The data types: nodes, parts, circuits, meters, manual entries, readings, jobs.
//!
//! Plain values without behaviour beyond their own arithmetic. They are read from text by `input`,
//! and used by `solver`, `translate` and `report`. This crate knows nothing of text positions,
//! files or linear algebra.

mod alteration;
mod capacitor;
mod catalogue;
mod characteristic;
mod circuit;
mod device;
mod device_numbers;
mod electrode_letters;
mod feed;
mod heater_string;
mod job;
mod left_out;
mod manual;
mod manual_row;
mod meter;
mod meter_class;
mod names;
mod numbers;
mod ohmmeter;
mod parameter;
mod part;
mod place;
mod power_off;
mod rating;
mod record;
mod sections;
mod series_meter;
mod signal;
mod spread;
mod terminal_words;
mod topology;
mod track;
mod tube_characteristic;
mod varied;

pub use alteration::{Alteration, Bridge, BrokenLead};
pub use capacitor::{Capacitor, Dielectric};
pub use catalogue::{
    semiconductor, semiconductors, tube_rating, tube_sheets, tube_type, tube_types, type_aliases,
    Basing, DataPoint, Electrode, GlowLimits, HeaterRating, OwnTypeError, Pin, PointKind,
    SeleniumPlate, SemiconductorKind, SemiconductorType, TubeClass, TubeRating, TubeSheet,
    TubeType, TubeUnit, TypeAlias, ZenerType,
};
pub use characteristic::{
    Bipolar, Characteristic, FieldEffect, GridCurrent, Heptode, Junction, OscillatorTriode,
    Pentagrid, Pentode, Polarity, RemoteSection, SoftKnee, Triode, VacuumDiode, Wear,
};
pub use circuit::{Circuit, CircuitBuilder, Node, NodeId, Origin, PartId, Port};
pub use device::{Device, DeviceClass, DeviceUnit, Glow, Terminal};
pub use electrode_letters::{is_electrode, names_electrode, system_letters};
pub use feed::Feed;
pub use heater_string::{HeaterMember, HeaterMemberKind, HeaterString};
pub use job::{Bench, Documented, Job, Reading, Shown, AGE_CLASSES};
pub use left_out::{LeftOutRow, NoValue, UnprintedEntry};
pub use manual::{ManualEntry, PrintedAs, Quantity};
pub use manual_row::{ManualRow, RowId};
pub use meter::{AcInput, Accuracy, Meter, MeterInput, MeterRange, Response, SeriesProbe};
pub use meter_class::{meter_by_name, meter_classes, named_meter_classes, same_meter_name};
pub use numbers::{spread_of, Nominal, PartNumber};
pub use ohmmeter::{Ammeter, OhmRange, Ohmmeter};
pub use parameter::{DeviceParameter, PartParameter};
pub use part::{
    is_line_frequency, Contact, ContactKind, Generator, Inductor, Lamp, Part, PartKind,
    Potentiometer, Resistor, Supply, SupplyKind, Transformer, WithoutPower,
};
pub use place::{resolve, socket, Commons, PlaceError};
pub use rating::Rating;
pub use record::{read_before, records, replaced, Record};
pub use signal::{Signal, Wave};
pub use spread::{
    DefaultSpread, PartSpread, SpreadBasis, SpreadScale, DEFAULT_SPREADS, STATED_SOURCE,
};
pub use topology::{conductive_groups, islands, sums_by_island, Groups, Island, Through};

mod setting;
pub use series_meter::SeriesLead;
pub use setting::{Conditions, Setting, SettingValue};
