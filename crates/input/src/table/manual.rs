//! `manual.csv`: the manual's test-point table.
//!
//! Rows come in, [`ManualEntry`] values go out. A row without a value is left out with a note:
//! manuals leave grids blank.

use std::collections::HashMap;

use circuit::{LeftOutRow, ManualEntry, Port, Quantity, Setting, UnprintedEntry};
use units::Tolerance;

use crate::diagnostic::{cost_a_row, Diagnostic};
use crate::meters::ManualMeter;
use crate::source::{SourceId, Sources, Span};
use crate::table::columns::{Layout, Numbered};
use crate::table::decibel::DecibelZero;
use crate::table::gathered::Wants;
use crate::table::read_context::{DefaultMeter, ReadContext};
use crate::table::row::{is_volts, read_table, RowReader};
use crate::values::Reported;

const LAYOUT: Layout = Layout {
    known: &[
        "point",
        "at",
        "against",
        "quantity",
        "value",
        "meter",
        "range",
        "tolerance",
        "source",
        "freq",
        "wave",
        "setting",
        "note",
    ],
    needed: &["point", "at", "value"],
    replaceable: Some(("at", "source")),
    numbered: Numbered::No,
};

/// The content of a row.
pub(super) enum Row {
    /// A row with a printed value.
    Valued(Box<ManualEntry>),
    /// A row without a printed value.
    Unprinted(Box<UnprintedEntry>),
}

/// A point that the manual names, whether or not its row could be kept.
pub(crate) struct Point {
    pub label: String,
    pub span: Span,
    pub quantity: Quantity,
    pub port: Option<Port>,
}

/// Points in the order of the manual, found by their labels.
#[derive(Default)]
pub(crate) struct Points {
    list: Vec<Point>,
    places: HashMap<String, Vec<usize>>,
}

impl Points {
    pub fn push(&mut self, point: Point) {
        let places = self.places.entry(point.label.to_lowercase()).or_default();
        places.push(self.list.len());
        self.list.push(point);
    }

    /// The points with this label, ignoring case.
    pub fn alike(&self, label: &str) -> impl Iterator<Item = &Point> {
        let places = self.places.get(&label.to_lowercase());
        places.into_iter().flatten().map(|place| &self.list[*place])
    }

    pub fn labels(&self) -> impl Iterator<Item = &str> {
        self.list.iter().map(|point| point.label.as_str())
    }
}

/// The content of a manual.
#[derive(Default)]
pub(crate) struct Manual {
    pub entries: Vec<ManualEntry>,
    /// Every point named.
    pub points: Points,
    /// Rows that print no value.
    pub unprinted: Vec<UnprintedEntry>,
    /// Rows and cells that could not be read.
    pub left_out: Vec<LeftOutRow>,
    /// Whether every row's label could be read.
    pub whole: bool,
}

impl Manual {
    /// The settings of a point, if its row could be kept.
    pub fn settings_of(&self, label: &str) -> Option<&[Setting]> {
        let mut printed = self.entries.iter();
        let printed = printed.find(|entry| entry.point == label);
        let mut unprinted = self.unprinted.iter();
        let unprinted = unprinted.find(|entry| entry.point == label);
        let printed = printed.map(|entry| entry.settings.as_slice());
        printed.or(unprinted.map(|entry| entry.settings.as_slice()))
    }
}

/// Defaults of rows that leave a cell blank.
pub(crate) struct RowDefaults {
    pub meter: DefaultMeter<ManualMeter>,
    pub tolerance: Option<Tolerance>,
    /// Full scale in volts of the range on which the whole sheet was read.
    pub range: Option<f64>,
    /// What 0 dB stands for, if stated.
    pub decibel_zero: Option<DecibelZero>,
}

impl RowDefaults {
    /// The meter of a row that states none, if there is one.
    pub fn known_meter(&self) -> Option<&ManualMeter> {
        match &self.meter {
            DefaultMeter::Known(meter) => Some(meter),
            DefaultMeter::Missing | DefaultMeter::Faulty => None,
        }
    }

    /// The range of a row that states none.
    pub fn range_of(&self, quantity: Quantity) -> Option<f64> {
        self.range.filter(|_| quantity == Quantity::DcVolts)
    }

    /// The tolerance of a row that states none. A percentage applies to every quantity; the job's
    /// other tolerances are in volts.
    pub fn tolerance_of(&self, quantity: Quantity) -> Option<Tolerance> {
        self.tolerance
            .filter(|default| matches!(default, Tolerance::Percent(_)) || is_volts(quantity))
    }
}

pub(crate) fn read_manual(
    sources: &Sources,
    id: SourceId,
    context: &ReadContext<'_>,
    defaults: &RowDefaults,
    out: &mut Vec<Diagnostic>,
) -> Manual {
    let Some(table) = read_table(sources, id, &LAYOUT, out) else {
        return Manual::default();
    };
    let mut manual = Manual {
        whole: true,
        ..Manual::default()
    };
    let mut wants = Wants::default();
    for row in &table.rows {
        let reader = RowReader::new(sources, context, &table, row);
        manual.whole &= !reader.label.is_empty();
        if let Some(reason) = &row.spoiled {
            manual.points.push(reader.point(None));
            manual.left_out.push(reader.left_out("point", reason));
            continue;
        }
        let before = out.len();
        let labelled = reader.check_label(&manual.points, out);
        let mut point = reader.point(None);
        let read = reader.entry(&mut point, defaults, &mut wants, out);
        if labelled.is_ok() {
            manual.points.push(point);
        }
        let fault = cost_a_row(out, before);
        match (fault, read) {
            (None, Ok(Row::Valued(entry))) => manual.entries.push(*entry),
            (None, Ok(Row::Unprinted(entry))) => manual.unprinted.push(*entry),
            (fault, _) => {
                let reason = fault.unwrap_or_else(|| reader.why_reported(defaults));
                manual.left_out.push(reader.left_out("point", &reason));
            }
        }
    }
    let help = "fill in the column 'meter', or write in job.toml, below [as-documented]: \
                `meter = \"20k/V\"`, or `\"unknown\"`";
    let unmetered = defaults.meter == DefaultMeter::Missing;
    wants.tell("row", unmetered.then_some(help), out);
    if let Some((span, rows)) = wants.place.told() {
        let netlist = context.netlist_name;
        let message = format!("the job has no {netlist}, and no ohms are stated for {rows}");
        let help = "draw the circuit round the point, or state the ohms seen there in the column \
                    'source'";
        out.push(Diagnostic::error(span, message).help(help).of_row());
    }
    manual
}

impl RowReader<'_> {
    fn point(&self, port: Option<Port>) -> Point {
        Point {
            label: self.label.clone(),
            span: self.words("point").span,
            quantity: Quantity::default(),
            port,
        }
    }

    /// Why a row without a fault of its own could not be used.
    fn why_reported(&self, defaults: &RowDefaults) -> String {
        let own_meter = self.filled("meter").map(|words| words.text);
        match own_meter {
            Some(name) if self.context.is_faulty(&name) => {
                format!("its meter '{name}' could not be read")
            }
            None if defaults.meter == DefaultMeter::Missing => "no meter is stated for it".into(),
            None if defaults.meter == DefaultMeter::Faulty => {
                "the manual's meter could not be read".into()
            }
            _ => "it is neither drawn nor has it a source".into(),
        }
    }

    fn check_label(&self, before: &Points, out: &mut Vec<Diagnostic>) -> Result<(), Reported> {
        let words = self.words("point");
        if self.label.is_empty() {
            let error = words.error("the point has no label");
            return Err(error.help("write the manual's own label").report(out));
        }
        let mut alike = before.alike(&self.label);
        if let Some(first) = alike.find(|point| point.label == self.label) {
            let message = format!("point '{}' stands here a second time", self.label);
            let help = "give each row its own label, such as `3 ac` for the same place's ac volts";
            let error = Diagnostic::error(words.span, message);
            let error = error.related(first.span.clone(), "first here");
            return Err(error.help(help).report(out));
        }
        Ok(())
    }
}
