//! Reads one row of `manual.csv` into a [`ManualEntry`].
//!
//! Every cell is read, even if others are faulty, so that all faults of a row are found in one run.

use circuit::{ManualEntry, NoValue, Port, Quantity, Setting, Signal, UnprintedEntry};
use units::{parse_cell, CellContent, Figure, PrintedCell, Tolerance, ValueError, ValueErrorKind};

use crate::diagnostic::Diagnostic;
use crate::meters::{find_manual_meter, ManualMeter};
use crate::table::decibel;
use crate::table::gathered::Wants;
use crate::table::manual::{Point, Row, RowDefaults};
use crate::table::place::{self, Unplaced};
use crate::table::printed;
use crate::table::read_context::Drawn;
use crate::table::row::RowReader;
use crate::values::Reported;

/// The content of the value's cell.
enum Printed {
    Nothing(NoValue),
    Value(Box<PrintedCell>),
}

/// The cells of a row whose quantity is known, each read or reported.
struct Cells {
    port: Result<Option<Port>, Reported>,
    quantity: Quantity,
    /// Its own meter, or the default.
    meter: Result<Option<ManualMeter>, Reported>,
    range: Result<Option<f64>, Reported>,
    tolerance: Result<Option<Tolerance>, Reported>,
    source: Result<Option<f64>, Reported>,
    signal: Result<Signal, Reported>,
    settings: Result<Vec<Setting>, Reported>,
}

impl RowReader<'_> {
    /// The content of the row; the point is completed as far as possible.
    pub(super) fn entry(
        &self,
        point: &mut Point,
        defaults: &RowDefaults,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Row, Reported> {
        let quantity = self.quantity(out);
        let source = self.source(out);
        let port = match source {
            Ok(Some(_)) => place::port(self, Unplaced::Allowed, out),
            Ok(None) => place::port(self, Unplaced::Refused, out),
            // The row has a fault already; whether it needs a place is not known.
            Err(Reported) => Err(Reported),
        };
        point.port = port.ok().flatten();
        point.quantity = quantity.unwrap_or_default();
        place::doubt_same_node(self, point.quantity, point.port, out);
        let settings = self.settings(quantity, out);
        let signal = self.signal(quantity, out);
        let meter = self.meter(find_manual_meter, out);
        // Without the quantity, the unit of the following cells is not known.
        let quantity = quantity?;
        let printed = self.printed(quantity, defaults, wants, out);
        let mut range = self.range(quantity, out);
        let mut tolerance = self.tolerance(quantity, defaults, out);
        if let Ok(Printed::Value(cell)) = &printed {
            let column = self.words("range");
            range = range.and_then(|stated| printed::range(cell, stated, &column, out));
            let column = self.filled("tolerance");
            tolerance =
                tolerance.and_then(|usual| printed::tolerance(cell, usual, column.as_ref(), out));
        }
        let mut cells = Cells {
            port,
            quantity,
            meter: meter.map(|own| own.or_else(|| defaults.known_meter().cloned())),
            range: range.map(|range| range.or(defaults.range_of(quantity))),
            tolerance,
            source,
            signal,
            settings,
        };
        if let Ok(Some(range)) = cells.range {
            let shown = match &printed {
                Ok(Printed::Value(cell)) => Some(&cell.figure),
                _ => None,
            };
            let meter = cells.meter.as_ref().ok().and_then(Option::as_ref);
            let doubted = self.doubt_range(range, shown, meter.and_then(ManualMeter::known), out);
            if doubted.is_err() {
                cells.range = Err(Reported);
            }
        }
        match printed {
            Ok(Printed::Nothing(value)) => {
                let entry = self.unprinted(cells, value)?;
                Ok(Row::Unprinted(Box::new(entry)))
            }
            printed => {
                let entry = self.valued(cells, printed, wants, out)?;
                Ok(Row::Valued(Box::new(entry)))
            }
        }
    }

    fn unprinted(&self, cells: Cells, value: NoValue) -> Result<UnprintedEntry, Reported> {
        let port = cells.port?;
        Ok(UnprintedEntry {
            point: self.label.clone(),
            at: self.words("at").text,
            against: place::against(self, port),
            port,
            quantity: cells.quantity,
            value,
            meter: cells.meter?.as_ref().and_then(ManualMeter::known).cloned(),
            range: cells.range?,
            tolerance: cells.tolerance?,
            source: cells.source?,
            signal: cells.signal?,
            settings: cells.settings?,
            note: self.words("note").text,
            origin: self.origin(),
        })
    }

    /// What a row lacks is noted before a fault of another cell ends it.
    fn valued(
        &self,
        cells: Cells,
        printed: Result<Printed, Reported>,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<ManualEntry, Reported> {
        let placeless = cells.source == Ok(None) && matches!(self.context.circuit, Drawn::Absent);
        if placeless {
            wants.place.add(self.row.span.clone());
        }
        let Some(meter) = cells.meter? else {
            wants.meter.add(self.row.span.clone());
            return Err(Reported);
        };
        let Printed::Value(cell) = printed? else {
            return Err(Reported);
        };
        let note = printed::note(&cell, cells.quantity, &self.words("note").text);
        wants.printings.note(&cell, &self.words("value").span);
        let printed_as = printed::printed_as(&cell);
        let figure = cell.figure;
        let tolerance = cells.tolerance?;
        self.doubt_limits(&figure, tolerance, out);
        let port = cells.port?;
        if placeless {
            return Err(Reported);
        }
        Ok(ManualEntry {
            point: self.label.clone(),
            at: self.words("at").text,
            against: place::against(self, port),
            port,
            quantity: cells.quantity,
            figure,
            printed_as,
            meter: meter.meter,
            meter_unknown: meter.unknown,
            range: cells.range?,
            tolerance,
            source: cells.source?,
            signal: cells.signal?,
            settings: cells.settings?,
            note,
            origin: self.origin(),
        })
    }

    /// The content of the row's value cell.
    fn printed(
        &self,
        quantity: Quantity,
        defaults: &RowDefaults,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Printed, Reported> {
        let Some(words) = self.filled("value") else {
            wants.value.add(self.row.span.clone());
            return Ok(Printed::Nothing(NoValue::Blank));
        };
        let of_decibels = decibel::in_volts(&words, quantity, defaults.decibel_zero, out);
        let said = match of_decibels {
            Some(cell) => cell?,
            None => parse_cell(&words.text, quantity.unit()).map_err(|error| {
                let help = self.other_quantity(&error, quantity);
                match help.or_else(|| printed::in_words(&words.text)) {
                    Some(help) => {
                        let error = words.error_in(&error.span, &error.kind);
                        error.help(help).report(out)
                    }
                    None => words.unreadable(&error, out),
                }
            })?,
        };
        let mut cell = match said {
            CellContent::Nothing(sign) => {
                wants.value.add(self.row.span.clone());
                return Ok(Printed::Nothing(NoValue::Sign(sign)));
            }
            CellContent::Open(sign) => {
                wants.open.add(words.span);
                return Ok(Printed::Nothing(NoValue::Open(sign)));
            }
            CellContent::Value(cell) => cell,
        };
        if quantity == Quantity::DcMilliamperes {
            printed::in_milliamperes(&mut cell);
        }
        let contradicts = match cell.alternating {
            Some(true) => quantity != Quantity::AcVolts,
            Some(false) => quantity == Quantity::AcVolts,
            None => false,
        };
        if contradicts {
            let kind = if cell.alternating == Some(true) {
                "alternating"
            } else {
                "direct"
            };
            let name = quantity.name();
            let message = format!("this is said to be {kind}, and the quantity is {name}");
            let help = "leave the column 'quantity' empty, or mend the cell";
            return Err(words.error(message).help(help).report(out));
        }
        if quantity == Quantity::Ohms && cell.figure.value < 0.0 {
            return Err(words.error("a resistance cannot be negative").report(out));
        }
        Ok(Printed::Value(cell))
    }

    /// Where a cell in another unit belongs: its row lacks the quantity.
    fn other_quantity(&self, error: &ValueError, quantity: Quantity) -> Option<String> {
        let ValueErrorKind::WrongUnit { found, .. } = &error.kind else {
            return None;
        };
        let name = [Quantity::Ohms, Quantity::DcMilliamperes, Quantity::DcVolts]
            .into_iter()
            .find(|other| other.unit() == *found && other.unit() != quantity.unit())?
            .name();
        Some(format!(
            "if that is meant, write `{name}` in the column 'quantity'"
        ))
    }

    fn tolerance(
        &self,
        quantity: Quantity,
        defaults: &RowDefaults,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<Tolerance>, Reported> {
        let Some(words) = self.filled("tolerance") else {
            return Ok(defaults.tolerance_of(quantity));
        };
        words.tolerance(quantity.unit(), out).map(Some)
    }

    /// Warns where the printed value is outside the limits of its own row.
    fn doubt_limits(
        &self,
        figure: &Figure,
        tolerance: Option<Tolerance>,
        out: &mut Vec<Diagnostic>,
    ) {
        let Some((words, tolerance)) = self.filled("tolerance").zip(tolerance) else {
            return;
        };
        let (low, high) = tolerance.limits(figure.value);
        let below = low.is_some_and(|low| figure.value < low);
        let above = high.is_some_and(|high| figure.value > high);
        if below || above {
            let message = format!("{} lies outside these limits", figure.text);
            out.push(words.warning(message));
        }
    }
}
