//! One row of `manual.csv`: its cells to a [`ManualEntry`].
//!
//! Every cell is read, whatever is wrong with the others, so that all faults of a row come in one run.

use circuit::{ManualEntry, Quantity, Setting};
use units::{parse_ohms_cell, Figure, OhmsCell, Tolerance};

use crate::diagnostic::Diagnostic;
use crate::meters::find_manual_meter;
use crate::nearest::did_you_mean;
use crate::netlist::parse_settings;
use crate::table::desk::{DefaultMeter, Drawn};
use crate::table::manual::{Point, RowDefaults, Wants};
use crate::table::place::{self, Unplaced};
use crate::table::row::RowReader;
use crate::values::{self, Reported};

/// Quantities as manuals write them, besides the names of [`Quantity`]; blanks are left aside.
const SPELLINGS: [(&str, Quantity); 6] = [
    ("vdc", Quantity::DcVolts),
    ("vac", Quantity::AcVolts),
    ("ohms", Quantity::Ohms),
    ("ω", Quantity::Ohms),
    ("madc", Quantity::DcMilliamperes),
    ("ma", Quantity::DcMilliamperes),
];

impl RowReader<'_> {
    /// The row's entry, none if it has no value; the point is completed as far as possible.
    pub(super) fn entry(
        &self,
        point: &mut Point,
        defaults: &RowDefaults,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<ManualEntry>, Reported> {
        let quantity = self.quantity(out);
        let source = self.source(out);
        let port = match source {
            Ok(Some(_)) => place::port(self, Unplaced::Allowed, out),
            Ok(None) => place::port(self, Unplaced::Refused, out),
            // The row has its fault; whether it may lack a place is not known.
            Err(Reported) => Err(Reported),
        };
        point.port = port.ok().flatten();
        point.quantity = quantity.unwrap_or_default();
        let settings = self.settings(out);
        let meter = self.meter(find_manual_meter, out);
        // Without its quantity, nobody knows the unit of what follows.
        let quantity = quantity?;
        let figure = self.printed(quantity, wants, out);
        let range = self.range(quantity, out);
        let tolerance = self.tolerance(quantity, defaults, out);
        if let Ok(Some(range)) = range {
            let shown = figure.as_ref().ok().and_then(Option::as_ref);
            let known = match (&meter, &defaults.meter) {
                (Ok(Some(meter)), _) | (Ok(None), DefaultMeter::Known(meter)) => meter.known(),
                _ => None,
            };
            self.doubt_range(range, shown, known, out);
        }
        if matches!(figure, Ok(None)) {
            return Ok(None);
        }
        if source == Ok(None) && matches!(self.desk.circuit, Drawn::Absent) {
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
        let Some(figure) = figure? else {
            return Ok(None);
        };
        let tolerance = tolerance?;
        self.doubt_limits(&figure, tolerance, out);
        let port = port?;
        Ok(Some(ManualEntry {
            point: self.label.clone(),
            at: self.words("at").text,
            against: place::against(self, port),
            port,
            quantity,
            figure,
            meter: meter.meter,
            meter_unknown: meter.unknown,
            range: range?,
            tolerance,
            source: source?,
            settings: settings?,
            note: self.words("note").text,
            origin: self.origin(),
        }))
    }

    fn quantity(&self, out: &mut Vec<Diagnostic>) -> Result<Quantity, Reported> {
        let Some(words) = self.filled("quantity") else {
            return Ok(Quantity::default());
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

    fn source(&self, out: &mut Vec<Diagnostic>) -> Result<Option<f64>, Reported> {
        let Some(words) = self.filled("source") else {
            return Ok(None);
        };
        let ohms = values::resistance(&words, &self.what("source"), out)?;
        if let Some(circuit) = self.desk.circuit.circuit() {
            let at = self.words("at").text;
            if circuit::resolve(circuit, &at, "", &self.desk.commons).is_ok() {
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
        let circuit = match self.desk.circuit {
            Drawn::Whole(circuit) => circuit,
            // A control that is not there may stand in a line that could not be read.
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

    /// The printed value; none if the row has none to carry over.
    fn printed(
        &self,
        quantity: Quantity,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<Figure>, Reported> {
        let Some(words) = self.filled("value") else {
            wants.value.add(self.row.span.clone());
            return Ok(None);
        };
        if quantity != Quantity::Ohms {
            return self.figure("value", quantity, out).map(Some);
        }
        if let Ok(OhmsCell::Open) = parse_ohms_cell(&words.text) {
            wants.open.add(words.span);
            return Ok(None);
        }
        let figure = self.figure("value", quantity, out)?;
        if figure.value < 0.0 {
            let message = format!("{}: a resistance cannot be negative", self.what("value"));
            out.push(Diagnostic::error(words.span, message));
            return Err(Reported);
        }
        Ok(Some(figure))
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
