//! How and where a result is written, as it can be typed.

use std::path::PathBuf;

use clap::builder::{PossibleValuesParser, TypedValueParser};
use clap::{Args, ValueEnum};
use report::{Format, PaperSize};

/// How and where to write.
#[derive(Clone, Debug, Args)]
pub(crate) struct OutputArgs {
    /// Format of the output
    #[arg(long, value_enum, default_value_t = FormatArg::Table, value_name = "FORMAT")]
    pub(crate) format: FormatArg,
    /// Write to this file instead of the terminal
    #[arg(short, long, value_name = "FILE")]
    pub(crate) output: Option<PathBuf>,
}

/// How to write a result.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum FormatArg {
    /// Aligned text for the terminal and for paper
    Table,
    /// Rows for a spreadsheet
    Csv,
    /// A document for programs
    Json,
    /// A page for a notebook
    Markdown,
    /// A page for the browser, which also prints it
    Html,
    /// Pages for the printer
    Pdf,
    /// A picture for a page or a screen
    Svg,
}

impl FormatArg {
    /// How the names of its files end, which is its name too; none for plain text, which any file may hold.
    fn ending(self) -> Option<&'static str> {
        match self {
            FormatArg::Table | FormatArg::Markdown => None,
            FormatArg::Csv => Some("csv"),
            FormatArg::Json => Some("json"),
            FormatArg::Html => Some("html"),
            FormatArg::Pdf => Some("pdf"),
            FormatArg::Svg => Some("svg"),
        }
    }
}

/// A size of paper.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub(crate) enum PaperArg {
    /// 210 mm by 297 mm
    A4,
    /// 8.5 inch by 11 inch
    Letter,
}

/// What a text is written as.
const TEXT: &[FormatArg] = &[
    FormatArg::Table,
    FormatArg::Csv,
    FormatArg::Json,
    FormatArg::Markdown,
];

/// The same, for what can be a picture too.
const DRAWN: &[FormatArg] = &[
    FormatArg::Table,
    FormatArg::Csv,
    FormatArg::Json,
    FormatArg::Markdown,
    FormatArg::Svg,
];

/// The formats that each command offers.
pub(crate) const FORMATS: [(&str, &[FormatArg]); 10] = [
    ("check", TEXT),
    ("translate", TEXT),
    ("compare", DRAWN),
    ("suspects", DRAWN),
    (
        "curve",
        &[
            FormatArg::Table,
            FormatArg::Svg,
            FormatArg::Html,
            FormatArg::Csv,
            FormatArg::Json,
        ],
    ),
    ("unload", TEXT),
    ("imitate", TEXT),
    (
        "worksheet",
        &[
            FormatArg::Table,
            FormatArg::Csv,
            FormatArg::Json,
            FormatArg::Markdown,
            FormatArg::Html,
            FormatArg::Pdf,
            FormatArg::Svg,
        ],
    ),
    ("meters", TEXT),
    ("devices", TEXT),
];

/// Reads one of these formats and no other; help and completions show just these.
pub(crate) fn offered(formats: &'static [FormatArg]) -> impl TypedValueParser<Value = FormatArg> {
    let values = formats.iter().filter_map(FormatArg::to_possible_value);
    PossibleValuesParser::new(values)
        .try_map(|typed| FormatArg::from_str(&typed, false).map_err(std::io::Error::other))
}

impl OutputArgs {
    /// The format, on this size of paper where it has pages.
    pub(crate) fn format_on(&self, paper: PaperArg) -> Format {
        match self.format {
            FormatArg::Table => Format::Table,
            FormatArg::Csv => Format::Csv,
            FormatArg::Json => Format::Json,
            FormatArg::Markdown => Format::Markdown,
            FormatArg::Html => Format::Html,
            FormatArg::Svg => Format::Svg,
            FormatArg::Pdf => Format::Pdf(match paper {
                PaperArg::A4 => PaperSize::A4,
                PaperArg::Letter => PaperSize::Letter,
            }),
        }
    }

    /// The format, on the usual paper.
    pub(crate) fn format(&self) -> Format {
        self.format_on(PaperArg::A4)
    }

    /// The format that the file's name ends in, where that is another than the one asked for; none for a name
    /// that ends in none, or in `txt`.
    pub(crate) fn named_as_another(&self) -> Option<&'static str> {
        let ending = self.output.as_ref()?.extension()?.to_str()?;
        let mut formats = FormatArg::value_variants().iter();
        let (meant, format) = formats.find_map(|format| {
            let own = format.ending()?;
            ending.eq_ignore_ascii_case(own).then_some((own, *format))
        })?;
        (format != self.format).then_some(meant)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_format_is_offered_by_a_command() {
        for format in FormatArg::value_variants() {
            let offered = FORMATS.iter().any(|(_, own)| own.contains(format));
            assert!(offered, "{format:?}");
        }
    }

    /// An ending is the word that asks for its format, and of one format only.
    #[test]
    fn an_ending_is_the_name_of_its_format() {
        for format in FormatArg::value_variants() {
            let name = format.to_possible_value().unwrap();
            assert!(format.ending().is_none_or(|own| own == name.get_name()));
        }
    }
}
