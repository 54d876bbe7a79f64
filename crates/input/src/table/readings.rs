//! `readings.csv`: what the bench meter showed.
//!
//! Rows come in, [`Reading`] values go out. A reading of a point that the manual does not have is
//! kept, with a note; its own `at` column may state its place.

use circuit::{LeftOutRow, Meter, Quantity, Reading, Shown, UnprintedEntry};
use units::{parse_cell, CellContent, Figure};

use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::meters::find_meter;
use crate::source::{SourceId, Sources};
use crate::table::columns::{Layout, Numbered};
use crate::table::gathered::Gathered;
use crate::table::manual::{Manual, Point};
use crate::table::printed;
use crate::table::read_context::{DefaultMeter, ReadContext};
use crate::table::repetition::Repetitions;
use crate::table::row::{read_table, RowReader};
use crate::values::Reported;

const LAYOUT: Layout = Layout {
    known: &[
        "point", "reading", "quantity", "meter", "range", "set", "date", "note", "at", "against",
        "setting",
    ],
    needed: &["point", "reading"],
    replaceable: None,
    numbered: Numbered::No,
};

/// Spellings of the overrange sign, without blanks, dots and hyphens.
const OVERRANGE: [&str; 7] = [
    "ol",
    "over",
    "overrange",
    "overload",
    "overflow",
    "∞",
    "open",
];

/// The readings of all files.
#[derive(Default)]
pub(crate) struct Readings {
    pub readings: Vec<Reading>,
    /// Rows that could not be read.
    pub left_out: Vec<LeftOutRow>,
    /// Places that the manual does not have and where something else than direct volts was read.
    pub own_rows: Vec<UnprintedEntry>,
    seen: Repetitions,
}

/// Reads one file of readings.
pub(crate) fn read_readings(
    sources: &Sources,
    id: SourceId,
    context: &ReadContext<'_>,
    against: (&Manual, &DefaultMeter<Meter>),
    found: &mut Readings,
    out: &mut Vec<Diagnostic>,
) {
    let (manual, default_meter) = against;
    let Some(table) = read_table(sources, id, &LAYOUT, out) else {
        return;
    };
    let (mut unread, mut unmetered) = (Gathered::default(), Gathered::default());
    for row in &table.rows {
        let reader = RowReader::new(sources, context, &table, row);
        let left_out = |reason: &str| reader.left_out("the reading of point", reason);
        if let Some(reason) = &row.spoiled {
            found.left_out.push(left_out(reason));
            continue;
        }
        if reader.filled("reading").is_none() && !reader.label.is_empty() {
            unread.add(reader.row.span.clone());
            continue;
        }
        let before = out.len();
        let read = reader.reading((manual, &mut found.own_rows), default_meter, out);
        let fault = cost_a_row(out, before);
        match (fault, read) {
            (None, Ok(Some(reading))) => {
                let span = reader.words("point").span;
                found.seen.doubt(&reading, span, out);
                found.readings.push(reading);
            }
            (None, Ok(None)) => {
                unmetered.add(reader.row.span.clone());
                found.left_out.push(left_out("no meter is stated for it"));
            }
            (None, Err(Reported)) => {
                found.left_out.push(left_out("its meter could not be read"));
            }
            (Some(fault), _) => found.left_out.push(left_out(&fault)),
        }
    }
    if let Some((span, rows)) = unread.told() {
        out.push(Diagnostic::note(
            span,
            format!("no reading is given yet for {rows}"),
        ));
    }
    if let Some((span, rows)) = unmetered.told() {
        let message = format!("no meter is stated for {rows}");
        let help = "fill in the column 'meter', or write in job.toml, below [on-the-bench]: \
                    `meter = \"10M\"`";
        out.push(Diagnostic::error(span, message).help(help).of_row());
    }
}

impl RowReader<'_> {
    /// The row's reading; none if only its meter is not stated.
    fn reading(
        &self,
        (manual, own_rows): (&Manual, &mut Vec<UnprintedEntry>),
        default_meter: &DefaultMeter<Meter>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<Reading>, Reported> {
        if self.label.is_empty() {
            out.push(self.words("point").error("the point has no label"));
        }
        let known = own_rows.iter().position(|row| row.point == self.label);
        let point = match known {
            Some(_) => None,
            None => self.known_point(manual, out),
        };
        let own = known.and_then(|place| own_rows.get(place));
        let quantity = self.quantity_read(point, own, out);
        let port = self.reading_port((point, own), quantity.unwrap_or_default(), out);
        // Without the quantity, the unit of the cells is not known.
        let quantity = quantity?;
        let settings = self.settings_read(quantity, (manual, own), point, out);
        let shown = self.shown(quantity, out);
        if let (Some(point), Ok(Shown::Value(figure))) = (point, &shown) {
            self.doubt_prefix(manual, point, figure, out);
        }
        let of_own = point.is_none() && own.is_none() && self.is_placed();
        if of_own && quantity == Quantity::DcVolts && shown == Ok(Shown::Overrange) {
            self.unclear_overrange(out)?;
        }
        let meter = match (self.meter(find_meter, out), default_meter) {
            (Ok(Some(meter)), _) => Ok(Some(meter)),
            (Ok(None), DefaultMeter::Known(meter)) => Ok(Some(meter.clone())),
            (Ok(None), DefaultMeter::Missing) => Ok(None),
            (Ok(None), DefaultMeter::Faulty) | (Err(Reported), _) => Err(Reported),
        };
        let mut range = self.range(quantity, out);
        if let Ok(Some(stated)) = range {
            let figure = match &shown {
                Ok(Shown::Value(figure)) => Some(figure),
                _ => None,
            };
            let meter: Option<&Meter> = meter.as_ref().ok().and_then(Option::as_ref);
            if self.doubt_range(stated, figure, meter, out).is_err() {
                range = Err(Reported);
            }
        }
        if self.label.is_empty() {
            return Err(Reported);
        }
        let (port, shown, range, settings) = (port?, shown?, range?, settings?);
        let Some(meter) = meter? else {
            return Ok(None);
        };
        if let (true, Quantity::DcVolts, Shown::Value(figure), Some(most)) =
            (of_own, quantity, &shown, meter.ranges.last())
        {
            self.beyond_meter((figure.value, most.full_scale), out)?;
        }
        if let (true, Some(port)) = (of_own, port) {
            own_rows.extend(self.own_row((quantity, settings), port, &meter));
        }
        Ok(Some(Reading {
            point: point.map_or_else(|| self.label.clone(), |point| point.label.clone()),
            port,
            shown,
            meter,
            range,
            set: self.words("set").text,
            date: self.words("date").text,
            note: self.words("note").text,
            origin: self.origin(),
        }))
    }

    /// Warns if ohms without a unit are those of the manual but for a prefix, which stands on the meter's display.
    fn doubt_prefix(
        &self,
        manual: &Manual,
        point: &Point,
        figure: &Figure,
        out: &mut Vec<Diagnostic>,
    ) {
        if point.quantity != Quantity::Ohms || figure.text.contains(char::is_alphabetic) {
            return;
        }
        let mut entries = manual.entries.iter();
        let Some(entry) = entries.find(|entry| entry.point == point.label) else {
            return;
        };
        // A part that has changed by more than half or twice is told by its verdict.
        let near = |size: f64| (0.5..2.0).contains(&(entry.figure.value / figure.value / size));
        let prefix = [("k", 1e3), ("M", 1e6)]
            .iter()
            .find(|(_, size)| near(*size));
        if let Some((letter, _)) = prefix {
            let (read, printed) = (&figure.text, &entry.figure.text);
            let words = self.words("reading");
            let message = format!("this is taken as {read} Ω, and the manual prints {printed}");
            let help = format!("if the meter showed {letter}Ω, write `{read}{letter}`");
            out.push(words.warning(message).help(help));
        }
    }

    fn shown(&self, quantity: Quantity, out: &mut Vec<Diagnostic>) -> Result<Shown, Reported> {
        let words = self.words("reading");
        let plain: String = words
            .text
            .chars()
            .filter(|c| !c.is_whitespace() && !matches!(c, '.' | '-'))
            .flat_map(char::to_lowercase)
            .collect();
        if OVERRANGE.contains(&plain.as_str()) {
            return Ok(Shown::Overrange);
        }
        self.read_off(quantity, out).map(Shown::Value)
    }

    /// The value that was read, without the kind of volts that may follow it.
    fn read_off(&self, quantity: Quantity, out: &mut Vec<Diagnostic>) -> Result<Figure, Reported> {
        let words = self.words("reading");
        let cell = parse_cell(&words.text, quantity.unit())
            .map_err(|error| words.unreadable(&error, out))?;
        let mut cell = match cell {
            CellContent::Value(cell) => cell,
            CellContent::Nothing(_) | CellContent::Open(_) => {
                // `OL` and the like have been handled before; a dash is not a reading.
                let error = words.error(format!("'{}' is no reading", words.text));
                let help = "leave the cell empty until the point has been read";
                return Err(error.help(help).report(out));
            }
        };
        let wrong = match (cell.limits, cell.range, cell.alternating) {
            (Some(_), _, _) => Some("a meter shows one value, and these are limits"),
            (_, Some(_), _) => Some("the range of a reading has a column of its own"),
            (_, _, Some(true)) if quantity != Quantity::AcVolts => {
                Some("the point is not one of alternating volts")
            }
            (_, _, Some(false)) if quantity == Quantity::AcVolts => {
                Some("the point is one of alternating volts")
            }
            _ => None,
        };
        if let Some(wrong) = wrong {
            let help = "write what the meter showed: `150 V`";
            return Err(words.error(wrong).help(help).report(out));
        }
        if quantity == Quantity::DcMilliamperes {
            printed::in_milliamperes(&mut cell);
        }
        Ok(cell.figure)
    }
}
