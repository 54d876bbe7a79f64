//! The account of a point as rows for a spreadsheet.

use circuit::SpreadBasis;

use crate::csv_text::{maybe, number, CsvTable};
use crate::inputs::half_width;
use crate::views::ExplainView;

use super::account::{accounts, read_volts, Account};

/// One row an input, for each reading or bench meter; every input, however small.
pub(crate) fn csv(views: &[ExplainView<'_>]) -> CsvTable {
    let mut rows = Vec::new();
    for view in views {
        if let Some((_, Ok(accounts))) = accounts(view) {
            rows.extend(accounts.iter().flat_map(|account| rows_of(view, account)));
        }
    }
    let heads = "job,point,meter,range (V),reading (V),expected (V),input,limits,half width,unit,\
         basis,sensitivity (V per unit),standard uncertainty (V),share of variance";
    CsvTable::listed(heads, rows)
}

fn rows_of(view: &ExplainView<'_>, account: &Account<'_>) -> Vec<Vec<String>> {
    let rested = &account.rested;
    let start = [
        view.job.folder.clone(),
        rested.entry.point.clone(),
        rested.side.meter.clone(),
        number(rested.side.range.full_scale),
        maybe(rested.reading.and_then(read_volts)),
        number(rested.side.expected),
    ];
    let row = |told: super::Told<'_>| {
        let own = [
            rested.words(told.line.input),
            rested.limits(told.line),
            maybe(half_width(&told.line.spread)),
            rested.unit(told.line.input).to_owned(),
            basis(told.line.basis).to_owned(),
            number(told.line.sensitivity),
            number(told.volts),
            number(told.share),
        ];
        start.iter().cloned().chain(own).collect()
    };
    account.lines().into_iter().map(row).collect()
}

/// The word for where limits are from.
pub(crate) fn basis(basis: SpreadBasis) -> &'static str {
    match basis {
        SpreadBasis::Stated => "stated",
        SpreadBasis::Assumed => "assumed",
    }
}
