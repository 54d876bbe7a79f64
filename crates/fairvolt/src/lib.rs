//! The command line of fairvolt: arguments, files, the terminal, exit statuses.
//!
//! Arguments come in, text goes to the two streams of a [`Console`], an [`Exit`] goes out. What
//! a job says, what it comes to and how it is printed are the business of the other crates; this
//! one alone touches files and the environment.

mod args;
mod command;
mod console;
mod diagnostics;
mod excerpt;
mod exit;
mod findings;
mod job_folder;
mod meter_args;
mod output;
mod output_args;
mod own_files;
mod own_tubes;
mod progress;
mod run;
mod shelf;
mod trials_args;
mod unknown_meter;
mod unsolved;

pub use args::command;
pub use console::Console;
pub use exit::Exit;
pub use run::run;
