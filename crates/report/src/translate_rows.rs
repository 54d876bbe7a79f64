//! The translated manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry, Quantity};
use translate::{
    Band, BenchSide, Carried, ChartRow, NotCarried, PointOutcome, PointTrials, QuantityPoint,
    TrialsSummary,
};

use crate::csv_text::{maybe, number, yes_no, Column, Sheet};
use crate::manual;
use crate::quantity;
use crate::remarks;
use crate::trials_table::first_order;
use crate::views::TranslateView;

/// One row a point and bench meter; those without a printed value last, as in the tables.
pub(crate) fn csv(views: &[TranslateView<'_>]) -> Sheet {
    let rows = views.iter().flat_map(|view| {
        let points = view.translation.points.iter();
        let printed = points.flat_map(move |point| lines(view, point));
        let unprinted =
            view.translation.quantities.iter().filter(|apart| {
                matches!(apart.row, ChartRow::Unprinted(_)) && apart.outcome.is_ok()
            });
        printed.chain(unprinted.flat_map(move |apart| unprinted_lines(view, apart)))
    });
    let columns = [entry_columns(), columns().to_vec()].concat();
    Sheet::of(rows, &columns)
}

/// What a row of a sheet is of.
pub(crate) enum Place<'a> {
    /// A row of the manual's table.
    Printed(&'a ManualEntry),
    /// A row without a printed value.
    Unprinted(&'a QuantityPoint),
    /// A point that the manual does not have, by its label.
    Unknown(&'a str),
}

/// A row of a sheet that says what it is of.
pub(crate) trait OfPlace {
    /// The job and the place in it.
    fn of(&self) -> (&Job, Place<'_>);
}

/// Job, place and printed value, as every such sheet begins.
pub(crate) fn entry_columns<R: OfPlace>() -> Vec<Column<R>> {
    vec![
        ("job", |row| row.of().0.folder.clone()),
        ("point", |row| {
            let (job, place) = row.of();
            match place {
                Place::Printed(entry) => entry.point.clone(),
                Place::Unprinted(apart) => apart.row.label(job).to_owned(),
                Place::Unknown(label) => label.to_owned(),
            }
        }),
        ("at", |row| places(row, |(at, _)| at)),
        ("against", |row| places(row, |(_, against)| against)),
        ("quantity", |row| {
            quantity_of(row).map_or("", Quantity::name).to_owned()
        }),
        ("manual", |row| match row.of().1 {
            Place::Printed(entry) => number(entry.figure.value),
            Place::Unprinted(_) | Place::Unknown(_) => String::new(),
        }),
        ("unit", |row| quantity_of(row).map_or("", unit).to_owned()),
    ]
}

/// One of the two places that a row is measured between.
fn places<R: OfPlace>(row: &R, which: for<'a> fn((&'a str, &'a str)) -> &'a str) -> String {
    let (job, place) = row.of();
    match place {
        Place::Printed(entry) => which((&entry.at, &entry.against)).to_owned(),
        Place::Unprinted(apart) => which(apart.row.places(job)).to_owned(),
        Place::Unknown(_) => String::new(),
    }
}

fn quantity_of<R: OfPlace>(row: &R) -> Option<Quantity> {
    match row.of().1 {
        Place::Printed(entry) => Some(entry.quantity),
        Place::Unprinted(apart) => Some(apart.quantity),
        Place::Unknown(_) => None,
    }
}

/// The unit of a quantity as numbers for programs have it.
fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => "V",
        Quantity::Ohms => "ohm",
        Quantity::DcMilliamperes => "A",
    }
}

/// What stands behind a row.
#[derive(Clone, Copy)]
enum Outcome<'a> {
    /// Direct volts, carried over.
    Carried(&'a Carried),
    /// Another quantity.
    Apart(&'a QuantityPoint),
    /// Nothing, and why.
    Not(&'a NotCarried),
}

/// One row.
struct Line<'a> {
    view: &'a TranslateView<'a>,
    /// The entry of the manual and its place in it; none for a row without a printed value.
    entry: Option<(usize, &'a ManualEntry)>,
    outcome: Outcome<'a>,
    side: Option<&'a BenchSide>,
    trials: Option<&'a PointTrials>,
}

/// The rows of a point: one for each bench meter, one at least.
fn lines<'a>(view: &'a TranslateView<'a>, point: &'a PointOutcome) -> Vec<Line<'a>> {
    let Some(entry) = view.job.manual.get(point.entry) else {
        return Vec::new();
    };
    let outcome = match &point.outcome {
        Ok(carried) => Outcome::Carried(carried),
        Err(reason) => match quantity::of_entry(view.translation, point.entry) {
            Some(apart) => Outcome::Apart(apart),
            None => Outcome::Not(reason),
        },
    };
    let trials = |bench: usize| {
        let mut points = view.trials?.found.points.iter();
        points.find(|tried| (tried.entry, tried.bench) == (point.entry, bench))
    };
    each_side(view, Some((point.entry, entry)), outcome, trials)
}

/// The rows of a quantity for which the manual prints no value.
fn unprinted_lines<'a>(view: &'a TranslateView<'a>, apart: &'a QuantityPoint) -> Vec<Line<'a>> {
    each_side(view, None, Outcome::Apart(apart), |_| None)
}

fn each_side<'a>(
    view: &'a TranslateView<'a>,
    entry: Option<(usize, &'a ManualEntry)>,
    outcome: Outcome<'a>,
    trials: impl Fn(usize) -> Option<&'a PointTrials>,
) -> Vec<Line<'a>> {
    let sides: Vec<&BenchSide> = match outcome {
        Outcome::Carried(carried) => carried.bench.iter().collect(),
        Outcome::Apart(apart) => {
            let sides = apart.outcome.iter().flat_map(|own| &own.bench);
            sides.map(|side| &side.side).collect()
        }
        Outcome::Not(_) => Vec::new(),
    };
    let line = |side: Option<(usize, &'a BenchSide)>| Line {
        view,
        entry,
        outcome,
        side: side.map(|(_, side)| side),
        trials: side.and_then(|(bench, _)| trials(bench)),
    };
    match sides.is_empty() {
        true => vec![line(None)],
        false => sides.into_iter().enumerate().map(Some).map(line).collect(),
    }
}

impl OfPlace for Line<'_> {
    fn of(&self) -> (&Job, Place<'_>) {
        let place = match (self.entry, self.outcome) {
            (Some((_, entry)), _) => Place::Printed(entry),
            (None, Outcome::Apart(apart)) => Place::Unprinted(apart),
            (None, _) => Place::Unknown(""),
        };
        (self.view.job, place)
    }
}

impl Line<'_> {
    /// The manual's tolerance.
    fn band(&self) -> Band {
        match (self.outcome, self.entry) {
            (Outcome::Carried(carried), _) => carried.manual.band,
            (_, Some((_, entry))) => Band::of(entry.tolerance.as_ref(), &entry.figure),
            (_, None) => Band::default(),
        }
    }

    fn carried(&self, number: impl Fn(&Carried) -> Option<f64>) -> String {
        match self.outcome {
            Outcome::Carried(carried) => maybe(number(carried)),
            Outcome::Apart(_) | Outcome::Not(_) => String::new(),
        }
    }

    fn side(&self, number: impl Fn(&BenchSide) -> Option<f64>) -> String {
        maybe(self.side.and_then(number))
    }

    fn trials(&self, number: impl Fn(&TrialsSummary) -> f64) -> String {
        let summary = self.trials.and_then(|tried| tried.summary);
        maybe(summary.map(|summary| number(&summary)))
    }

    /// What the drawing says through the manual's meter.
    fn as_documented(&self) -> String {
        maybe(match self.outcome {
            Outcome::Carried(carried) => carried.model.as_documented,
            Outcome::Apart(apart) => {
                let drawn = apart.outcome.as_ref().ok().and_then(|own| own.drawn);
                drawn.map(|drawn| drawn.value)
            }
            Outcome::Not(_) => None,
        })
    }

    /// Whether first order is good enough, in a word.
    fn first_order(&self) -> String {
        let word = || {
            let stop = self.view.trials?.found.stop;
            first_order(self.side?, self.trials?, stop)
        };
        word().unwrap_or_default().to_owned()
    }

    fn remarks(&self) -> String {
        let view = self.view;
        match (self.outcome, self.entry) {
            (Outcome::Carried(carried), Some((index, entry))) => {
                let mut remarks = manual::sentences(view.job, view.manual, index);
                remarks.extend(remarks::sentences(entry, carried));
                remarks.join(" ")
            }
            (Outcome::Carried(_), None) => String::new(),
            (Outcome::Apart(apart), _) => quantity::due_sentences(apart).join(" "),
            (Outcome::Not(reason), _) => {
                format!("not translated: {}", remarks::reason_words(reason))
            }
        }
    }
}

fn columns<'a>() -> [Column<Line<'a>>; 27] {
    [
        ("manual low", |line| maybe(line.band().low)),
        ("manual high", |line| maybe(line.band().high)),
        ("manual meter", |line| {
            line.entry
                .map_or(String::new(), |(_, entry)| entry.meter.name.clone())
        }),
        ("manual range", |line| match line.outcome {
            Outcome::Carried(carried) => number(carried.manual.range.range.full_scale),
            _ => maybe(line.entry.and_then(|(_, entry)| entry.range)),
        }),
        ("range assumed", |line| match line.outcome {
            Outcome::Carried(carried) => yes_no(carried.manual.range.assumed),
            Outcome::Apart(_) | Outcome::Not(_) => String::new(),
        }),
        ("manual input (ohm)", |line| {
            line.carried(|carried| Some(carried.manual.input_ohms))
        }),
        ("source (ohm)", |line| {
            line.carried(|carried| Some(carried.source_ohms))
        }),
        ("load (%)", |line| {
            line.carried(|carried| Some(carried.loading * 100.0))
        }),
        ("unloaded (V)", |line| {
            line.carried(|carried| Some(carried.unloaded))
        }),
        ("model as documented", Line::as_documented),
        ("model unloaded (V)", |line| {
            line.carried(|carried| carried.model.unloaded)
        }),
        ("bench meter", |line| {
            line.side.map_or(String::new(), |side| side.meter.clone())
        }),
        ("bench range", |line| {
            line.side(|side| Some(side.range.full_scale))
        }),
        ("bench input (ohm)", |line| {
            line.side(|side| Some(side.input_ohms))
        }),
        ("expected", |line| line.side(|side| Some(side.expected))),
        ("standard uncertainty", |line| {
            line.side(|side| Some(side.budget.standard))
        }),
        ("coverage factor", |line| {
            line.side(|side| Some(side.budget.coverage))
        }),
        ("uncertainty", |line| {
            line.side(|side| Some(side.budget.expanded()))
        }),
        ("band low", |line| line.side(|side| side.band.low)),
        ("band high", |line| line.side(|side| side.band.high)),
        ("trials mean (V)", |line| line.trials(|tried| tried.mean)),
        ("trials standard uncertainty (V)", |line| {
            line.trials(|tried| tried.standard)
        }),
        ("trials low (V)", |line| {
            line.trials(|tried| tried.interval.low)
        }),
        ("trials high (V)", |line| {
            line.trials(|tried| tried.interval.high)
        }),
        ("trials failed", |line| {
            line.trials
                .map_or(String::new(), |tried| tried.failed.to_string())
        }),
        ("first order", Line::first_order),
        ("remarks", Line::remarks),
    ]
}
