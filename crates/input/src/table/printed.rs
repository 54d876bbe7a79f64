//! A printed cell in its row, compared with the columns that state the same.
//!
//! A cell and the statements of the row come in; range, tolerance and note go out, or a diagnostic
//! if two of them disagree.

use circuit::{PrintedAs, Quantity};
use units::{PrintedCell, Tolerance};

use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::table::gathered::Gathered;
use crate::values::Reported;
use crate::words::Words;

/// Properties of cells that are reported in a note.
#[derive(Default)]
pub(super) struct Printings {
    middle: Gathered,
    bound: Gathered,
    approximate: Gathered,
}

impl Printings {
    pub fn note(&mut self, cell: &PrintedCell, span: &Span) {
        match cell.limits {
            Some(Tolerance::Limits { .. }) => self.middle.add(span.clone()),
            Some(_) => self.bound.add(span.clone()),
            None => {}
        }
        if cell.approximate {
            self.approximate.add(span.clone());
        }
    }

    pub fn tell(&self, out: &mut Vec<Diagnostic>) {
        for (gathered, says) in [
            (
                &self.middle,
                "two limits are printed, and their middle counts as the value",
            ),
            (
                &self.bound,
                "one limit is printed, which is carried over and not judged",
            ),
            (
                &self.approximate,
                "the value is said to be approximate; the tolerance stays as stated",
            ),
        ] {
            if let Some((span, cells)) = gathered.told_of("cell") {
                out.push(Diagnostic::note(span, format!("{cells}: {says}")));
            }
        }
    }
}

/// How the manual prints the value of a cell.
pub(super) fn printed_as(cell: &PrintedCell) -> PrintedAs {
    match cell.limits {
        Some(Tolerance::Limits { low, high }) => PrintedAs::Limits { spread: high - low },
        Some(_) => PrintedAs::OneLimit,
        None if cell.approximate => PrintedAs::Approximate,
        None => PrintedAs::Value,
    }
}

/// Where milliamperes are expected, a bare number is in milliamperes.
pub(super) fn in_milliamperes(cell: &mut PrintedCell) {
    if !cell.bare {
        return;
    }
    // Computed from the digits, so that 1.05 mA is the number nearest to 0.00105 A.
    let milli = |value: f64| format!("{value}e-3").parse().unwrap_or(value / 1000.0);
    cell.figure.value = milli(cell.figure.value);
    cell.figure.resolution = milli(cell.figure.resolution);
    cell.limits = cell.limits.map(|limits| match limits {
        Tolerance::Limits { low, high } => Tolerance::Limits {
            low: milli(low),
            high: milli(high),
        },
        Tolerance::AtMost(high) => Tolerance::AtMost(milli(high)),
        Tolerance::AtLeast(low) => Tolerance::AtLeast(milli(low)),
        other => other,
    });
}

/// Full scale of the range that the cell or the column states; `column` is the place of the
/// column's range.
pub(super) fn range(
    cell: &PrintedCell,
    stated: Option<f64>,
    column: &Words,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<f64>, Reported> {
    match (cell.range, stated) {
        (Some(own), Some(other)) if (own - other).abs() > 1e-9 * own => {
            let error = column.error("the cell of the value names another range");
            Err(error.help("leave one of the two out").report(out))
        }
        (own, other) => Ok(own.or(other)),
    }
}

/// The tolerance of a cell that may state its own limits, and the `usual` one if it does not;
/// `column` is the place where the row states one.
pub(super) fn tolerance(
    cell: &PrintedCell,
    usual: Option<Tolerance>,
    column: Option<&Words>,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<Tolerance>, Reported> {
    match (cell.limits, column) {
        (Some(_), Some(words)) => {
            let error = words.error("the cell of the value states limits already");
            Err(error.help("leave one of the two out").report(out))
        }
        (Some(own), None) => Ok(Some(own)),
        (None, _) => Ok(usual),
    }
}

/// The row's note, with the marks that were printed with the value.
pub(super) fn note(cell: &PrintedCell, quantity: Quantity, note: &str) -> String {
    let mut said: Vec<String> = Vec::new();
    if !note.is_empty() {
        said.push(note.to_owned());
    }
    if cell.limits.is_some() {
        let unit = match cell.bare && quantity == Quantity::DcMilliamperes {
            true => " mA",
            false => "",
        };
        said.push(format!("printed {}{unit}", cell.figure.text));
    }
    if cell.approximate {
        said.push("approximate".to_owned());
    }
    said.extend(cell.notes.iter().cloned());
    said.join("; ")
}

/// Where the words of a cell without any digit belong: `varies with frequency`.
pub(super) fn in_words(cell: &str) -> Option<String> {
    let help = "leave the cell blank and put its words into the column 'note'; where the manual prints limits, \
                write `90-130`";
    (!cell.contains(|letter: char| letter.is_ascii_digit())).then(|| help.to_owned())
}
