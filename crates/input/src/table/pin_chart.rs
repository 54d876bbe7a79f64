//! `pin-chart.csv` and `pin-chart-ohms.csv`: a manual's socket chart, one row a tube, one column a
//! pin.
//!
//! Each cell with a value becomes a [`ManualEntry`] of the point `V1 pin 6`, or `V1 pin 6 ohms`
//! where the chart is one of resistances. A pin that is not drawn, such as a heater's, is kept
//! without a port. Meter, reference and tolerance are the job's.

use std::collections::HashMap;

use circuit::{
    LeftOutRow, ManualEntry, NoValue, Origin, Port, Quantity, Signal, TubeType, UnprintedEntry,
};
use units::Unit;

use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::meters::{find_manual_meter, ManualMeter};
use crate::source::{SourceId, Sources, Span};
use crate::table::columns::{read_table, Layout, Numbered, Row, Spot, Table};
use crate::table::desk::{DefaultMeter, Desk, Drawn};
use crate::table::gathered::Gathered;
use crate::table::manual::{Manual, Point, RowDefaults};
use crate::table::pin_cell::{read_cell, ChartOf, PinCell};
use crate::table::printed::{self, Printings};
use crate::table::tube_row::TubeRow;
use crate::values::{self, Reported};
use crate::words::Words;

const LAYOUT: Layout = Layout {
    known: &["tube", "type", "meter", "range", "note"],
    needed: &["tube"],
    replaceable: None,
    numbered: Numbered::Pins,
};

/// What a chart is read against.
pub(crate) struct Charting<'a> {
    /// The texts.
    pub sources: &'a Sources,
    /// Circuit, reference and meters.
    pub desk: &'a Desk<'a>,
    /// Meter and tolerance of every cell.
    pub defaults: &'a RowDefaults,
    /// Tube types of the job's own.
    pub own: &'a [TubeType],
}

/// What cells of a chart have in common.
#[derive(Default)]
struct Wants {
    meter: Gathered,
    open: Gathered,
    blank: Gathered,
    undrawn: Gathered,
    printings: Printings,
}

/// One chart being read.
struct Chart<'a> {
    by: &'a Charting<'a>,
    table: &'a Table,
    of: ChartOf,
}

/// One cell of it.
struct Cell<'a> {
    row: &'a Row,
    tube: &'a TubeRow<'a>,
    spot: Spot,
    words: Words,
}

/// What a row states for all of its cells.
struct RowStates {
    meter: Result<DefaultMeter<ManualMeter>, Reported>,
    range: Result<Option<f64>, Reported>,
    note: String,
    /// The first fault of what it states, which costs every cell.
    fault: Option<String>,
}

/// Reads a chart; its points and entries are added to those of the manual's table.
pub(crate) fn read_pin_chart(
    by: &Charting<'_>,
    id: SourceId,
    of: ChartOf,
    manual: &mut Manual,
    out: &mut Vec<Diagnostic>,
) {
    let Some(table) = read_table(by.sources, id, &LAYOUT, out) else {
        manual.whole = false;
        return;
    };
    let chart = Chart {
        by,
        table: &table,
        of,
    };
    let mut wants = Wants::default();
    let mut tubes: Vec<TubeRow> = Vec::new();
    let mut known: HashMap<String, usize> = HashMap::new();
    for row in &table.rows {
        let before = out.len();
        match chart.tube(row, (&tubes, &known), out) {
            Ok(tube) => {
                chart.row(row, &tube, manual, &mut wants, out);
                known.insert(tube.name.to_lowercase(), tubes.len());
                tubes.push(tube);
            }
            Err(Reported) => {
                manual.whole = false;
                let reason = cost_a_row(out, before).map(|fault| fault.message.clone());
                let name = table.words(row, "tube").text;
                manual.left_out.push(LeftOutRow {
                    what: match name.as_str() {
                        "" => "a row without a tube".to_owned(),
                        name => format!("a row of tube '{name}'"),
                    },
                    reason: reason.or_else(|| row.spoiled.clone()).unwrap_or_default(),
                    origin: chart.origin_of(row),
                });
            }
        }
    }
    chart.tell(&wants, out);
}

impl<'a> Chart<'a> {
    /// The tube of a row, which no row before may have.
    fn tube(
        &self,
        row: &Row,
        (before, known): (&[TubeRow<'a>], &HashMap<String, usize>),
        out: &mut Vec<Diagnostic>,
    ) -> Result<TubeRow<'a>, Reported> {
        let words = self.table.words(row, "tube");
        if words.is_blank() {
            if row.spoiled.is_none() {
                let message = "column 'tube': the row has no tube";
                let help = "write its designation as in the netlist, such as `V1`";
                out.push(Diagnostic::error(words.span, message).help(help));
            }
            return Err(Reported);
        }
        let type_words = self.table.words(row, "type");
        let circuit = self.by.desk.circuit.circuit();
        let tube = TubeRow::new(words, type_words, circuit, self.by.own);
        let first = known.get(&tube.name.to_lowercase());
        if let Some(first) = first.and_then(|index| before.get(*index)) {
            let message = format!("tube '{}' stands here a second time", tube.name);
            let error = Diagnostic::error(tube.span.clone(), message);
            let help = "put all pins of a tube into one row";
            out.push(error.related(first.span.clone(), "first here").help(help));
            return Err(Reported);
        }
        tube.doubt_type(out);
        Ok(tube)
    }

    /// Meter, range and note of a row.
    fn states(&self, row: &Row, tube: &TubeRow<'_>, out: &mut Vec<Diagnostic>) -> RowStates {
        let before = out.len();
        let what = |column: &str| format!("column '{column}', row of tube '{}'", tube.name);
        let meter = self.table.words(row, "meter");
        let range_words = self.table.words(row, "range");
        let (named, stated) = match row.spoiled {
            Some(_) => (false, false),
            None => (!meter.is_blank(), !range_words.is_blank()),
        };
        let meter = match named {
            true => self
                .by
                .desk
                .meter(&meter, &what("meter"), find_manual_meter, out)
                .map(DefaultMeter::Known),
            false => Ok(self.by.defaults.meter.clone()),
        };
        let range = match stated {
            true => values::positive(&range_words, &what("range"), Unit::Volt, out).map(Some),
            false => Ok(None),
        };
        let fault = cost_a_row(out, before).map(|fault| fault.message.clone());
        let unread = || "its meter could not be read".to_owned();
        RowStates {
            fault: fault.or_else(|| meter.is_err().then(unread)),
            meter,
            range,
            note: self.table.words(row, "note").text,
        }
    }

    fn row(
        &self,
        row: &Row,
        tube: &TubeRow<'_>,
        manual: &mut Manual,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) {
        let states = self.states(row, tube, out);
        let mut valued = false;
        for spot in self.table.spots() {
            let words = self.table.words(row, &spot.column());
            let cell = Cell {
                row,
                tube,
                spot,
                words,
            };
            let before = out.len();
            let read = match &row.spoiled {
                Some(_) => Err(Reported),
                None => read_cell(&cell.words, &cell.what(), self.of, out),
            };
            let at_a_pin = matches!(cell.spot, Spot::Pin(_));
            valued |= at_a_pin && matches!(read, Ok(PinCell::Value(..)));
            let spoiled = row.spoiled.as_ref().filter(|_| !cell.words.is_blank());
            let reason = match self.cell(&cell, read, &states, manual, wants, out) {
                Ok(()) => spoiled.cloned(),
                Err(reason) => Some(reason),
            };
            let fault = cost_a_row(out, before).map(|fault| fault.message.clone());
            if let Some(reason) = fault.or(reason) {
                manual.left_out.push(LeftOutRow {
                    what: format!("point '{}'", self.label(&cell)),
                    // Who names the pin need not name its tube twice.
                    reason: reason.replace(&format!(", row of tube '{}'", cell.tube.name), ""),
                    origin: self.origin(&cell),
                });
            }
        }
        if valued {
            tube.doubt_pins(out);
        }
    }

    /// Adds what a cell says to the manual; the reason, if it has to be left out.
    fn cell(
        &self,
        cell: &Cell<'_>,
        read: Result<PinCell, Reported>,
        states: &RowStates,
        manual: &mut Manual,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) -> Result<(), String> {
        let label = self.label(cell);
        let has_value = matches!(read, Ok(PinCell::Value(..)));
        let first = manual
            .points
            .alike(&label)
            .find(|point| point.label.eq_ignore_ascii_case(&label));
        if let Some(first) = first {
            if has_value {
                let message = format!("{}: point '{label}' is stated twice", cell.what());
                let help = "leave one of them out, or give the row in the manual's table \
                            another label";
                out.push(
                    Diagnostic::error(cell.words.span.clone(), message)
                        .related(first.span.clone(), "first here")
                        .help(help),
                );
            }
            return Ok(());
        }
        let port = cell.port(self.by.desk, has_value, out);
        let quantity = match (&read, self.of) {
            (Ok(PinCell::Value(quantity, _)), _) => *quantity,
            (_, ChartOf::Volts) => Quantity::DcVolts,
            (_, ChartOf::Ohms) => Quantity::Ohms,
        };
        manual.points.push(Point {
            label: label.clone(),
            span: cell.words.span.clone(),
            quantity,
            port,
        });
        let usual = self.by.defaults.tolerance_of(quantity);
        let printed = match read {
            Ok(PinCell::Value(_, printed)) => printed,
            Ok(PinCell::Nothing(value)) => {
                self.unprinted(cell, (label, port, quantity, value), states, manual, wants);
                return Ok(());
            }
            Err(Reported) => return Ok(()),
        };
        if let Some(fault) = &states.fault {
            return Err(fault.clone());
        }
        let (Ok(stated), Ok(meter)) = (states.range, &states.meter) else {
            return Ok(());
        };
        // A row speaks for all its cells, a cell for itself.
        let range = printed.range.or(stated);
        // Heaters are seldom drawn: their volts, and the zero of their other end, are no news.
        let of_a_heater = quantity == Quantity::AcVolts || printed.figure.value == 0.0;
        if port.is_none() && !of_a_heater {
            wants.undrawn.add(cell.words.span.clone());
        }
        let meter = match meter {
            DefaultMeter::Known(meter) => meter.clone(),
            DefaultMeter::Missing => {
                wants.meter.add(cell.words.span.clone());
                return Err("no meter is stated for it".to_owned());
            }
            DefaultMeter::Faulty => return Err("the manual's meter could not be read".to_owned()),
        };
        wants.printings.note(&printed, &cell.words.span);
        manual.entries.push(ManualEntry {
            point: label,
            at: cell.at(),
            against: self.against(port),
            port,
            quantity,
            meter: meter.meter,
            meter_unknown: meter.unknown,
            range: range.or(self.by.defaults.range_of(quantity)),
            tolerance: printed.limits.or(usual),
            source: None,
            signal: Signal::default(),
            settings: Vec::new(),
            note: printed::note(&printed, quantity, &states.note),
            printed_as: printed::printed_as(&printed),
            figure: printed.figure,
            origin: self.origin(cell),
        });
        Ok(())
    }

    /// Keeps a drawn pin for which the chart prints no value. Blank cells of pins that are not
    /// drawn are nothing.
    fn unprinted(
        &self,
        cell: &Cell<'_>,
        (point, port, quantity, value): (String, Option<Port>, Quantity, NoValue),
        states: &RowStates,
        manual: &mut Manual,
        wants: &mut Wants,
    ) {
        match &value {
            NoValue::Open(_) => wants.open.add(cell.words.span.clone()),
            NoValue::Blank | NoValue::Sign(_) if port.is_none() => return,
            NoValue::Sign(sign) if says_unused(sign) => return,
            NoValue::Blank | NoValue::Sign(_) => wants.blank.add(cell.words.span.clone()),
        }
        let meter = match &states.meter {
            Ok(DefaultMeter::Known(meter)) => meter.known().cloned(),
            _ => None,
        };
        manual.unprinted.push(UnprintedEntry {
            point,
            at: cell.at(),
            against: self.against(port),
            port,
            quantity,
            value,
            meter,
            range: states
                .range
                .ok()
                .flatten()
                .or(self.by.defaults.range_of(quantity)),
            tolerance: self.by.defaults.tolerance_of(quantity),
            source: None,
            signal: Signal::default(),
            settings: Vec::new(),
            note: states.note.clone(),
            origin: self.origin(cell),
        });
    }

    fn label(&self, cell: &Cell<'_>) -> String {
        match self.of {
            ChartOf::Volts => cell.at(),
            ChartOf::Ohms => format!("{} ohms", cell.at()),
        }
    }

    fn against(&self, port: Option<Port>) -> String {
        match (port, self.by.desk.circuit.circuit()) {
            (Some(port), Some(circuit)) => circuit.node_name(port.minus).to_owned(),
            _ => self.by.desk.reference_name.to_owned(),
        }
    }

    fn origin(&self, cell: &Cell<'_>) -> Origin {
        self.origin_of(cell.row)
    }

    fn origin_of(&self, row: &Row) -> Origin {
        Origin {
            file: self.by.sources.get(row.span.source).label.clone(),
            line: self.by.sources.line_column(&row.span).0,
        }
    }

    fn tell(&self, wants: &Wants, out: &mut Vec<Diagnostic>) {
        if let Some((span, cells)) = wants.open.told_of("cell") {
            let message = format!("an open circuit has no value to carry over: {cells}");
            out.push(Diagnostic::note(span, message));
        }
        if let Some((span, cells)) = wants.blank.told_of("cell") {
            out.push(Diagnostic::note(span, format!("no value printed: {cells}")));
        }
        wants.printings.tell(out);
        if let Some((span, cells)) = wants.meter.told_of("cell") {
            let message = format!("no meter is stated for {cells}");
            let help = "write in job.toml, below [as-documented]: `meter = \"20k/V\"`, or \
                        `\"unknown\"`";
            out.push(Diagnostic::error(span, message).help(help).of_row());
        }
        self.tell_undrawn(wants.undrawn.told_of("pin"), out);
    }

    fn tell_undrawn(&self, undrawn: Option<(Span, String)>, out: &mut Vec<Diagnostic>) {
        let Some((span, pins)) = undrawn else { return };
        let netlist = self.by.desk.netlist_name;
        let message = match self.by.desk.circuit {
            Drawn::Absent => {
                format!("the job has no {netlist}: {pins} kept, but not carried over")
            }
            Drawn::Whole(_) => {
                format!("not drawn in {netlist}: {pins} kept, but not carried over")
            }
            // What seems undrawn may stand in a line that could not be read.
            Drawn::Faulty(_) => return,
        };
        out.push(Diagnostic::note(span, message));
    }
}

/// Whether a sign says that the pin leads nowhere.
fn says_unused(sign: &str) -> bool {
    let plain: String = sign
        .chars()
        .filter(|c| c.is_alphabetic())
        .flat_map(char::to_lowercase)
        .collect();
    ["nc", "ic", "noconnection", "notconnected"].contains(&plain.as_str())
}

impl Cell<'_> {
    fn what(&self) -> String {
        format!(
            "column '{}', row of tube '{}'",
            self.spot.column(),
            self.tube.name
        )
    }

    fn at(&self) -> String {
        format!("{} {}", self.tube.name, self.spot.words())
    }

    /// The pin's node and the reference; doubts are told if the cell has a value.
    fn port(&self, desk: &Desk<'_>, valued: bool, out: &mut Vec<Diagnostic>) -> Option<Port> {
        let found = self.tube.port(&self.spot, &desk.commons);
        if valued {
            let what = self.what();
            self.tube
                .doubt_pin(&self.spot, &found, (&self.words, &what), out);
        }
        found.ok()
    }
}
