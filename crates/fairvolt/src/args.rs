//! What can be typed: every command, option and help text, in one place.
//!
//! Help, shell completions and the manual page are all made from these definitions.

use std::path::PathBuf;

use clap::{Args, CommandFactory, Parser, Subcommand};

use crate::meter_args::{ImitateArgs, UnloadArgs};
use crate::output_args::{offered, FormatArg, OutputArgs, PaperArg, FORMATS};
use crate::trials_args::TrialsArgs;

/// The whole command line.
#[derive(Debug, Parser)]
#[command(
    name = "fairvolt",
    version,
    about = "Carries a service manual's test-point voltages over to the meter on your bench",
    max_term_width = 80,
    long_about = "Carries a service manual's test-point voltages over to the meter on your bench.\n\n\
        The manual's voltages were read with a meter that loaded the circuit; yours loads it less. \
        fairvolt rebuilds the circuit round each test point from a netlist, says what your meter \
        should show there, and compares it with what it does show.",
    after_help = "Exit status: 0 done, nothing flagged; 1 done, something flagged; 2 the input or \
        the command line is wrong; 3 the circuit has no trustworthy solution, or none for any row; 4 \
        output could not be written.\n\nLive work can kill. Local codes, the maker's instructions and your workplace \
        rules come first; live and mains work belongs to persons trained, and where the law asks \
        for it licensed, to do it.",
    disable_help_subcommand = true
)]
pub(crate) struct CommandLine {
    /// Replace a file that -o names, even if fairvolt did not write it; never a file that a job reads
    #[arg(long, global = true, display_order = 101)]
    pub(crate) force: bool,
    /// Also read files outside the job's folder that job.toml names
    #[arg(long, global = true, display_order = 102)]
    pub(crate) outside: bool,
    #[command(subcommand)]
    pub(crate) command: Command,
}

/// One thing to do.
#[derive(Debug, Subcommand)]
pub(crate) enum Command {
    /// Make a job folder with commented files to fill in
    #[command(after_help = "Example: fairvolt new attic-receiver")]
    New(NewArgs),
    /// Report every fault of a job's files, and doubtful values of the manual
    #[command(after_help = "Example: fairvolt check sample-data/lookout-intercom")]
    Check(CheckArgs),
    /// Show the manual's table for your meter
    #[command(after_help = "Example: fairvolt translate sample-data/lookout-intercom")]
    Translate(TranslateArgs),
    /// Judge bench readings by the manual
    #[command(after_help = "Example: fairvolt compare sample-data/lookout-intercom")]
    Compare(CompareArgs),
    /// Rank the parts that would explain the readings; say what to read next
    #[command(
        after_help = "Example: fairvolt suspects sample-data/lookout-intercom -r \
            sample-data/lookout-intercom/readings-leaky-coupler.csv"
    )]
    Suspects(SuspectsArgs),
    /// Plot the reading of a point against the resistance of the meter
    #[command(
        after_help = "Example: fairvolt curve sample-data/lookout-intercom 5 --format svg -o point5.svg"
    )]
    Curve(CurveArgs),
    /// Find source resistance and true volts of a point from two readings
    #[command(after_help = "Example: fairvolt unload 22V,20k/V,50V 82V,20k/V,500V")]
    Unload(UnloadArgs),
    /// Find the resistor that makes your meter load like another
    #[command(after_help = "Example: fairvolt imitate 1k/V --range 250V")]
    Imitate(ImitateArgs),
    /// Write the sheet to take to the bench
    #[command(
        after_help = "Example: fairvolt worksheet sample-data/lookout-intercom --format markdown"
    )]
    Worksheet(WorksheetArgs),
    /// List the built-in meter classes, and the meters of a job
    #[command(after_help = "Example: fairvolt meters sample-data/lookout-intercom")]
    Meters(MetersArgs),
    /// List the built-in tubes and semiconductors, or show one of them
    #[command(after_help = "Example: fairvolt devices 12AX7")]
    Devices(DevicesArgs),
    /// Write the completion script for a shell
    #[command(after_help = "Example: fairvolt completions bash > fairvolt.bash")]
    Completions(CompletionsArgs),
    /// Write the manual page
    #[command(after_help = "Example: fairvolt manual-page > fairvolt.1")]
    ManualPage,
}

/// `new`.
#[derive(Debug, Args)]
pub(crate) struct NewArgs {
    /// The folder to make
    #[arg(value_name = "FOLDER")]
    pub(crate) folder: PathBuf,
}

/// `check`.
#[derive(Debug, Args)]
pub(crate) struct CheckArgs {
    /// Job folders
    #[arg(value_name = "JOB", default_value = ".")]
    pub(crate) jobs: Vec<PathBuf>,
    #[command(flatten)]
    pub(crate) trials: TrialsArgs,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `translate`.
#[derive(Debug, Args)]
pub(crate) struct TranslateArgs {
    /// Job folders
    #[arg(value_name = "JOB", default_value = ".")]
    pub(crate) jobs: Vec<PathBuf>,
    /// Translate for this meter instead of the job's own; may be given more than once
    #[arg(short, long = "meter", value_name = "METER")]
    pub(crate) meters: Vec<String>,
    /// Also show how the manual's meter loaded each point, the bench meter's range, and what another
    /// range of the manual's meter would have meant
    #[arg(long, conflicts_with = "explain")]
    pub(crate) all: bool,
    /// Show what the expected value of this point depends on, input by input, instead of the table
    #[arg(long, value_name = "POINT", conflicts_with_all = ["trials", "seed"])]
    pub(crate) explain: Option<String>,
    #[command(flatten)]
    pub(crate) trials: TrialsArgs,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `compare`.
#[derive(Debug, Args)]
pub(crate) struct CompareArgs {
    /// Job folders
    #[arg(value_name = "JOB", default_value = ".")]
    pub(crate) jobs: Vec<PathBuf>,
    /// Take the readings from this file instead of the job's own; may be given more than once
    #[arg(short, long = "readings", value_name = "FILE")]
    pub(crate) readings: Vec<PathBuf>,
    /// Set each supply to the volts read across it, so that a low rail does not mark the points it
    /// feeds as faulty
    #[arg(long)]
    pub(crate) rails_as_read: bool,
    /// Show every reading, in the manual's order, with its expected value
    #[arg(long, conflicts_with_all = ["summary", "explain"])]
    pub(crate) all: bool,
    /// Show only counts, one line for each set and date, with the worst point
    #[arg(long, conflicts_with = "explain")]
    pub(crate) summary: bool,
    /// Show what the verdict on this point depends on, input by input, instead of the table
    #[arg(long, value_name = "POINT")]
    pub(crate) explain: Option<String>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `suspects`.
#[derive(Debug, Args)]
pub(crate) struct SuspectsArgs {
    /// Job folders
    #[arg(value_name = "JOB", default_value = ".")]
    pub(crate) jobs: Vec<PathBuf>,
    /// Take the next readings with this meter instead of the job's own
    #[arg(short, long = "meter", value_name = "METER")]
    pub(crate) meters: Vec<String>,
    /// Take the readings from this file instead of the job's own; may be given more than once
    #[arg(short, long = "readings", value_name = "FILE")]
    pub(crate) readings: Vec<PathBuf>,
    /// Use the readings of this set, if there are several sets [default: the first one]
    #[arg(long, value_name = "SET")]
    pub(crate) set: Option<String>,
    /// Also try two faults at once, starting from the most likely single faults
    #[arg(long)]
    pub(crate) pairs: bool,
    /// Number of next readings to suggest
    #[arg(long, value_name = "N", default_value_t = 3, value_parser = clap::value_parser!(u8).range(0..=20))]
    pub(crate) probes: u8,
    /// Show what this part's faults predict, point by point, instead of the ranking; `nothing` for a
    /// set in order
    #[arg(long, value_name = "PART")]
    pub(crate) explain: Option<String>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `curve`.
#[derive(Debug, Args)]
pub(crate) struct CurveArgs {
    /// Job folder
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
    /// The point, by the manual's label; several with --reconciled
    #[arg(value_name = "POINT", required = true)]
    pub(crate) points: Vec<String>,
    /// Mark this meter instead of the job's own; may be given more than once
    #[arg(short, long = "meter", value_name = "METER")]
    pub(crate) meters: Vec<String>,
    /// Show the readings from this file on the curve instead of the job's own; may be given more than
    /// once
    #[arg(short, long = "readings", value_name = "FILE")]
    pub(crate) readings: Vec<PathBuf>,
    /// Instead of the curve, draw for each point its volts by the manual alone, by the drawing alone, and
    /// reconciled; needs --format svg
    #[arg(long, conflicts_with = "readings")]
    pub(crate) reconciled: bool,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `worksheet`.
#[derive(Debug, Args)]
pub(crate) struct WorksheetArgs {
    /// Job folder
    #[arg(value_name = "JOB", default_value = ".")]
    pub(crate) job: PathBuf,
    /// Write the sheet for this meter instead of the job's own; may be given more than once
    #[arg(short, long = "meter", value_name = "METER")]
    pub(crate) meters: Vec<String>,
    /// Take the readings from this file instead of the job's own; may be given more than once
    #[arg(short, long = "readings", value_name = "FILE")]
    pub(crate) readings: Vec<PathBuf>,
    /// Set each supply to the volts read across it, so that a low rail does not mark the points it
    /// feeds as faulty
    #[arg(long, conflicts_with = "chart")]
    pub(crate) rails_as_read: bool,
    /// Instead of the sheet, write the manual's table and socket chart as read with this meter [default:
    /// 10M], to keep with the manual
    #[arg(long, conflicts_with = "readings")]
    pub(crate) chart: bool,
    /// Instead of the sheet, show for each pin of the tubes and transistors what it should read and what
    /// was read; svg, html and pdf draw the sockets from below
    #[arg(long, conflicts_with = "chart")]
    pub(crate) sockets: bool,
    /// Paper size of a PDF
    #[arg(long, value_enum, default_value_t = PaperArg::A4, value_name = "SIZE")]
    pub(crate) paper: PaperArg,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `meters`.
#[derive(Debug, Args)]
pub(crate) struct MetersArgs {
    /// Job folder whose meters are listed too
    #[arg(value_name = "JOB")]
    pub(crate) job: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `devices`.
#[derive(Debug, Args)]
pub(crate) struct DevicesArgs {
    /// Type to show, in upper or lower case, such as 12AX7 or 2N404
    #[arg(value_name = "TYPE")]
    pub(crate) device: Option<String>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `completions`.
#[derive(Debug, Args)]
pub(crate) struct CompletionsArgs {
    /// The shell
    #[arg(value_enum, value_name = "SHELL")]
    pub(crate) shell: clap_complete::Shell,
}

/// The definitions, for parsing, completions, the manual page and tests: each command offers the formats that
/// it has.
pub fn command() -> clap::Command {
    let offer = |line: clap::Command, (name, formats): &(&'static str, &'static [FormatArg])| {
        line.mut_subcommand(name, |own| {
            own.mut_arg("format", |format| format.value_parser(offered(formats)))
        })
    };
    FORMATS.iter().fold(CommandLine::command(), offer)
}
