//! The account of a point as tables for people.

use circuit::{ManualEntry, Quantity};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::places::where_text;
use crate::readings::{meter_and_range, shown, whole_verdict};
use crate::remarks::{hint, reason_words, with_hint};
use crate::table::{Align, Cell, Column, Table};
use crate::views::ExplainView;
use translate::{Alone, NotCarried, USUAL_COVERAGE};

use super::account::{accounts, Account, Told};

/// Contributions of a smaller share of the variance are summed in one line.
const SMALL: f64 = 0.01;

/// Digits of a contribution, as of an uncertainty (JCGM 100:2008, 7.2.6).
const DIGITS: usize = 2;

/// Heading and a table for each reading or bench meter.
pub(crate) fn blocks(view: &ExplainView<'_>) -> Vec<Block> {
    let mut blocks = vec![Block::Title(heading::title(view.job))];
    let Some((entry, told)) = accounts(view) else {
        return blocks;
    };
    let accounts = match told {
        Ok(accounts) => accounts,
        Err(reason) => {
            let line = match reason {
                NotCarried::Quantity(_) => format!(
                    "Point {}: only direct volts are explained; {}.",
                    entry.point,
                    reason_words(reason)
                ),
                _ => format!(
                    "Point {} is not translated: {}.",
                    entry.point,
                    reason_words(reason)
                ),
            };
            let line = with_hint(line, hint(view.job, reason));
            blocks.push(Block::Lines(vec![line]));
            return blocks;
        }
    };
    blocks.push(Block::Lines(vec![point_line(view, entry)]));
    for account in &accounts {
        blocks.push(Block::Caption(caption(account)));
        blocks.extend(sources(account).map(Block::Table));
        blocks.push(Block::Table(table(account)));
        let digits = account.digits.map(digits_left);
        blocks.push(Block::Lines(
            std::iter::once(sum(account)).chain(digits).collect(),
        ));
    }
    blocks.push(Block::Lines(match accounts.is_empty() {
        true => vec!["No bench meter of the job has a range for it.".to_owned()],
        false => NOTES.map(str::to_owned).to_vec(),
    }));
    blocks
}

/// Said under the tables.
const NOTES: [&str; 3] = [
    "Limits: how far the input may be off; limits and ranges in brackets are assumed, the usual ones \
     of their kind.",
    "Slope: how far the value moves by a volt, a percent or another unit of the input; u: standard \
     uncertainty that follows from it; share: of u squared.",
    "The manual's tolerance is no input: it says what a healthy set may show, not how well that is \
     known.",
];

fn point_line(view: &ExplainView<'_>, entry: &ManualEntry) -> String {
    let place = where_text(view.job, entry);
    let place = match place.as_str() {
        "" => String::new(),
        place => format!(", {place}"),
    };
    format!(
        "Point {}{place}: {} in the manual.",
        entry.point,
        figures::printed_with_unit(&entry.figure, entry.quantity)
    )
}

fn caption(account: &Account<'_>) -> String {
    let side = account.rested.side;
    let resolution = account.rested.entry.figure.resolution;
    let expected = figures::expected(side, resolution);
    let uncertainty = match figures::uncertainty(side, resolution).as_str() {
        "" => String::new(),
        text => format!("\u{a0}±\u{a0}{text}"),
    };
    let expected = figures::with_volts(&format!("{expected}{uncertainty}"));
    let Some((compared, reading)) = account.compared else {
        let range = figures::range(side.range.full_scale, false);
        return format!("{} on {range}: expect {expected}", side.meter);
    };
    let mut read = shown(&reading.shown, Quantity::DcVolts);
    if super::account::read_volts(reading).is_some() {
        read = figures::with_volts(&read);
    }
    let (word, _) = whole_verdict(compared.judgement.verdict);
    let chance = compared.judgement.conformity.map_or(String::new(), |p| {
        format!(", probability {} %", figures::probability(p))
    });
    format!(
        "{}: read {read}, expected {expected}: {word}{chance}",
        meter_and_range(compared, reading)
    )
}

/// The values by the manual alone, by the drawing alone, and reconciled; none if there is only one
/// source.
fn sources(account: &Account<'_>) -> Option<Table> {
    let (manual, drawing) = (account.sources.manual, account.sources.drawing);
    if manual.is_none() && drawing.is_none() {
        return None;
    }
    let side = account.rested.side;
    let resolution = account.rested.entry.figure.resolution;
    let alone = |what: &str, alone: Option<Alone>| {
        let [volts, expanded] = match alone {
            Some(alone) => {
                figures::beside(alone.volts, USUAL_COVERAGE * alone.standard, resolution)
            }
            None => ["no state reads it".to_owned(), String::new()],
        };
        vec![
            Cell::from(what.to_owned()),
            Cell::from(volts),
            Cell::from(expanded),
        ]
    };
    let reconciled = vec![
        Cell::from(format!(
            "reconciled, {} by the printed value",
            percent(side.by_printed)
        )),
        Cell::from(figures::expected(side, resolution)),
        Cell::from(figures::uncertainty(side, resolution)),
    ];
    Some(Table {
        columns: vec![
            Column::new("source", "", Align::Left),
            Column::new("value", "V", Align::Decimal),
            Column::new("U", "±V", Align::Decimal),
        ],
        rows: vec![
            alone("the printed value alone", manual),
            alone("the drawing alone", drawing),
            reconciled,
        ],
    })
}

/// A weight, in whole percent.
fn percent(share: f64) -> String {
    format!("{:.0} %", 100.0 * share)
}

fn table(account: &Account<'_>) -> Table {
    let lines = account.lines();
    let few = lines.iter().filter(|told| told.share < SMALL).count();
    // One alone is told by its name.
    let (large, small): (Vec<_>, Vec<_>) = lines
        .into_iter()
        .partition(|told| told.share >= SMALL || few == 1);
    let mut rows: Vec<Vec<Cell>> = large.iter().map(|told| row(account, told)).collect();
    rows.extend(lumped(&small));
    Table {
        columns: vec![
            Column::new("input", "", Align::Left),
            Column::new("limits", "", Align::Left),
            Column::new("slope", "", Align::Right),
            Column::new("u", "V", Align::Decimal),
            Column::new("share", "%", Align::Decimal),
        ],
        rows,
    }
}

fn row(account: &Account<'_>, told: &Told<'_>) -> Vec<Cell> {
    let (slope, unit) = account.rested.slope(told.line);
    [
        account.rested.words(told.line.input),
        account.rested.limits(told.line),
        format!("{} {unit}", figures::digits(slope, DIGITS)),
        figures::digits(told.volts, DIGITS),
        figures::share(told.share),
    ]
    .map(Cell::from)
    .to_vec()
}

fn lumped(small: &[Told<'_>]) -> Option<Vec<Cell>> {
    let variance: f64 = small.iter().map(|told| told.volts.powi(2)).sum();
    let share: f64 = small.iter().map(|told| told.share).sum();
    let row = [
        format!("{} more inputs, each below 1 %", small.len()),
        String::new(),
        String::new(),
        figures::digits(variance.sqrt(), DIGITS),
        figures::share(share),
    ];
    (!small.is_empty()).then(|| row.map(Cell::from).to_vec())
}

/// The condition of the answer, in whole digits.
fn digits_left(digits: f64) -> String {
    format!(
        "Significant digits of the expected value left by rounding errors: {:.0}.",
        digits.floor()
    )
}

/// The sum in one line.
fn sum(account: &Account<'_>) -> String {
    let budget = &account.rested.side.budget;
    if budget.lines.is_empty() {
        return "Nothing about it is uncertain.".to_owned();
    }
    format!(
        "u = {} V in all; coverage factor k = {} for 95 %; U = k u = {} V.",
        figures::digits(budget.standard, DIGITS),
        figures::decimal(budget.coverage, 2),
        figures::digits(budget.expanded(), DIGITS)
    )
}
