//! What the readers take from a job, and what they say of a faulty one.

mod arbitrary_text; // no text makes a reader panic
mod composites; // lines that draw several parts
mod faults; // faulty jobs and their diagnostics
mod good_charts; // data sheets and socket charts
mod good_jobs; // jobs as technicians write them
mod good_unknown_meter; // manuals that do not name their meter
mod heaters; // heaters in series
mod hints; // every hint, followed, mends what it is about
mod netlist; // every linear part
mod netlist_devices; // every tube and semiconductor
mod netlist_faults; // faulty netlists and their diagnostics
mod netlist_never_panics; // mutilated netlists
mod support; // what they share
mod whole_sockets; // lines that draw several sections of a tube
