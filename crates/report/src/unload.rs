//! Source resistance and true volts from readings of one point, as a report.

use translate::{LoadedReading, UnloadWarning, Unloaded};
use units::Unit;

use crate::csv_text::{maybe, number, CsvTable};
use crate::document::Block;
use crate::figures;
use crate::table::{Align, Cell, Column, Table};

/// Coverage factor of the 95 % shown: many small inputs, so that of a normal distribution.
pub(crate) const FACTOR: f64 = 1.96;

/// What was read, and what it tells.
#[derive(Clone, Copy, Debug)]
pub struct UnloadView<'a> {
    /// The readings.
    pub readings: &'a [LoadedReading],
    /// For each whether its range was assumed.
    pub assumed: &'a [bool],
    /// What they tell.
    pub found: &'a Unloaded,
}

/// The most that the source resistance may be, in ohms; where it is not told from none.
pub(crate) fn at_most(found: &Unloaded) -> Option<f64> {
    found.warnings.iter().find_map(|warning| match warning {
        UnloadWarning::AtMost(ohms) => Some(*ohms),
        _ => None,
    })
}

/// What stands in the column `source` of a manual's table.
fn source_cell(found: &Unloaded) -> Option<String> {
    let text = match found.ohms {
        ohms if ohms >= 1e6 => figures::short(ohms / 1e6, 3) + "M",
        ohms if ohms >= 1e3 => figures::short(ohms / 1e3, 3) + "k",
        ohms => figures::short(ohms, 3),
    };
    (found.ohms > 0.0).then_some(text)
}

pub(crate) fn blocks(view: &UnloadView<'_>) -> Vec<Block> {
    let found = view.found;
    let mut lines = Vec::new();
    let at_most = at_most(found);
    lines.push(match at_most {
        Some(most) => format!(
            "Source resistance: not distinguishable from zero; at most {} (95 %).",
            figures::ohms(most)
        ),
        None => format!(
            "Source resistance: {} (95 %).",
            ohms_with_uncertainty(found.ohms, FACTOR * found.ohms_standard)
        ),
    });
    let decimals = two_digits(FACTOR * found.volts_standard);
    lines.push(format!(
        "True volts, without a meter: {} ± {} V (95 %).",
        figures::decimal(found.volts, decimals),
        figures::decimal(FACTOR * found.volts_standard, decimals)
    ));
    if let (None, Some(cell)) = (at_most, source_cell(found)) {
        lines.push(format!(
            "For the manual's table: `{cell}` in the column `source` of this point."
        ));
    }
    let mut notes: Vec<String> = found.warnings.iter().map(warning_words).collect();
    notes.push(
        "The uncertainty includes the permitted errors of the meters and the last digits read. The \
         point is assumed to be linear; near the knee of a tube or a junction it is not."
            .to_owned(),
    );
    notes.push(
        "The point is live while it is read: one hand, insulated clips, no touching of bare leads."
            .to_owned(),
    );
    vec![
        Block::Title("One point, read with different loads".to_owned()),
        Block::Lines(lines),
        Block::Table(table(view)),
        Block::Lines(notes),
    ]
}

/// Ohms and their expanded uncertainty with one prefix: `2.17 ± 0.48 MΩ`.
fn ohms_with_uncertainty(ohms: f64, expanded: f64) -> String {
    let (scale, unit) = match ohms {
        ohms if ohms >= 1e6 => (1e6, "MΩ"),
        ohms if ohms >= 1e3 => (1e3, "kΩ"),
        _ => (1.0, "Ω"),
    };
    let decimals = two_digits(expanded / scale);
    format!(
        "{} ± {} {unit}",
        figures::decimal(ohms / scale, decimals),
        figures::decimal(expanded / scale, decimals)
    )
}

/// Decimals that leave two digits of an uncertainty.
fn two_digits(uncertainty: f64) -> usize {
    if !(uncertainty > 0.0 && uncertainty.is_finite()) {
        return 3;
    }
    let decade = uncertainty.log10().floor();
    (1.0 - decade).clamp(0.0, 6.0) as usize
}

fn table(view: &UnloadView<'_>) -> Table {
    let rows = view.readings.iter().zip(&view.found.fitted).enumerate();
    Table {
        columns: vec![
            Column::new("reading", "V", Align::Decimal),
            Column::new("meter", "", Align::Left),
            Column::new("range", "", Align::Right),
            Column::new("loads with", "", Align::Right),
            Column::new("its error", "±V", Align::Decimal),
            Column::new("fits", "V", Align::Decimal),
        ],
        rows: rows
            .map(|(at, (reading, (fitted, standard)))| {
                let assumed = view.assumed.get(at).copied().unwrap_or(false);
                let decimals = two_digits(3f64.sqrt() * standard);
                [
                    figures::short(reading.volts, 5),
                    reading.meter.name.clone(),
                    figures::range(reading.range.full_scale, assumed),
                    figures::stated(reading.meter.input_ohms(reading.range), Unit::Ohm),
                    figures::decimal(3f64.sqrt() * standard, decimals),
                    figures::decimal(*fitted, decimals),
                ]
                .map(Cell::from)
                .to_vec()
            })
            .collect(),
    }
}

fn warning_words(warning: &UnloadWarning) -> String {
    match warning {
        UnloadWarning::LoadsAlike => "Warning: the loads are too alike, or the meters too coarse, \
                                      for these readings to tell the source well. Take one reading \
                                      with a much lower resistance."
            .to_owned(),
        UnloadWarning::Contradict => "Warning: the readings contradict each other: no single \
                                      linear source explains them all. Read again; the point may \
                                      be nonlinear (a tube or a junction), or the set may have \
                                      drifted."
            .to_owned(),
        UnloadWarning::AtMost(_) => "Warning: the readings differ by no more than the meters may \
                                     be off, so that only an upper limit is known. Take one \
                                     reading with a meter that loads the point much more."
            .to_owned(),
    }
}

pub(crate) fn csv(view: &UnloadView<'_>) -> CsvTable {
    let found = view.found;
    let at_most = at_most(found);
    let heads = "source (ohm),source standard uncertainty (ohm),source at most (ohm),volts (V),\
         volts standard uncertainty (V),warnings";
    let row = vec![
        number(found.ohms),
        number(found.ohms_standard),
        maybe(at_most),
        number(found.volts),
        number(found.volts_standard),
        found
            .warnings
            .iter()
            .map(warning_words)
            .collect::<Vec<_>>()
            .join(" "),
    ];
    CsvTable::listed(heads, vec![row])
}
