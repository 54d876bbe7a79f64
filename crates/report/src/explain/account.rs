//! The account of a point: for each reading of it, or else each bench meter, the uncertainty budget of
//! its value.
//!
//! A view comes in; accounts with their lines go out, unrounded. Nothing is left out here.

use circuit::{ManualEntry, Reading, Shown};
use translate::{BenchSide, BudgetLine, Carried, Compared, NotCarried, SourcesAlone};

use crate::inputs::Rested;
use crate::views::ExplainView;

/// The contributions to one value.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Account<'a> {
    /// The value, and whose words its inputs are told in.
    pub rested: Rested<'a>,
    /// The values by the manual alone and by the drawing alone.
    pub sources: SourcesAlone,
    /// Decimal digits that arithmetic leaves of the expected value; none of a closed form.
    pub digits: Option<f64>,
    /// The reading with what became of it; none for what a meter would show.
    pub compared: Option<(&'a Compared, &'a Reading)>,
}

/// One contribution.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Told<'a> {
    /// The input.
    pub line: &'a BudgetLine,
    /// Volts of standard uncertainty that it adds by itself.
    pub volts: f64,
    /// Its share of the variance, 0 to 1.
    pub share: f64,
}

impl<'a> Account<'a> {
    /// Its contributions, the largest first.
    pub(crate) fn lines(&self) -> Vec<Told<'a>> {
        let variance = self.rested.side.budget.standard.powi(2);
        let lines = self.rested.side.budget.lines.iter();
        lines
            .map(|line| {
                let volts = line.volts();
                Told {
                    line,
                    volts,
                    share: volts.powi(2) / variance,
                }
            })
            .collect()
    }
}

/// The accounts of a point, or why there are none. With readings of the point there is one for each
/// that something is expected of, else one for each bench meter.
pub(crate) fn accounts<'a>(
    view: &ExplainView<'a>,
) -> Option<(&'a ManualEntry, Result<Vec<Account<'a>>, &'a NotCarried>)> {
    let (job, comparison) = (view.job, view.comparison);
    let entry = job.manual.get(view.entry)?;
    let points = &comparison.translation.points;
    let outcome = points.iter().find(|point| point.entry == view.entry)?;
    let carried: &Carried = match &outcome.outcome {
        Ok(carried) => carried,
        Err(reason) => return Some((entry, Err(reason))),
    };
    let account = |side: &'a BenchSide, compared: Option<(&'a Compared, &'a Reading)>| Account {
        rested: Rested {
            job,
            entry,
            manual_range: carried.manual.range,
            side,
            reading: compared.map(|(_, reading)| reading),
        },
        sources: carried.sources(side),
        digits: carried.digits(side),
        compared,
    };
    let own = comparison
        .readings
        .iter()
        .filter(|c| c.entry == Some(view.entry));
    let read: Vec<Account<'a>> = own
        .filter_map(|compared| {
            let reading = job.readings.get(compared.reading)?;
            Some(account(
                compared.expected.as_ref()?,
                Some((compared, reading)),
            ))
        })
        .collect();
    let told = match read.is_empty() {
        true => carried
            .bench
            .iter()
            .map(|side| account(side, None))
            .collect(),
        false => read,
    };
    Some((entry, Ok(told)))
}

/// The volts that a reading shows; none for an overrange.
pub(crate) fn read_volts(reading: &Reading) -> Option<f64> {
    match &reading.shown {
        Shown::Value(figure) => Some(figure.value),
        Shown::Overrange => None,
    }
}
