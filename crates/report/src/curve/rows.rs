//! The curve as rows for a spreadsheet: the meters by name, then the samples.

use translate::{Band, BenchSide};

use super::named::{classes, entry};
use crate::csv_text::{maybe, number, CsvTable};
use crate::heading;
use crate::views::CurveView;

/// One row a meter, one for no meter, and one a sample of the curve.
pub(crate) fn csv(view: &CurveView<'_>) -> CsvTable {
    let point = entry(view).map_or(String::new(), |entry| entry.point.clone());
    let row = |kind: &str, meter: &str, figures: [String; 6]| {
        let mut row = vec![heading::title(view.job), point.clone()];
        row.extend([kind.to_owned(), meter.to_owned()]);
        row.extend(figures);
        row
    };
    let limits = |band: Band| (maybe(band.low), maybe(band.high));
    let side = |kind: &str, side: &BenchSide| {
        let (low, high) = limits(side.band);
        let figures = [
            number(side.range.full_scale),
            number(side.input_ohms),
            number(side.expected),
            number(side.budget.expanded()),
            low,
            high,
        ];
        row(kind, &side.meter, figures)
    };
    let manual = &view.carried.manual;
    let (low, high) = limits(manual.band);
    let name = entry(view).map_or("", |entry| entry.meter.name.as_str());
    let figures = [
        number(manual.range.range.full_scale),
        number(manual.input_ohms),
        number(manual.value),
        String::new(),
        low,
        high,
    ];
    let mut rows = vec![row("manual", name, figures)];
    rows.extend(view.carried.bench.iter().map(|own| side("bench", own)));
    rows.extend(classes(view).into_iter().map(|own| side("class", own)));
    let none = String::new;
    let figures = [none(), none(), maybe(view.unloaded), none(), none(), none()];
    rows.push(row("no meter", "", figures));
    rows.extend(view.samples.iter().map(|sample| {
        let (low, high) = limits(sample.band);
        let figures = [
            none(),
            number(sample.ohms),
            maybe(sample.volts),
            none(),
            low,
            high,
        ];
        row("curve", "", figures)
    }));
    let heads = "job,point,kind,meter,range (V),resistance (ohm),reading (V),\
         expanded uncertainty (V),band low (V),band high (V)";
    CsvTable::listed(heads, rows)
}
