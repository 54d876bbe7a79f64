//! Readings of places that the manual does not have: what was measured there, and a row for it.
//!
//! A row of `readings.csv` comes in; its quantity and settings go out, and for a resistance, a current, alternating
//! volts, or a reading with settings of its own a row like one of the manual that prints no value, so that the drawing
//! says what to expect. Other direct volts need no such row.

use circuit::{Meter, NoValue, Port, Quantity, Setting, Signal, UnprintedEntry};
use units::{parse_cell, CellContent, Unit};

use crate::diagnostic::Diagnostic;
use crate::table::manual::{Manual, Point};
use crate::table::place;
use crate::table::row::RowReader;
use crate::values::Reported;

impl RowReader<'_> {
    /// What a reading is of: what its point is of, else what is written, else what its own unit says.
    pub(super) fn quantity_read(
        &self,
        point: Option<&Point>,
        known: Option<&UnprintedEntry>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Quantity, Reported> {
        let stated = match self.filled("quantity") {
            Some(_) => Some(self.quantity(out)?),
            None => None,
        };
        let listed = point.map(|point| point.quantity);
        let listed = listed.or(known.map(|row| row.quantity));
        match (listed, stated) {
            (Some(listed), Some(stated)) if listed != stated => {
                let message = format!("point '{}' is one of '{}'", self.label, listed.name());
                let help = "a reading of another quantity needs a label of its own";
                let error = self.words("quantity").error(message);
                Err(error.help(help).report(out))
            }
            (Some(listed), _) => Ok(listed),
            (None, Some(stated)) => Ok(stated),
            (None, None) if self.says_ohms() => Ok(Quantity::Ohms),
            (None, None) => Ok(Quantity::default()),
        }
    }

    /// Whether the cell states ohms by its own unit.
    fn says_ohms(&self) -> bool {
        let text = self.words("reading").text;
        let is_value = |place| matches!(parse_cell(&text, place), Ok(CellContent::Value(_)));
        is_value(Unit::Ohm) && !is_value(Unit::Volt)
    }

    /// Refuses an overrange at a place of its own of which nobody says what was measured: it may be volts or
    /// ohms, and as volts it would accuse the set.
    pub(super) fn unclear_overrange(&self, out: &mut Vec<Diagnostic>) -> Result<(), Reported> {
        if self.filled("quantity").is_some() || self.filled("range").is_some() {
            return Ok(());
        }
        let error = self
            .words("reading")
            .error("an overrange of volts or of ohms?");
        let help =
            "write `ohm` in the column 'quantity', or the range of the volts in the column 'range'";
        Err(error.help(help).report(out))
    }

    /// Refuses volts above every range of the meter at a place of its own: `631k` may be ohms.
    pub(super) fn beyond_meter(
        &self,
        (volts, most): (f64, f64),
        out: &mut Vec<Diagnostic>,
    ) -> Result<(), Reported> {
        if volts.abs() <= most {
            return Ok(());
        }
        let message = "more volts than any range of this meter shows";
        let error = self.words("reading").error(message);
        let help = "for a resistance write `ohm` in the column 'quantity'";
        Err(error.help(help).report(out))
    }

    /// The settings of a reading: those of its point, or for a place of its own what is written.
    pub(super) fn settings_read(
        &self,
        quantity: Quantity,
        (manual, known): (&Manual, Option<&UnprintedEntry>),
        point: Option<&Point>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Vec<Setting>, Reported> {
        let stated = self.settings(Ok(quantity), out)?;
        let printed = point.and_then(|point| manual.settings_of(&point.label));
        let (who, listed) = match (printed, known) {
            (Some(listed), _) => ("the manual reads", listed),
            (None, Some(row)) => ("the first reading has", row.settings.as_slice()),
            (None, None) if stated.is_empty() || self.is_placed() => return Ok(stated),
            (None, None) => {
                let error = self
                    .words("setting")
                    .error("the place of this reading is not stated");
                let help = "state it under 'at'";
                return Err(error.help(help).report(out));
            }
        };
        if self.filled("setting").is_none() || stated == listed {
            return Ok(listed.to_vec());
        }
        let message = format!("{who} '{}' with other settings", self.label);
        let help =
            "a reading with settings of its own needs a label of its own, and its place under 'at'";
        let error = self.words("setting").error(message);
        Err(error.help(help).report(out))
    }

    /// The row that stands for a reading of something else than direct volts of the set as it stands.
    pub(super) fn own_row(
        &self,
        (quantity, settings): (Quantity, Vec<Setting>),
        port: Port,
        meter: &Meter,
    ) -> Option<UnprintedEntry> {
        let usual = quantity == Quantity::DcVolts && settings.is_empty();
        (!usual).then(|| UnprintedEntry {
            point: self.label.clone(),
            at: self.words("at").text,
            against: place::against(self, Some(port)),
            port: Some(port),
            quantity,
            value: NoValue::NotListed,
            // Nothing is printed that another meter could have read.
            meter: Some(meter.clone()),
            range: None,
            tolerance: None,
            source: None,
            signal: Signal::default(),
            settings,
            note: String::new(),
            origin: self.origin(),
        })
    }
}
