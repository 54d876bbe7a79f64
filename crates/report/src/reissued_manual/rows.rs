//! The chart as rows: one a value and meter.

use circuit::Quantity;
use units::decimals_for;

use crate::csv_text::{maybe, CsvTable};
use crate::places::probes;
use crate::views::ChartView;
use crate::worksheet::Rounded;

use super::side;

/// One row a value of the manual and bench meter, rounded as in the chart.
pub(crate) fn csv(view: &ChartView<'_>) -> CsvTable {
    let job = view.job;
    let mut rows = Vec::new();
    for point in &view.translation.points {
        let Some(entry) = job.manual.get(point.entry) else {
            continue;
        };
        let (red, black) = probes(job, entry);
        for (which, meter) in job.bench.meters.iter().enumerate() {
            let resolution = entry.figure.resolution;
            let plain = |number: Option<Rounded>| number.map(Rounded::plain).unwrap_or_default();
            let printed = plain(Rounded::to(entry.figure.value, decimals_for(resolution)));
            let mut row = vec![
                job.folder.clone(),
                entry.point.clone(),
                red.clone(),
                black.clone(),
                entry.quantity.name().to_owned(),
                printed.clone(),
            ];
            row.extend(match side(point, which) {
                Some((side, _)) => [
                    meter.name.clone(),
                    maybe(Some(side.range.full_scale)),
                    plain(Rounded::expected(side, resolution)),
                    plain(Rounded::uncertainty(side, resolution)),
                    "carried over".to_owned(),
                ],
                None => [
                    match entry.quantity {
                        Quantity::DcVolts | Quantity::AcVolts => meter.name.clone(),
                        Quantity::Ohms | Quantity::DcMilliamperes => String::new(),
                    },
                    String::new(),
                    printed,
                    String::new(),
                    "as printed".to_owned(),
                ],
            });
            rows.push(row);
        }
    }
    let heads = "job,point,red probe,black probe,quantity,manual (SI unit),meter,range (V),\
         shows (SI unit),uncertainty (V),how";
    CsvTable::listed(heads, rows)
}
