//! The netlist reader: turns the text of `circuit.netlist` into a circuit and diagnostics.
//!
//! It runs in three steps. Every line becomes a statement ([`statement`]), every part statement a
//! part with its values and terminals ([`part`], [`terminals`], of a tube [`socket`]), and then the
//! drawing as a whole is checked ([`check`]). A faulty line is reported, and reading continues with
//! the next one. Files, test-point tables and the behaviour of a part are not known here.

mod check;
mod class;
mod composite;
mod connections;
mod designator;
mod draft;
mod draw;
mod feeds;
mod findings;
mod items;
mod lex;
mod named_values;
mod part;
mod positions;
mod ratings;
mod read;
mod series;
mod settings;
mod socket;
mod split;
mod statement;
mod taken_out;
mod terminal_faults;
mod terminals;
mod types;
mod unrecognized;
mod values;

pub(crate) use designator::letter;
pub use read::{read_netlist, Netlist};
pub use settings::{parse_settings, SettingFault};
