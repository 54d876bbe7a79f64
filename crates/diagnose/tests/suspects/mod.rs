//! Suspects: by hand, of a whole set, and against plain reference computations.

mod altered;
mod alternating;
mod amperes;
mod controls;
mod floating_grids;
mod gain;
mod hazards;
mod heaters;
mod intercom;
mod jobs;
mod no_circuit;
mod ohms;
mod one_fault;
mod other_parts;
mod posterior;
mod second_set;
mod two_faults;
