//! The translated manual as rows for a spreadsheet.

use circuit::{Job, ManualRow, RowId};
use reconcile::RangeChoice;
use translate::{
    Band, BenchSide, Carried, NotCarried, PointOutcome, PointTrials, Predicted, QuantityPoint,
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
        let direct = view.translation.unprinted.iter();
        let direct = direct.map(move |own| predicted_line(view, own));
        let apart = view.translation.quantities.iter();
        let apart = apart
            .filter(|apart| matches!(apart.row, RowId::Unprinted(_)) && apart.outcome.is_ok())
            .flat_map(move |apart| unprinted_lines(view, apart));
        printed.chain(direct).chain(apart)
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
    /// Direct volts for which the manual prints no value.
    Predicted,
    /// Another quantity.
    Apart(&'a QuantityPoint),
    /// Nothing, and why.
    Not(&'a NotCarried),
}

/// One row.
struct Line<'a> {
    view: &'a TranslateView<'a>,
    row: RowId,
    outcome: Outcome<'a>,
    side: Option<&'a BenchSide>,
    trials: Option<&'a PointTrials>,
}

/// The rows of a point: one for each bench meter, one at least.
fn lines<'a>(view: &'a TranslateView<'a>, point: &'a PointOutcome) -> Vec<Line<'a>> {
    let outcome = match &point.outcome {
        Ok(carried) => Outcome::Carried(carried),
        Err(reason) => match quantity::of_row(view.translation, RowId::Printed(point.entry)) {
            Some(apart) => Outcome::Apart(apart),
            None => Outcome::Not(reason),
        },
    };
    let trials = |bench: usize| {
        let mut points = view.trials?.found.points.iter();
        points.find(|tried| (tried.entry, tried.bench) == (point.entry, bench))
    };
    each_side(view, RowId::Printed(point.entry), outcome, trials)
}

/// The row of one bench meter at a point of direct volts for which the manual prints no value.
fn predicted_line<'a>(view: &'a TranslateView<'a>, own: &'a Predicted) -> Line<'a> {
    Line {
        view,
        row: RowId::Unprinted(own.entry),
        outcome: Outcome::Predicted,
        side: Some(&own.side),
        trials: None,
    }
}

/// The rows of a quantity for which the manual prints no value.
fn unprinted_lines<'a>(view: &'a TranslateView<'a>, apart: &'a QuantityPoint) -> Vec<Line<'a>> {
    each_side(view, apart.row, Outcome::Apart(apart), |_| None)
}

fn each_side<'a>(
    view: &'a TranslateView<'a>,
    row: RowId,
    outcome: Outcome<'a>,
    trials: impl Fn(usize) -> Option<&'a PointTrials>,
) -> Vec<Line<'a>> {
    let sides: Vec<&BenchSide> = match outcome {
        Outcome::Carried(carried) => carried.bench.iter().collect(),
        Outcome::Apart(apart) => {
            let sides = apart.outcome.iter().flat_map(|own| &own.bench);
            sides.map(|side| &side.side).collect()
        }
        Outcome::Predicted | Outcome::Not(_) => Vec::new(),
    };
    let line = |side: Option<(usize, &'a BenchSide)>| Line {
        view,
        row,
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
        (self.view.job, Place::Row(self.row()))
    }
}

impl Line<'_> {
    fn row(&self) -> ManualRow<'_> {
        self.view.job.row(self.row)
    }

    /// The manual's tolerance.
    fn band(&self) -> Band {
        let row = self.row();
        match (self.outcome, row.figure) {
            (Outcome::Carried(carried), _) => carried.manual.band,
            (_, Some(figure)) => Band::of(row.tolerance, figure),
            (_, None) => Band::default(),
        }
    }

    /// The range of the manual's meter.
    fn range(&self) -> Option<RangeChoice> {
        match self.outcome {
            Outcome::Carried(carried) => Some(carried.manual.range),
            Outcome::Apart(apart) => apart.outcome.as_ref().ok()?.manual_range,
            Outcome::Predicted | Outcome::Not(_) => None,
        }
    }

    fn carried(&self, number: impl Fn(&Carried) -> Option<f64>) -> String {
        match self.outcome {
            Outcome::Carried(carried) => maybe(number(carried)),
            Outcome::Predicted | Outcome::Apart(_) | Outcome::Not(_) => String::new(),
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
            Outcome::Predicted | Outcome::Not(_) => None,
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
        match (self.outcome, self.row) {
            (Outcome::Carried(carried), RowId::Printed(index)) => {
                let mut remarks = manual::sentences(view.job, view.manual, index);
                remarks.extend(remarks::sentences(&view.job.manual[index], carried));
                remarks.join(" ")
            }
            (Outcome::Carried(_), RowId::Unprinted(_)) => String::new(),
            (Outcome::Predicted, _) => remarks::UNPRINTED.to_owned(),
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
            let row = line.row();
            let meter = row.figure.and(row.meter);
            meter.map_or(String::new(), |meter| meter.name.clone())
        }),
        ("manual range", |line| match line.range() {
            Some(on) => number(on.range.full_scale),
            None => maybe(line.row().range),
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
