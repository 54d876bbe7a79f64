//! `pin-chart.csv` and `pin-chart-ohms.csv`: a manual's socket chart, one row a tube, one column a
//! pin.
//!
//! Each cell with a value becomes a [`ManualEntry`] of the point `V1 pin 6`, or `V1 pin 6 ohms`
//! where the chart is one of resistances. A pin that is not drawn, such as a heater's, is kept
//! without a port. Meter, reference and tolerance are the job's.

use circuit::{ManualEntry, Origin, Port, Quantity, TubeType};

use crate::diagnostic::Diagnostic;
use crate::source::{SourceId, Sources, Span};
use crate::table::columns::{read_table, Layout, Numbered, Row, Table};
use crate::table::desk::{DefaultMeter, Desk, Drawn};
use crate::table::gathered::Gathered;
use crate::table::manual::{Manual, Point, RowDefaults};
use crate::table::pin_cell::{read_cell, ChartOf, PinCell};
use crate::table::tube_row::TubeRow;
use crate::values::Reported;
use crate::words::Words;

const LAYOUT: Layout = Layout {
    known: &["tube", "type", "note"],
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
    undrawn: Gathered,
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
    pin: u8,
    words: Words,
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
    for row in &table.rows {
        match chart.tube(row, &tubes, out) {
            Ok(tube) => {
                chart.row(row, &tube, manual, &mut wants, out);
                tubes.push(tube);
            }
            Err(Reported) => manual.whole = false,
        }
    }
    chart.tell(&wants, out);
}

impl<'a> Chart<'a> {
    /// The tube of a row, which no row before may have.
    fn tube(
        &self,
        row: &Row,
        before: &[TubeRow<'a>],
        out: &mut Vec<Diagnostic>,
    ) -> Result<TubeRow<'a>, Reported> {
        let words = self.table.words(row, "tube");
        if words.is_blank() {
            if !row.spoiled {
                let message = "column 'tube': the row has no tube";
                let help = "write its designation as in the netlist, such as `V1`";
                out.push(Diagnostic::error(words.span, message).help(help));
            }
            return Err(Reported);
        }
        let type_words = self.table.words(row, "type");
        let circuit = self.by.desk.circuit.circuit();
        let tube = TubeRow::new(words, type_words, circuit, self.by.own);
        if let Some(first) = before.iter().find(|other| other.is_same(&tube)) {
            let message = format!("tube '{}' stands here a second time", tube.name);
            let error = Diagnostic::error(tube.span.clone(), message);
            let help = "put all pins of a tube into one row";
            out.push(error.related(first.span.clone(), "first here").help(help));
            return Err(Reported);
        }
        tube.doubt_type(out);
        Ok(tube)
    }

    fn row(
        &self,
        row: &Row,
        tube: &TubeRow<'_>,
        manual: &mut Manual,
        wants: &mut Wants,
        out: &mut Vec<Diagnostic>,
    ) {
        let mut valued = false;
        for pin in self.table.pins() {
            let words = self.table.words(row, &pin.to_string());
            let cell = Cell {
                row,
                tube,
                pin,
                words,
            };
            let read = match row.spoiled {
                true => Err(Reported),
                false => read_cell(&cell.words, &cell.what(), self.of, out),
            };
            let value = match read {
                Ok(PinCell::Value(quantity, figure)) => Some((quantity, figure)),
                Ok(PinCell::Open) => {
                    wants.open.add(cell.words.span.clone());
                    None
                }
                Ok(PinCell::Nothing) | Err(Reported) => None,
            };
            valued |= value.is_some();
            let label = self.label(&cell);
            let first = manual
                .points
                .alike(&label)
                .find(|point| point.label.eq_ignore_ascii_case(&label));
            match (first, &value) {
                (Some(_), None) => continue,
                (Some(first), Some(_)) => {
                    let message = format!("{}: point '{label}' is stated twice", cell.what());
                    let help = "leave one of them out, or give the row in the manual's table \
                                another label";
                    out.push(
                        Diagnostic::error(cell.words.span.clone(), message)
                            .related(first.span.clone(), "first here")
                            .help(help),
                    );
                    continue;
                }
                (None, _) => {}
            }
            let port = cell.port(self.by.desk, value.is_some(), out);
            manual.points.push(Point {
                label: label.clone(),
                span: cell.words.span.clone(),
                quantity: match (&value, self.of) {
                    (Some((quantity, _)), _) => *quantity,
                    (None, ChartOf::Volts) => Quantity::DcVolts,
                    (None, ChartOf::Ohms) => Quantity::Ohms,
                },
                port,
            });
            let Some((quantity, figure)) = value else {
                continue;
            };
            // Heaters are seldom drawn: their volts, and the zero of their other end, are no news.
            let of_a_heater = quantity == Quantity::AcVolts || figure.value == 0.0;
            if port.is_none() && !of_a_heater {
                wants.undrawn.add(cell.words.span.clone());
            }
            let meter = match &self.by.defaults.meter {
                DefaultMeter::Known(meter) => meter.clone(),
                DefaultMeter::Missing => {
                    wants.meter.add(cell.words.span.clone());
                    continue;
                }
                DefaultMeter::Faulty => continue,
            };
            manual.entries.push(ManualEntry {
                point: label,
                at: cell.at(),
                against: self.against(port),
                port,
                quantity,
                figure,
                meter: meter.meter,
                meter_unknown: meter.unknown,
                range: None,
                tolerance: self.by.defaults.tolerance_of(quantity),
                source: None,
                settings: Vec::new(),
                note: self.table.words(row, "note").text,
                origin: self.origin(&cell),
            });
        }
        if valued {
            tube.doubt_pins(out);
        }
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
        let span = &cell.row.span;
        Origin {
            file: self.by.sources.get(span.source).label.clone(),
            line: self.by.sources.line_column(span).0,
        }
    }

    fn tell(&self, wants: &Wants, out: &mut Vec<Diagnostic>) {
        if let Some((span, cells)) = wants.open.told_of("cell") {
            let message = format!("an open circuit has no value to carry over: {cells} left out");
            out.push(Diagnostic::note(span, message));
        }
        if let Some((span, cells)) = wants.meter.told_of("cell") {
            let message = format!("no meter is stated for {cells}");
            let help = "write in job.toml, below [as-documented]: `meter = \"20k/V\"`, or \
                        `\"unknown\"`";
            out.push(Diagnostic::error(span, message).help(help));
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

impl Cell<'_> {
    fn what(&self) -> String {
        format!("column '{}', row of tube '{}'", self.pin, self.tube.name)
    }

    fn at(&self) -> String {
        format!("{} pin {}", self.tube.name, self.pin)
    }

    /// The pin's node and the reference; doubts are told if the cell has a value.
    fn port(&self, desk: &Desk<'_>, valued: bool, out: &mut Vec<Diagnostic>) -> Option<Port> {
        let found = self.tube.port(self.pin, &desk.commons);
        if valued {
            let what = self.what();
            self.tube
                .doubt_pin(self.pin, &found, (&self.words, &what), out);
        }
        found.ok()
    }
}
