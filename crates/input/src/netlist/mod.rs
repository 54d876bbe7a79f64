//! The netlist reader: the text of `circuit.netlist` to a circuit and all that is wrong with it.
//!
//! It runs in three steps. Every line becomes a statement ([`statement`]), every part statement
//! a part with its values and terminals ([`part`], [`terminals`], of a tube [`socket`]), and then the drawing as a whole
//! is looked at ([`check`]). A faulty line is reported and the next one read. It refuses to know
//! files, test-point tables and how a part behaves.

mod check;
mod class;
mod composite;
mod connections;
mod designator;
mod draft;
mod draw;
mod findings;
mod items;
mod lex;
mod part;
mod ratings;
mod read;
mod settings;
mod socket;
mod split;
mod statement;
mod terminal_faults;
mod terminals;
mod types;
mod unrecognized;
mod values;

pub use read::{read_netlist, Netlist};
pub use settings::{parse_settings, SettingFault};
