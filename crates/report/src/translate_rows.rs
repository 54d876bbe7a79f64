//! The translated manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry};
use reconcile::RangeChoice;
use translate::{
    Band, BenchSide, Carried, ChartRow, NotCarried, PointOutcome, PointTrials, QuantityPoint,
    TrialsSummary,
};

use crate::columns::{expected_columns, place_columns, Expects, OfPlace, Place};
use crate::csv_text::{maybe, number, yes_no, Column, CsvTable};
use crate::manual;
use crate::quantity;
use crate::remarks;
use crate::trials_table::first_order;
use crate::views::TranslateView;

/// One row a point and bench meter; those without a printed value last, as in the tables.
pub(crate) fn csv(views: &[TranslateView<'_>]) -> CsvTable {
    let rows = views.iter().flat_map(|view| {
        let points = view.translation.points.iter();
        let printed = points.flat_map(move |point| lines(view, point));
        let unprinted =
            view.translation.quantities.iter().filter(|apart| {
                matches!(apart.row, ChartRow::Unprinted(_)) && apart.outcome.is_ok()
            });
        printed.chain(unprinted.flat_map(move |apart| unprinted_lines(view, apart)))
    });
    let columns = [
        place_columns(),
        first_columns().to_vec(),
        expected_columns(),
        last_columns().to_vec(),
    ];
    CsvTable::of(rows, &columns.concat())
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

impl Expects for Line<'_> {
    fn expected(&self) -> Option<&BenchSide> {
        self.side
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

    /// The range of the manual's meter.
    fn range(&self) -> Option<RangeChoice> {
        match self.outcome {
            Outcome::Carried(carried) => Some(carried.manual.range),
            Outcome::Apart(apart) => apart.outcome.as_ref().ok()?.manual_range,
            Outcome::Not(_) => None,
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

/// From the manual to the bench meter.
fn first_columns<'a>() -> [Column<Line<'a>>; 14] {
    [
        ("manual low", |line| maybe(line.band().low)),
        ("manual high", |line| maybe(line.band().high)),
        ("manual meter", |line| {
            line.entry
                .map_or(String::new(), |(_, entry)| entry.meter.name.clone())
        }),
        ("manual range", |line| match line.range() {
            Some(on) => number(on.range.full_scale),
            None => maybe(line.entry.and_then(|(_, entry)| entry.range)),
        }),
        ("range assumed", |line| {
            let range = line.range();
            range.map_or(String::new(), |on| yes_no(on.assumed))
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
    ]
}

/// What trials found, and what there is to say.
fn last_columns<'a>() -> [Column<Line<'a>>; 7] {
    [
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
