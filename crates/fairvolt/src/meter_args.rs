//! Arguments of the commands that need meters and no circuit.

use std::path::PathBuf;

use clap::Args;

use crate::output_args::OutputArgs;

/// `unload`.
#[derive(Debug, Args)]
pub(crate) struct UnloadArgs {
    /// Two or more readings of one point: volts, meter and range, such as 82V,20k/V,250V; without a
    /// range the lowest that holds the volts is taken
    #[arg(value_name = "VOLTS,METER[,RANGE]", required = true)]
    pub(crate) readings: Vec<String>,
    /// Job folder with further meters to name
    #[arg(long, value_name = "JOB")]
    pub(crate) job: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}

/// `imitate`.
#[derive(Debug, Args)]
pub(crate) struct ImitateArgs {
    /// The meter to imitate, such as the manual's: 1k/V
    #[arg(value_name = "METER")]
    pub(crate) like: String,
    /// Your own meter
    #[arg(
        short = 'm',
        long = "meter",
        value_name = "METER",
        default_value = "10M"
    )]
    pub(crate) own: String,
    /// Only this range of the imitated meter, such as 250V [default: every range]
    #[arg(long, value_name = "RANGE")]
    pub(crate) range: Option<String>,
    /// Job folder with further meters to name
    #[arg(long, value_name = "JOB")]
    pub(crate) job: Option<PathBuf>,
    #[command(flatten)]
    pub(crate) output: OutputArgs,
}
