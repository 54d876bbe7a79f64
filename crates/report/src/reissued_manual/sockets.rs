//! The socket chart for another meter: a row a tube, a column a pin.

use circuit::{socket, Job, ManualEntry, PartKind, Quantity};

use crate::figures;
use crate::labels::each_once;
use crate::table::{Align, Cell, Column, Table};
use crate::views::ChartView;

use super::{side, AS_PRINTED};

/// What a chart holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Chart {
    /// Volts of a running set.
    Volts,
    /// Resistances with the power off.
    Ohms,
}

/// One cell of a chart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
struct Pin<'a> {
    chart: Chart,
    tube: &'a str,
    pin: u8,
}

/// The charts of a job that are not empty, for the meter of this index.
pub(super) fn tables(view: &ChartView<'_>, which: usize) -> Vec<(Chart, Table)> {
    [Chart::Volts, Chart::Ohms]
        .into_iter()
        .map(|chart| (chart, table(view, which, chart)))
        .filter(|(_, table)| !table.rows.is_empty())
        .collect()
}

/// The entries that have a cell in a chart, by their index. Where two have the same, with a
/// switch in another position say, the first has it.
pub(super) fn in_chart(job: &Job) -> Vec<usize> {
    let mut taken: Vec<Pin<'_>> = Vec::new();
    let mut entries = Vec::new();
    for (index, entry) in job.manual.iter().enumerate() {
        if let Some(pin) = pin(entry).filter(|pin| !taken.contains(pin)) {
            taken.push(pin);
            entries.push(index);
        }
    }
    entries
}

/// The cell of an entry that is called after its place, `V1 pin 6`, or `V1 pin 6 ohms`.
fn pin(entry: &ManualEntry) -> Option<Pin<'_>> {
    let (tube, rest) = entry.at.trim().split_once(char::is_whitespace)?;
    let (word, number) = rest.trim().split_once(char::is_whitespace)?;
    let named = entry.point == entry.at || entry.point == format!("{} ohms", entry.at);
    (named && word.eq_ignore_ascii_case("pin")).then_some(Pin {
        chart: match entry.quantity {
            Quantity::Ohms => Chart::Ohms,
            Quantity::DcVolts | Quantity::AcVolts | Quantity::DcMilliamperes => Chart::Volts,
        },
        tube,
        pin: number.trim().parse().ok()?,
    })
}

fn table(view: &ChartView<'_>, which: usize, chart: Chart) -> Table {
    let job = view.job;
    let cells: Vec<(usize, Pin<'_>)> = in_chart(job)
        .into_iter()
        .filter_map(|index| Some((index, pin(job.manual.get(index)?)?)))
        .filter(|(_, pin)| pin.chart == chart)
        .collect();
    let pins = cells.iter().map(|(_, pin)| pin.pin).max().unwrap_or(0);
    let tubes = each_once(cells.iter().map(|(_, pin)| pin.tube));
    let mut columns = vec![
        Column::new("tube", "", Align::Left),
        Column::new("type", "", Align::Left),
    ];
    columns.extend((1..=pins).map(|pin| Column::new(pin.to_string(), "", Align::Right)));
    let rows = tubes
        .iter()
        .map(|tube| {
            let mut row = vec![(*tube).to_owned(), type_of(job, tube).to_owned()];
            row.extend((1..=pins).map(|number| {
                cells
                    .iter()
                    .find(|(_, pin)| pin.tube == *tube && pin.pin == number)
                    .map_or(String::new(), |(index, _)| value(view, *index, which))
            }));
            row.into_iter().map(Cell::from).collect()
        })
        .collect();
    Table { columns, rows }
}

fn type_of<'a>(job: &'a Job, tube: &str) -> &'a str {
    let parts = job.circuit.parts().iter();
    parts
        .filter(|part| part.designator == tube || socket(&part.designator) == Some(tube))
        .find_map(|part| match &part.kind {
            PartKind::Device(device) => Some(device.type_name.as_str()),
            _ => None,
        })
        .unwrap_or("")
}

fn value(view: &ChartView<'_>, index: usize, which: usize) -> String {
    let Some(entry) = view.job.manual.get(index) else {
        return String::new();
    };
    let point = view
        .translation
        .points
        .iter()
        .find(|point| point.entry == index);
    if let Some((side, _)) = point.and_then(|point| side(point, which)) {
        return figures::expected(side, entry.figure.resolution);
    }
    let printed = figures::in_table(&entry.figure, entry.quantity);
    format!("{printed}{AS_PRINTED}")
}
