//! Reads the text of a job: the netlist, the tables and the settings.
//!
//! Texts come in as values ([`Sources`]); a [`circuit::Job`] and every [`Diagnostic`] found go out.
//! It knows the place of each word, but not files, the terminal or equations.

mod devices;
mod diagnostic;
mod job;
mod job_meters;
mod meters;
mod nearest;
mod netlist;
mod records;
mod settings;
mod source;
mod stage_order;
mod table;
mod values;
mod words;

pub use devices::{read_devices, DevicesRead, OwnTube};
pub use diagnostic::{Diagnostic, Scope, Severity};
pub use job::{read_job, JobRead, JobSources};
pub use meters::{find_meter, read_meters, LeftOutMeter, MeterNameError, MetersRead};
pub use nearest::{begins_alike, nearest_few};
pub use netlist::{parse_settings, read_netlist, Netlist, SettingFault};
pub use settings::{
    read_settings, BenchSettings, DecibelZero, DocumentedSettings, JobSettings, Named,
    SuspectSettings, WorksheetSettings,
};
pub use source::{SourceId, SourceText, Sources, Span};
