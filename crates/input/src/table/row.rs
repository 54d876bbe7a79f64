//! One row being read: its cells by column, its name in messages, its place in the file.

use circuit::{LeftOutRow, Meter, Origin, Quantity};
use units::Figure;

use crate::diagnostic::Diagnostic;
use crate::meters::MeterNameError;
use crate::source::Sources;
use crate::table::columns::{Row, Table};
use crate::table::read_context::ReadContext;
use crate::values::{self, Reported};
use crate::words::Words;

/// A row of a table together with the context in which it is read.
pub(super) struct RowReader<'a> {
    pub sources: &'a Sources,
    pub context: &'a ReadContext<'a>,
    pub table: &'a Table,
    pub row: &'a Row,
    /// The point's label.
    pub label: String,
}

impl<'a> RowReader<'a> {
    pub fn new(
        sources: &'a Sources,
        context: &'a ReadContext<'a>,
        table: &'a Table,
        row: &'a Row,
    ) -> Self {
        RowReader {
            sources,
            context,
            table,
            row,
            label: table.words(row, "point").text,
        }
    }

    /// The words in a column.
    pub fn words(&self, column: &str) -> Words {
        self.table.words(self.row, column)
    }

    /// The words in a column, if there are any.
    pub fn filled(&self, column: &str) -> Option<Words> {
        Some(self.words(column)).filter(|words| !words.is_blank())
    }

    /// A column of this row for messages: `column 'value', row of point '3'`.
    pub fn what(&self, column: &str) -> String {
        if self.label.is_empty() {
            let (line, _) = self.sources.line_column(&self.row.span);
            format!("column '{column}', line {line}")
        } else {
            format!("column '{column}', row of point '{}'", self.label)
        }
    }

    /// The place of the row.
    pub fn origin(&self) -> Origin {
        let (line, _) = self.sources.line_column(&self.row.span);
        Origin {
            file: self.sources.get(self.row.span.source).label.clone(),
            line,
        }
    }

    /// The row as a left-out row, with a reason in one sentence.
    pub fn left_out(&self, noun: &str, reason: &str) -> LeftOutRow {
        let what = match self.label.as_str() {
            "" => format!("{noun} without a label"),
            label => format!("{noun} '{label}'"),
        };
        LeftOutRow {
            what,
            // The name of the row is not repeated in the reason.
            reason: reason.replace(&format!(", row of point '{}'", self.label), ""),
            origin: self.origin(),
        }
    }

    /// The meter that the row names, if it names one; `find` is the rule for finding it.
    pub fn meter<M>(
        &self,
        find: fn(&str, &[Meter]) -> Result<M, MeterNameError>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<M>, Reported> {
        self.filled("meter")
            .map(|words| self.context.meter(&words, &self.what("meter"), find, out))
            .transpose()
    }

    /// Full scale of the range that the row states, in volts.
    pub fn range(
        &self,
        quantity: Quantity,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<f64>, Reported> {
        let Some(words) = self.filled("range") else {
            return Ok(None);
        };
        let what = self.what("range");
        if !is_volts(quantity) {
            let message = format!("{what}: a range is used with volts only");
            out.push(Diagnostic::note(words.span, message));
            return Ok(None);
        }
        values::positive(&words, &what, units::Unit::Volt, out).map(Some)
    }

    /// Warns if a value is above its range, or if a meter of the job does not have the range.
    pub fn doubt_range(
        &self,
        range: f64,
        shown: Option<&Figure>,
        meter: Option<&Meter>,
        out: &mut Vec<Diagnostic>,
    ) {
        let words = self.words("range");
        let what = self.what("range");
        if let Some(figure) = shown.filter(|figure| figure.value.abs() > range) {
            let message = format!("{what}: {} is more than this range holds", figure.text);
            out.push(Diagnostic::warning(words.span.clone(), message));
        }
        let Some(meter) = meter.filter(|meter| self.context.is_own(meter)) else {
            return;
        };
        let same = |full_scale: f64| (full_scale - range).abs() <= 1e-9 * range;
        if !meter.ranges.iter().any(|listed| same(listed.full_scale)) {
            let message = format!("{what}: meter '{}' has no such range", meter.name);
            let ranges: Vec<String> = meter
                .ranges
                .iter()
                .map(|range| units::exact(range.full_scale, units::Unit::Volt))
                .collect();
            let help = format!("its ranges are {}", ranges.join(", "));
            out.push(Diagnostic::warning(words.span, message).help(help));
        }
    }
}

/// Whether a quantity is in volts.
pub(super) fn is_volts(quantity: Quantity) -> bool {
    matches!(quantity, Quantity::DcVolts | Quantity::AcVolts)
}
