//! What can be typed where a result can be a picture, and the command whose result mainly is one.

use std::path::PathBuf;

use clap::{Args, ValueEnum};

use crate::args::{FormatArg, OutputArgs};

/// `curve`.
#[derive(Debug, Args)]
pub(crate) struct CurveArgs {
    /// Job folder
    #[arg(value_name = "JOB")]
    pub(crate) job: PathBuf,
    /// The point, by the manual's label; several with --witnesses
    #[arg(value_name = "POINT", required = true)]
    pub(crate) points: Vec<String>,
    /// Mark this meter instead of the job's own; may be given more than once
    #[arg(short, long = "meter", value_name = "METER")]
    pub(crate) meters: Vec<String>,
    /// Show the readings from this file on the curve instead of the job's own; may be given more than
    /// once
    #[arg(short, long = "readings", value_name = "FILE")]
    pub(crate) readings: Vec<PathBuf>,
    /// Instead of the curve, draw what the printed value says, what the drawing says, and what both say
    /// together, for each point; as svg only
    #[arg(long, conflicts_with = "readings")]
    pub(crate) witnesses: bool,
    /// How to write it
    #[arg(long, value_enum, default_value_t = CurveFormatArg::Table, value_name = "FORMAT")]
    pub(crate) format: CurveFormatArg,
    /// Write to this file instead of the terminal
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// How to write a curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum CurveFormatArg {
    /// A table, and the curve drawn with letters
    Table,
    /// A picture for a page or a screen
    Svg,
    /// A page for a browser, with picture and table
    Html,
    /// Rows for a spreadsheet
    Csv,
    /// A document for programs
    Json,
}

impl CurveFormatArg {
    pub(crate) fn format(self) -> report::CurveFormat {
        match self {
            CurveFormatArg::Table => report::CurveFormat::Table,
            CurveFormatArg::Svg => report::CurveFormat::Svg,
            CurveFormatArg::Html => report::CurveFormat::Html,
            CurveFormatArg::Csv => report::CurveFormat::Csv,
            CurveFormatArg::Json => report::CurveFormat::Json,
        }
    }
}

/// How and where to write what can be a picture too.
#[derive(Clone, Debug, Args)]
pub(crate) struct PictureOutputArgs {
    /// How to write it
    #[arg(long, value_enum, default_value_t = PictureFormatArg::Table, value_name = "FORMAT")]
    pub(crate) format: PictureFormatArg,
    /// Write to this file instead of the terminal
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// How to write a result that can be a picture too.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PictureFormatArg {
    /// Aligned text for the terminal and for paper
    Table,
    /// Rows for a spreadsheet
    Csv,
    /// A document for programs
    Json,
    /// A page for a notebook
    Markdown,
    /// A picture of one job for a page or a screen
    Svg,
}

impl PictureOutputArgs {
    /// Whether a picture is asked for.
    pub(crate) fn is_picture(&self) -> bool {
        self.format == PictureFormatArg::Svg
    }

    /// The same for text; a picture is written as it is.
    pub(crate) fn text(&self) -> OutputArgs {
        OutputArgs {
            format: match self.format {
                PictureFormatArg::Table | PictureFormatArg::Svg => FormatArg::Table,
                PictureFormatArg::Csv => FormatArg::Csv,
                PictureFormatArg::Json => FormatArg::Json,
                PictureFormatArg::Markdown => FormatArg::Markdown,
            },
            output: self.output.clone(),
        }
    }
}
