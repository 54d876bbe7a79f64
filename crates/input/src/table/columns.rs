//! The header row with the names of the columns.
//!
//! Order and case of the names do not matter. The header row and the column names that the table may
//! have come in; a name for each of its cells goes out, and a diagnostic for each that does not fit.

use std::borrow::Cow;

use crate::diagnostic::Diagnostic;
use crate::nearest::nearest;
use crate::records::Record;
use crate::words::Words;

pub(crate) struct Layout {
    pub known: &'static [&'static str],
    pub needed: &'static [&'static str],
    /// A required column, and the column that can replace it.
    pub replaceable: Option<(&'static str, &'static str)>,
    /// Columns in addition to the known ones.
    pub numbered: Numbered,
}

/// Whether numbers are column names too.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Numbered {
    /// They are not column names.
    No,
    /// Each number stands for a pin, as do letters and names of electrodes; a table without any of
    /// them is not a chart.
    Pins,
}

pub(super) type Name = Cow<'static, str>;

/// What people write at the head of a column, and the column that they mean, the likeliest first.
const OTHER_HEADS: &[(&str, &[&str])] = &[
    ("no.", &["point"]),
    ("nr", &["point"]),
    ("number", &["point"]),
    ("pt", &["point"]),
    ("tp", &["point"]),
    ("test point", &["point"]),
    ("location", &["at"]),
    ("node", &["at"]),
    ("place", &["at"]),
    ("where", &["at"]),
    ("from", &["against"]),
    ("reference", &["against"]),
    ("to", &["against"]),
    ("kind", &["quantity"]),
    ("unit", &["quantity"]),
    ("measured", &["reading", "value"]),
    ("reading", &["value"]),
    ("v", &["value", "reading"]),
    ("value", &["reading"]),
    ("voltage", &["value", "reading"]),
    ("volts", &["value", "reading"]),
    ("instrument", &["meter"]),
    ("scale", &["range"]),
    ("tol", &["tolerance"]),
    ("frequency", &["freq"]),
    ("waveform", &["wave"]),
    ("control", &["setting"]),
    ("switch", &["setting"]),
    ("comment", &["note"]),
    ("comments", &["note"]),
    ("remark", &["note"]),
    ("remarks", &["note"]),
];

/// The free column that somebody means by a head of his own.
fn by_another_head(head: &str, free: &[&'static str]) -> Option<&'static str> {
    let mut heads = OTHER_HEADS.iter();
    let (_, meant) = heads.find(|(other, _)| other.eq_ignore_ascii_case(head))?;
    let mut meant = meant.iter().copied();
    meant.find(|name| free.contains(name))
}

impl Layout {
    /// Its columns for messages.
    pub fn names(&self) -> Vec<&'static str> {
        let mut names = self.known.to_vec();
        if self.numbered == Numbered::Pins {
            names.splice(1..1, ["1", "2", "3 …"]);
        }
        names
    }
}

/// A pin or electrode that heads a column of a chart.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) enum Spot {
    /// A pin of its base.
    Pin(u8),
    /// An electrode by its letter or name, as written.
    Electrode(String),
}

impl Spot {
    /// The words after the designation in a place: `pin 6`, `collector`.
    pub fn words(&self) -> String {
        match self {
            Spot::Pin(circuit::Pin::CAP) => "cap".to_owned(),
            Spot::Pin(pin) => format!("pin {pin}"),
            Spot::Electrode(name) => name.clone(),
        }
    }

    /// The heading of its column.
    pub fn column(&self) -> String {
        match self {
            Spot::Pin(pin) => circuit::Pin::name_of(*pin),
            Spot::Electrode(name) => name.clone(),
        }
    }
}

/// The pin or electrode of a column's name.
pub(super) fn spot(name: &str) -> Option<Spot> {
    let cap = circuit::Pin::number_of(name).filter(|number| *number == circuit::Pin::CAP);
    match pin(name).or(cap) {
        Some(pin) => Some(Spot::Pin(pin)),
        None => circuit::names_electrode(name).then(|| Spot::Electrode(name.to_owned())),
    }
}

/// How many cells of the first row name a column.
pub(super) fn known_columns(found: &[Record], layout: &Layout) -> usize {
    let is_known = |cell: &&Words| known_column(&cell.text, layout).is_some();
    found
        .first()
        .map_or(0, |header| header.cells.iter().filter(is_known).count())
}

fn known_column(text: &str, layout: &Layout) -> Option<Name> {
    let mut known = layout.known.iter().copied();
    let named = known.find(|name| name.eq_ignore_ascii_case(text));
    named.map(Cow::Borrowed).or_else(|| match layout.numbered {
        Numbered::Pins => spot(text).map(|spot| Cow::Owned(spot.column())),
        Numbered::No => None,
    })
}

/// `6`, `pin 6` or `6.` as the heading of a column.
fn pin(text: &str) -> Option<u8> {
    let plain = text.to_lowercase();
    let number = plain.strip_prefix("pin").unwrap_or(&plain);
    let number = number.trim().trim_start_matches('#').trim_end_matches('.');
    let digits = number.bytes().all(|byte| byte.is_ascii_digit());
    number.parse().ok().filter(|pin| digits && *pin > 0)
}

/// The columns by the cells of the header row; none for a cell that names no known one, and none at all
/// if the rows below cannot be read by it.
pub(super) fn read_header(
    header: &Record,
    layout: &Layout,
    out: &mut Vec<Diagnostic>,
) -> Option<Vec<Option<Name>>> {
    if let Some(fault) = header.stray() {
        out.push(fault);
        return None;
    }
    // Spreadsheets pad the header with blank cells; a cell under one of them has no column.
    let named = header.cells.iter().rposition(|cell| !cell.is_blank());
    let header_cells = header.cells.get(..=named?).unwrap_or_default();
    let mut columns: Vec<Option<Name>> = header_cells
        .iter()
        .map(|cell| known_column(&cell.text, layout))
        .collect();
    report_duplicates(header, &columns, out);
    let has = |columns: &[Option<Name>], name: &str| {
        let mut names = columns.iter().flatten();
        names.any(|own| own.as_ref() == name)
    };
    let replaced = layout.replaceable.filter(|(_, by)| has(&columns, by));
    let is_needed = |name: &str| {
        layout.needed.contains(&name) && replaced.is_none_or(|(other, _)| other != name)
    };
    for (index, cell) in header_cells.iter().enumerate() {
        if columns[index].is_none() {
            let free = layout.known.iter().filter(|name| !has(&columns, name));
            let free: Vec<&'static str> = free.copied().collect();
            columns[index] = meant(cell, layout, &free, &is_needed, out).map(Cow::Borrowed);
        }
    }
    let missing: Vec<&str> = layout
        .needed
        .iter()
        .copied()
        .filter(|name| is_needed(name) && !has(&columns, name))
        .collect();
    for name in &missing {
        let message = format!("there is no column '{name}'");
        let help = format!("the columns are: {}", layout.names().join(", "));
        out.push(Diagnostic::error(header.span(), message).help(help));
    }
    let pins = columns.iter().flatten().any(|name| spot(name).is_some());
    if layout.numbered == Numbered::Pins && !pins {
        let message = "there is no column of a pin";
        let help = "head each column with the number of its pin, or with its electrode: tube,1,2,3";
        out.push(Diagnostic::error(header.span(), message).help(help));
        return None;
    }
    missing.is_empty().then_some(columns)
}

/// The needed column among the `free` ones that a cell means with another name; any other cell is reported as
/// not known.
fn meant(
    cell: &Words,
    layout: &Layout,
    free: &[&'static str],
    is_needed: &dyn Fn(&str) -> bool,
    out: &mut Vec<Diagnostic>,
) -> Option<&'static str> {
    if cell.is_blank() {
        let message = "a column without a name is ignored";
        out.push(Diagnostic::warning(cell.span.clone(), message));
        return None;
    }
    let near = by_another_head(&cell.text, free);
    let near = near.or_else(|| nearest(&cell.text, free.iter().copied()));
    let name = free.iter().copied().find(|name| Some(*name) == near);
    if let Some(name) = name.filter(|name| is_needed(name)) {
        // One mistake causes one message: the name is taken as meant, so that the rows can still be read.
        let message = format!("there is no column '{name}'");
        let help = format!("did you mean '{name}' by '{}'?", cell.text);
        out.push(Diagnostic::error(cell.span.clone(), message).help(help));
        return Some(name);
    }
    let message = format!("column '{}' is not known and is ignored", cell.text);
    let help = near.map(|name| format!("did you mean '{name}'?"));
    let known = format!("the columns are: {}", layout.names().join(", "));
    let warning = Diagnostic::warning(cell.span.clone(), message);
    out.push(warning.help(known).maybe_help(help));
    None
}

fn report_duplicates(header: &Record, columns: &[Option<Name>], out: &mut Vec<Diagnostic>) {
    for (index, (cell, name)) in header.cells.iter().zip(columns).enumerate() {
        let first = columns.iter().position(|other| other == name);
        if let (Some(name), Some(first)) = (name, first.filter(|first| *first < index)) {
            let message = format!("column '{name}' stands here a second time");
            let first = header.cells[first].span.clone();
            out.push(Diagnostic::error(cell.span.clone(), message).related(first, "first here"));
        }
    }
}
