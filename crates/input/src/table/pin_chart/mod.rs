//! `pin-chart.csv` and `pin-chart-ohms.csv`: a manual's socket chart, one row a tube, one column a
//! pin.
//!
//! Each cell with a value becomes a [`circuit::ManualEntry`] of the point `V1 pin 6`, or `V1 pin 6 ohms`
//! where the chart is one of resistances. A pin that is not drawn, such as a heater's, is kept
//! without a port. Meter, reference and tolerance are the job's.

mod entry;

use std::collections::HashMap;

use circuit::{LeftOutRow, Origin, Port, Quantity, TubeType};
use units::Unit;

use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::meters::{find_manual_meter, ManualMeter};
use crate::source::{SourceId, Sources};
use crate::table::columns::{Layout, Numbered, Spot};
use crate::table::gathered::Wants;
use crate::table::manual::{Manual, RowDefaults};
use crate::table::pin_cell::{read_cell, ChartOf, PinCell};
use crate::table::read_context::{DefaultMeter, Drawn, ReadContext};
use crate::table::row::{read_table, Row, Table};
use crate::table::tube_row::TubeRow;
use crate::values::Reported;
use crate::words::Words;

const LAYOUT: Layout = Layout {
    known: &["tube", "type", "meter", "range", "note"],
    needed: &["tube"],
    replaceable: None,
    numbered: Numbered::Pins,
};

/// What a chart is read against.
pub(crate) struct Charting<'a> {
    pub sources: &'a Sources,
    /// Circuit, reference and meters.
    pub context: &'a ReadContext<'a>,
    /// Meter and tolerance of every cell.
    pub defaults: &'a RowDefaults,
    /// Tube types of the job's own.
    pub own: &'a [TubeType],
}

struct Chart<'a> {
    by: &'a Charting<'a>,
    table: &'a Table,
    of: ChartOf,
}

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

impl RowStates {
    /// The row's range for one of its cells. A manual states the range of its direct volts; a heater
    /// is read on another.
    fn range_of(&self, quantity: Quantity) -> Option<f64> {
        let stated = self.range.ok().flatten();
        stated.filter(|_| quantity == Quantity::DcVolts)
    }
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
                let reason = cost_a_row(out, before);
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
    let help = "write in job.toml, below [as-documented]: `meter = \"20k/V\"`, or `\"unknown\"`";
    wants.tell("cell", Some(help), out);
    chart.tell_undrawn(&wants, out);
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
        let circuit = self.by.context.circuit.circuit();
        let tube = TubeRow::new(words, type_words, circuit, self.by.own);
        let first = known.get(&tube.name.to_lowercase());
        if let Some(first) = first.and_then(|index| before.get(*index)) {
            let message = format!("tube '{}' stands here a second time", tube.name);
            let error = Diagnostic::error(tube.span.clone(), message);
            let error = error.related(first.span.clone(), "first here");
            let help = "put all pins of a tube into one row";
            return Err(error.help(help).report(out));
        }
        tube.doubt_type(out);
        Ok(tube)
    }

    fn states(&self, row: &Row, tube: &TubeRow<'_>, out: &mut Vec<Diagnostic>) -> RowStates {
        let before = out.len();
        let meter = self.words(row, tube, "meter");
        let range_words = self.words(row, tube, "range");
        let (named, stated) = match row.spoiled {
            Some(_) => (false, false),
            None => (!meter.is_blank(), !range_words.is_blank()),
        };
        let meter = match named {
            true => self
                .by
                .context
                .meter(&meter, find_manual_meter, out)
                .map(DefaultMeter::Known),
            false => Ok(self.by.defaults.meter.clone()),
        };
        let range = match (stated, self.of) {
            (false, _) => Ok(None),
            (true, ChartOf::Volts) => range_words.positive(Unit::Volt, out).map(Some),
            (true, ChartOf::Ohms) => {
                out.push(range_words.note("a range is used with volts only"));
                Ok(None)
            }
        };
        let fault = cost_a_row(out, before);
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
            let words = self.words(row, tube, &spot.column());
            let cell = Cell {
                row,
                tube,
                spot,
                words,
            };
            let before = out.len();
            let read = match &row.spoiled {
                Some(_) => Err(Reported),
                None => read_cell(&cell.words, self.of, out),
            };
            let at_a_pin = matches!(cell.spot, Spot::Pin(_));
            valued |= at_a_pin && matches!(read, Ok(PinCell::Value(..)));
            let spoiled = row.spoiled.as_ref().filter(|_| !cell.words.is_blank());
            let reason = match self.cell(&cell, read, &states, manual, wants, out) {
                Ok(()) => spoiled.cloned(),
                Err(reason) => Some(reason),
            };
            let fault = cost_a_row(out, before);
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

    /// The words in a column of a tube's row.
    fn words(&self, row: &Row, tube: &TubeRow<'_>, column: &str) -> Words {
        let what = format!("column '{column}', row of tube '{}'", tube.name);
        self.table.words(row, column).named(what)
    }

    fn tell_undrawn(&self, wants: &Wants, out: &mut Vec<Diagnostic>) {
        let netlist = self.by.context.netlist_name;
        let undrawn = match self.by.context.circuit {
            Drawn::Absent => format!("the job has no {netlist}"),
            Drawn::Whole(_) => format!("not drawn in {netlist}"),
            // What seems undrawn may stand in a line that could not be read.
            Drawn::Faulty(_) => return,
        };
        let told = wants.place.told_of("pin");
        out.extend(told.map(|(span, pins)| {
            let message = format!("{undrawn}: {pins} kept, but not carried over");
            Diagnostic::note(span, message)
        }));
    }

    fn label(&self, cell: &Cell<'_>) -> String {
        match self.of {
            ChartOf::Volts => cell.at(),
            ChartOf::Ohms => format!("{} ohms", cell.at()),
        }
    }

    fn against(&self, port: Option<Port>) -> String {
        match (port, self.by.context.circuit.circuit()) {
            (Some(port), Some(circuit)) => circuit.node_name(port.minus).to_owned(),
            _ => self.by.context.reference_name.to_owned(),
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
}
