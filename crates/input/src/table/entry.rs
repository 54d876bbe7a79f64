//! Reads one row of `manual.csv` into a [`ManualEntry`].
//!
//! Every cell is read, even if others are faulty, so that all faults of a row are found in one run.

use circuit::{ManualEntry, NoValue, Quantity, Setting, Signal, UnprintedEntry, Wave};
use units::{parse_cell, Cell, Figure, PrintedCell, Tolerance, Unit};

use crate::diagnostic::Diagnostic;
use crate::meters::find_manual_meter;
use crate::nearest::did_you_mean;
use crate::netlist::parse_settings;
use crate::table::decibel;
use crate::table::manual::{Point, Row, RowDefaults, Wants};
use crate::table::place::{self, Unplaced};
use crate::table::printed;
use crate::table::read_context::{DefaultMeter, Drawn};
use crate::table::row::{cell, RowReader};
use crate::values::{self, Reported};

/// Quantities as manuals write them, besides the names of [`Quantity`]; blanks are ignored.
const SPELLINGS: [(&str, Quantity); 6] = [
    ("vdc", Quantity::DcVolts),
    ("vac", Quantity::AcVolts),
    ("ohms", Quantity::Ohms),
    ("ω", Quantity::Ohms),
    ("madc", Quantity::DcMilliamperes),
    ("ma", Quantity::DcMilliamperes),
];

/// The content of the value's cell.
enum Printed {
    Nothing(NoValue),
    Value(Box<PrintedCell>),
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
        let settings = self.settings(out);
        let signal = self.signal(quantity, out);
        let meter = self.meter(find_manual_meter, out);
        // Without the quantity, the unit of the following cells is not known.
        let quantity = quantity?;
        let printed = self.printed(quantity, defaults, wants, out);
        let mut range = self.range(quantity, out);
        let mut tolerance = self.tolerance(quantity, defaults, out);
        if let Ok(Printed::Value(cell)) = &printed {
            let column = self.words("range");
            let what = self.what("range");
            range = range.and_then(|stated| printed::range(cell, stated, (&column, &what), out));
            let column = self.filled("tolerance");
            let what = self.what("tolerance");
            tolerance = tolerance
                .and_then(|usual| printed::tolerance(cell, usual, (column.as_ref(), &what), out));
        }
        let range = range.map(|range| range.or(defaults.range_of(quantity)));
        if let Ok(Some(range)) = range {
            let shown = match &printed {
                Ok(Printed::Value(cell)) => Some(&cell.figure),
                _ => None,
            };
            let known = match (&meter, &defaults.meter) {
                (Ok(Some(meter)), _) | (Ok(None), DefaultMeter::Known(meter)) => meter.known(),
                _ => None,
            };
            self.doubt_range(range, shown, known, out);
        }
        if let Ok(Printed::Nothing(value)) = &printed {
            let port = port?;
            let meter = match (&meter?, &defaults.meter) {
                (Some(meter), _) | (None, DefaultMeter::Known(meter)) => meter.known().cloned(),
                (None, DefaultMeter::Missing | DefaultMeter::Faulty) => None,
            };
            return Ok(Row::Unprinted(Box::new(UnprintedEntry {
                point: self.label.clone(),
                at: self.words("at").text,
                against: place::against(self, port),
                port,
                quantity,
                value: value.clone(),
                meter,
                range: range?,
                tolerance: tolerance?,
                source: source?,
                signal: signal?,
                settings: settings?,
                note: self.words("note").text,
                origin: self.origin(),
            })));
        }
        let placeless = source == Ok(None) && matches!(self.context.circuit, Drawn::Absent);
        if placeless {
            wants.source.add(self.row.span.clone());
        }
        let meter = match (meter?, &defaults.meter) {
            (Some(meter), _) => meter,
            (None, DefaultMeter::Known(meter)) => meter.clone(),
            (None, DefaultMeter::Missing | DefaultMeter::Faulty) => {
                wants.meter.add(self.row.span.clone());
                return Err(Reported);
            }
        };
        let Printed::Value(cell) = printed? else {
            return Err(Reported);
        };
        let note = printed::note(&cell, quantity, &self.words("note").text);
        wants.printings.note(&cell, &self.words("value").span);
        let printed_as = printed::printed_as(&cell);
        let figure = cell.figure;
        let tolerance = tolerance?;
        self.doubt_limits(&figure, tolerance, out);
        let port = port?;
        if placeless {
            return Err(Reported);
        }
        Ok(Row::Valued(Box::new(ManualEntry {
            point: self.label.clone(),
            at: self.words("at").text,
            against: place::against(self, port),
            port,
            quantity,
            figure,
            printed_as,
            meter: meter.meter,
            meter_unknown: meter.unknown,
            range: range?,
            tolerance,
            source: source?,
            signal: signal?,
            settings: settings?,
            note,
            origin: self.origin(),
        })))
    }

    fn quantity(&self, out: &mut Vec<Diagnostic>) -> Result<Quantity, Reported> {
        let Some(words) = self.filled("quantity") else {
            return Ok(self.quantity_of_cell());
        };
        let plain = |text: &str| text.replace(char::is_whitespace, "").to_lowercase();
        let wanted = plain(&words.text);
        let named = Quantity::ALL
            .into_iter()
            .find(|q| plain(q.name()) == wanted);
        let spelled = SPELLINGS.iter().find(|(text, _)| *text == wanted);
        named
            .or(spelled.map(|(_, quantity)| *quantity))
            .ok_or_else(|| {
                let what = self.what("quantity");
                let message = format!("{what}: '{}' is not a quantity", words.text);
                let names = Quantity::ALL.map(Quantity::name);
                let help = format!("write one of: {}", names.join(", "));
                let error = Diagnostic::error(words.span.clone(), message).help(help);
                out.push(error.maybe_help(did_you_mean(&words.text, names)));
                Reported
            })
    }

    /// The quantity of the value's cell, which may itself state alternating volts.
    fn quantity_of_cell(&self) -> Quantity {
        match parse_cell(&self.words("value").text, Quantity::default().unit()) {
            Ok(Cell::Value(cell)) if cell.alternating == Some(true) => Quantity::AcVolts,
            _ if decibel::says_decibels(&self.words("value").text) => Quantity::AcVolts,
            _ => Quantity::default(),
        }
    }

    /// Frequency and wave of an alternating value.
    fn signal(
        &self,
        quantity: Result<Quantity, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Signal, Reported> {
        let (freq, wave) = (self.filled("freq"), self.filled("wave"));
        if let (Ok(quantity), Some(words)) = (quantity, freq.as_ref().or(wave.as_ref())) {
            if quantity != Quantity::AcVolts {
                let message = format!(
                    "{}: only alternating volts have a frequency and a wave",
                    self.what("freq")
                );
                let help = "leave the cell empty, or write `ac V` in the column 'quantity'";
                out.push(Diagnostic::warning(words.span.clone(), message).help(help));
            }
        }
        let hertz =
            freq.map(|words| values::positive(&words, &self.what("freq"), Unit::Hertz, out));
        let wave = wave.map(|words| {
            let wanted = words.text.to_lowercase().replace([' ', '_'], "-");
            let known = Wave::WORDS.iter().find(|(word, _)| *word == wanted);
            known.map(|(_, wave)| *wave).ok_or_else(|| {
                let message = format!("{}: '{}' is no wave", self.what("wave"), words.text);
                let names = Wave::WORDS.map(|(word, _)| word);
                let help = format!("write one of: {}", names.join(", "));
                out.push(Diagnostic::error(words.span.clone(), message).help(help));
                Reported
            })
        });
        Ok(Signal {
            hertz: hertz.transpose()?,
            wave: wave.transpose()?.unwrap_or_default(),
        })
    }

    fn source(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(words) = self.filled("source") else {
            return Ok(None);
        };
        let ohms = values::resistance(&words, &self.what("source"), out)?;
        if let Some(circuit) = self.context.circuit.circuit() {
            let at = self.words("at").text;
            if circuit::resolve(circuit, &at, "", &self.context.commons).is_ok() {
                let what = self.what("source");
                let message = format!("{what}: the stated ohms are used, not the drawn circuit");
                out.push(Diagnostic::note(words.span, message));
            }
        }
        Ok(Some(ohms))
    }

    fn settings(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<Setting>, Reported> {
        let Some(words) = self.filled("setting") else {
            return Ok(Vec::new());
        };
        let what = self.what("setting");
        let circuit = match self.context.circuit {
            Drawn::Whole(circuit) => circuit,
            // A control that seems to be missing may be in a line that could not be read.
            Drawn::Faulty(_) => return Ok(Vec::new()),
            Drawn::Absent => {
                let message = format!("{what}: without a netlist there is no control to set");
                out.push(Diagnostic::warning(words.span, message));
                return Ok(Vec::new());
            }
        };
        parse_settings(circuit, &words.text).map_err(|faults| {
            for fault in faults {
                let message = format!("{what}: {}", fault.message);
                let error = Diagnostic::error(words.part(&fault.bytes), message);
                out.push(error.help(fault.help));
            }
            Reported
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
        let what = self.what("value");
        let of_decibels = decibel::in_volts(&words, &what, quantity, defaults.decibel_zero, out);
        let said = match of_decibels {
            Some(cell) => cell?,
            None => cell(&words, &what, quantity.unit(), out)?,
        };
        let mut cell = match said {
            Cell::Nothing(sign) => {
                wants.value.add(self.row.span.clone());
                return Ok(Printed::Nothing(NoValue::Sign(sign)));
            }
            Cell::Open(sign) => {
                wants.open.add(words.span);
                return Ok(Printed::Nothing(NoValue::Open(sign)));
            }
            Cell::Value(cell) => cell,
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
            let message = format!("{what}: this is said to be {kind}, and the quantity is {name}");
            let error = Diagnostic::error(words.span.clone(), message);
            out.push(error.help("leave the column 'quantity' empty, or mend the cell"));
            return Err(Reported);
        }
        if quantity == Quantity::Ohms && cell.figure.value < 0.0 {
            let message = format!("{what}: a resistance cannot be negative");
            out.push(Diagnostic::error(words.span, message));
            return Err(Reported);
        }
        Ok(Printed::Value(cell))
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
        let what = self.what("tolerance");
        values::tolerance(&words, &what, quantity.unit(), out).map(Some)
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
            let what = self.what("tolerance");
            let message = format!("{what}: {} lies outside these limits", figure.text);
            out.push(Diagnostic::warning(words.span, message));
        }
    }
}
