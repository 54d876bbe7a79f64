//! Tubes in their sockets: from a type and written connections to terminals, units and nodes.
//!
//! A type with its base and the connections of one line come in, a [`circuit::Device`] for each section and the
//! node of each of its terminals go out. What a section is called and which pins lead to it is
//! decided in [`slots`], the connections are put there by [`placing`], [`mod@seat`] finds the sections drawn,
//! [`devices`] makes a part of each, and [`registry`] compares the lines of one socket. It refuses to know where the numbers of a type are from.

mod devices;
mod faults;
mod placing;
mod registry;
mod seat;
mod section_faults;
mod slot_names;
mod slots;
mod stated;
mod ties;

pub(super) use registry::{section_of, NoSuchSection, SocketRegistry};
pub(super) use seat::{seat, Seated, Socket};
pub(super) use stated::as_stated;
pub(super) use ties::{tie, Tie};
