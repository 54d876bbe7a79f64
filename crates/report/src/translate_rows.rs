//! The translated manual as rows for a spreadsheet.

use circuit::{Job, ManualEntry, Quantity};
use translate::{Band, BenchSide, Carried, NotCarried, PointOutcome, PointTrials, TrialsSummary};

use crate::csv_text::{maybe, number, yes_no, Column, Sheet};
use crate::manual;
use crate::quantity;
use crate::remarks;
use crate::trials_table::first_order;
use crate::views::TranslateView;

/// One row a point and bench meter.
pub(crate) fn csv(views: &[TranslateView<'_>]) -> Sheet {
    let rows = views.iter().flat_map(|view| {
        let points = view.translation.points.iter();
        points.flat_map(move |point| lines(view, point))
    });
    let columns = [entry_columns(), columns().to_vec()].concat();
    Sheet::of(rows, &columns)
}

/// A row of a sheet that is of an entry of a manual, or of none.
pub(crate) trait OfEntry {
    /// The job, what it is called in it, and the entry.
    fn of(&self) -> (&Job, &str, Option<&ManualEntry>);
}

/// Job, place and printed value, as every such sheet begins.
pub(crate) fn entry_columns<R: OfEntry>() -> Vec<Column<R>> {
    fn of<R: OfEntry>(row: &R, cell: impl Fn(&ManualEntry) -> String) -> String {
        row.of().2.map(cell).unwrap_or_default()
    }
    vec![
        ("job", |row| row.of().0.folder.clone()),
        ("point", |row| row.of().1.to_owned()),
        ("at", |row| of(row, |entry| entry.at.clone())),
        ("against", |row| of(row, |entry| entry.against.clone())),
        ("quantity", |row| {
            of(row, |entry| entry.quantity.name().to_owned())
        }),
        ("manual", |row| of(row, |entry| number(entry.figure.value))),
        ("manual unit", |row| {
            of(row, |entry| unit(entry.quantity).to_owned())
        }),
    ]
}

/// The unit of a quantity as numbers for programs have it.
fn unit(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::DcVolts | Quantity::AcVolts => "V",
        Quantity::Ohms => "ohm",
        Quantity::DcMilliamperes => "A",
    }
}

/// One row.
struct Line<'a> {
    view: &'a TranslateView<'a>,
    entry: &'a ManualEntry,
    /// Its place in the manual.
    index: usize,
    outcome: Result<&'a Carried, &'a NotCarried>,
    side: Option<&'a BenchSide>,
    trials: Option<&'a PointTrials>,
}

/// The rows of a point: one for each bench meter, one at least.
fn lines<'a>(view: &'a TranslateView<'a>, point: &'a PointOutcome) -> Vec<Line<'a>> {
    let Some(entry) = view.job.manual.get(point.entry) else {
        return Vec::new();
    };
    let bench = point
        .outcome
        .as_ref()
        .map_or(&[][..], |carried| &carried.bench);
    let trials = |bench: usize| {
        let mut points = view.trials?.found.points.iter();
        points.find(|tried| (tried.entry, tried.bench) == (point.entry, bench))
    };
    let line = |side: Option<(usize, &'a BenchSide)>| Line {
        view,
        entry,
        index: point.entry,
        outcome: point.outcome.as_ref(),
        side: side.map(|(_, side)| side),
        trials: side.and_then(|(bench, _)| trials(bench)),
    };
    match bench {
        [] => vec![line(None)],
        bench => bench.iter().enumerate().map(Some).map(line).collect(),
    }
}

impl OfEntry for Line<'_> {
    fn of(&self) -> (&Job, &str, Option<&ManualEntry>) {
        (self.view.job, &self.entry.point, Some(self.entry))
    }
}

impl Line<'_> {
    /// The manual's tolerance.
    fn band(&self) -> Band {
        match self.outcome {
            Ok(carried) => carried.manual.band,
            Err(_) => Band::of(self.entry.tolerance.as_ref(), &self.entry.figure),
        }
    }

    fn carried(&self, number: impl Fn(&Carried) -> Option<f64>) -> String {
        maybe(self.outcome.ok().and_then(number))
    }

    fn side(&self, number: impl Fn(&BenchSide) -> Option<f64>) -> String {
        maybe(self.side.and_then(number))
    }

    fn trials(&self, number: impl Fn(&TrialsSummary) -> f64) -> String {
        let summary = self.trials.and_then(|tried| tried.summary);
        maybe(summary.map(|summary| number(&summary)))
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
        match self.outcome {
            Ok(carried) => {
                let mut remarks = manual::sentences(view.job, view.manual, self.index);
                remarks.extend(remarks::sentences(self.entry, carried));
                remarks.join(" ")
            }
            Err(reason) => match quantity::of_entry(view.translation, self.index) {
                Some(apart) => quantity::due_sentences(apart).join(" "),
                None => format!("not translated: {}", remarks::reason_words(reason)),
            },
        }
    }
}

fn columns<'a>() -> [Column<Line<'a>>; 27] {
    [
        ("manual low (V)", |line| maybe(line.band().low)),
        ("manual high (V)", |line| maybe(line.band().high)),
        ("manual meter", |line| line.entry.meter.name.clone()),
        ("manual range (V)", |line| match line.outcome {
            Ok(carried) => number(carried.manual.range.range.full_scale),
            Err(_) => maybe(line.entry.range),
        }),
        ("range assumed", |line| match line.outcome {
            Ok(carried) => yes_no(carried.manual.range.assumed),
            Err(_) => String::new(),
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
        ("model as documented (V)", |line| {
            line.carried(|carried| carried.model.as_documented)
        }),
        ("model unloaded (V)", |line| {
            line.carried(|carried| carried.model.unloaded)
        }),
        ("bench meter", |line| {
            line.side.map_or(String::new(), |side| side.meter.clone())
        }),
        ("bench range (V)", |line| {
            line.side(|side| Some(side.range.full_scale))
        }),
        ("bench input (ohm)", |line| {
            line.side(|side| Some(side.input_ohms))
        }),
        ("expected (V)", |line| line.side(|side| Some(side.expected))),
        ("standard uncertainty (V)", |line| {
            line.side(|side| Some(side.budget.standard))
        }),
        ("coverage factor", |line| {
            line.side(|side| Some(side.budget.coverage))
        }),
        ("uncertainty (V)", |line| {
            line.side(|side| Some(side.budget.expanded()))
        }),
        ("band low (V)", |line| line.side(|side| side.band.low)),
        ("band high (V)", |line| line.side(|side| side.band.high)),
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
