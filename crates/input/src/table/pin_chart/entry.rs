//! A cell of a chart as an entry of the manual, or as a row without a value.

use circuit::{ManualEntry, NoValue, Port, Quantity, Signal, UnprintedEntry};

use super::{Cell, Chart, RowStates};
use crate::diagnostic::Diagnostic;
use crate::meters::ManualMeter;
use crate::table::gathered::Wants;
use crate::table::manual::{Manual, Point};
use crate::table::pin_cell::{ChartOf, PinCell};
use crate::table::place;
use crate::table::printed;
use crate::table::read_context::{DefaultMeter, Drawn, ReadContext};
use crate::values::Reported;

/// A value of a point that has one already.
fn twice(cell: &Cell<'_>, label: &str, first: &Point) -> Diagnostic {
    let help = "leave one of them out, or give the row in the manual's table another label";
    let error = cell.words.error(format!("point '{label}' is stated twice"));
    error.related(first.span.clone(), "first here").help(help)
}

/// The meter of a cell; or why the cell is left out.
fn known_meter(
    meter: &DefaultMeter<ManualMeter>,
    cell: &Cell<'_>,
    wants: &mut Wants,
) -> Result<ManualMeter, String> {
    match meter {
        DefaultMeter::Known(meter) => Ok(meter.clone()),
        DefaultMeter::Missing => {
            wants.meter.add(cell.words.span.clone());
            Err("no meter is stated for it".to_owned())
        }
        DefaultMeter::Faulty => Err("the manual's meter could not be read".to_owned()),
    }
}

impl Chart<'_> {
    /// Adds what a cell says to the manual; the reason, if it has to be left out.
    pub(super) fn cell(
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
        let same = |point: &&Point| point.label.eq_ignore_ascii_case(&label);
        if let Some(first) = manual.points.alike(&label).find(same) {
            out.extend(has_value.then(|| twice(cell, &label, first)));
            return Ok(());
        }
        let port = cell.port(self.by.context, has_value, out);
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
        let (Ok(_), Ok(meter)) = (states.range, &states.meter) else {
            return Ok(());
        };
        // A row speaks for all its direct volts, a cell for itself.
        let range = printed.range.or(states.range_of(quantity));
        // Heaters are seldom drawn: their volts, and the zero of their other end, are no news.
        let of_a_heater = quantity == Quantity::AcVolts || printed.figure.value == 0.0;
        if port.is_none() && !of_a_heater {
            wants.place.add(cell.words.span.clone());
        }
        let meter = known_meter(meter, cell, wants)?;
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
            NoValue::Blank | NoValue::NotListed | NoValue::Sign(_) if port.is_none() => return,
            NoValue::Sign(sign) if says_unused(sign) => return,
            NoValue::Blank | NoValue::NotListed | NoValue::Sign(_) => {
                wants.value.add(cell.words.span.clone());
            }
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
                .range_of(quantity)
                .or(self.by.defaults.range_of(quantity)),
            tolerance: self.by.defaults.tolerance_of(quantity),
            source: None,
            signal: Signal::default(),
            settings: Vec::new(),
            note: states.note.clone(),
            origin: self.origin(cell),
        });
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
    pub(super) fn at(&self) -> String {
        format!("{} {}", self.tube.name, self.spot.words())
    }

    /// The pin's node and the reference; doubts are told if the cell has a value and the netlist was read completely.
    fn port(
        &self,
        context: &ReadContext<'_>,
        valued: bool,
        out: &mut Vec<Diagnostic>,
    ) -> Option<Port> {
        let found = self.tube.port(&self.spot, &context.commons);
        if valued && !matches!(context.circuit, Drawn::Faulty(_)) {
            self.tube.doubt_pin(&self.spot, &found, &self.words, out);
            if let (Ok(port), Some(circuit)) = (&found, context.circuit.circuit()) {
                place::doubt_volts_on_one_node(circuit, *port, &self.words, out);
            }
        }
        found.ok()
    }
}
