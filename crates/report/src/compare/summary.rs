//! A summary of many sets of one model: a line for each set and date.
//!
//! Compared jobs come in; how many readings of each set pass, and which point is worst, goes out.
//! A single reading is told of elsewhere.

use circuit::{Reading, Shown};
use translate::{Compared, Verdict};

use crate::csv_text::{maybe, CsvTable};
use crate::document::Block;
use crate::heading;
use crate::readings::{badness, taken, verdict, Distance};
use crate::table::{Align, Cell, Column, Table};
use crate::views::CompareView;

/// The readings of one set on one date, counted.
struct Line<'a> {
    view: &'a CompareView<'a>,
    set: &'a str,
    date: &'a str,
    verdicts: Vec<Verdict>,
    worst: Option<(&'a Compared, &'a Reading)>,
}

impl Line<'_> {
    fn count(&self, wanted: &[Verdict]) -> usize {
        let counted = self.verdicts.iter();
        counted.filter(|verdict| wanted.contains(verdict)).count()
    }

    /// Label of the worst point; empty where nothing was judged.
    fn worst_point(&self) -> String {
        let entry = self.worst.and_then(|(compared, _)| compared.entry);
        let entry = entry.and_then(|entry| self.view.job.manual.get(entry));
        entry.map_or(String::new(), |entry| entry.point.clone())
    }

    fn worst_off(&self) -> Option<f64> {
        Some(self.worst?.0.deviation? * 100.0)
    }

    /// How far it lies from its nearest limit, in words.
    fn worst_distance(&self) -> String {
        let words = self.worst.and_then(|(compared, reading)| {
            let entry = self.view.job.manual.get(compared.entry?)?;
            let side = compared.expected.as_ref()?;
            let Shown::Value(figure) = &reading.shown else {
                return None;
            };
            let distance = Distance::of(reading, side, entry.figure.resolution)?;
            Some(distance.words(figure.resolution))
        });
        words.unwrap_or_default()
    }

    fn worst_verdict(&self) -> Verdict {
        self.worst.map_or(Verdict::NotJudged, |(compared, _)| {
            compared.judgement.verdict
        })
    }
}

fn lines<'a>(views: &'a [CompareView<'a>]) -> Vec<Line<'a>> {
    let mut lines = Vec::new();
    for view in views {
        let mut of_job: Vec<Line<'a>> = Vec::new();
        for (compared, reading) in taken(view.job, view.comparison) {
            if compared.entry.is_none() {
                continue;
            }
            let known = |line: &Line<'_>| line.set == reading.set && line.date == reading.date;
            let at = match of_job.iter().position(known) {
                Some(at) => at,
                None => {
                    of_job.push(Line {
                        view,
                        set: &reading.set,
                        date: &reading.date,
                        verdicts: Vec::new(),
                        worst: None,
                    });
                    of_job.len() - 1
                }
            };
            let line = &mut of_job[at];
            line.verdicts.push(compared.judgement.verdict);
            let worse = line
                .worst
                .is_none_or(|worst| badness((compared, reading)) > badness(worst));
            if worse {
                line.worst = Some((compared, reading));
            }
        }
        lines.extend(of_job);
    }
    lines
}

/// One table over all jobs.
pub(crate) fn blocks(views: &[CompareView<'_>]) -> Vec<Block> {
    let lines = lines(views);
    let several = views.len() > 1;
    let dated = lines.iter().any(|line| !line.date.is_empty());
    let mut columns = Vec::new();
    if several {
        columns.push(Column::new("job", "", Align::Left));
    }
    columns.push(Column::new("set", "", Align::Left));
    if dated {
        columns.push(Column::new("date", "", Align::Left));
    }
    columns.extend([
        Column::new("read", "", Align::Right),
        Column::new("pass", "", Align::Right),
        Column::in_two_lines("cond.", "pass", Align::Right),
        Column::in_two_lines("cond.", "fail", Align::Right),
        Column::new("fail", "", Align::Right),
        Column::in_two_lines("not", "decided", Align::Right),
        Column::in_two_lines("worst", "point", Align::Left),
        Column::new("from the nearest limit", "", Align::Left),
        Column::new("verdict", "", Align::Left),
    ]);
    let rows = lines
        .iter()
        .map(|line| {
            let mut cells: Vec<Cell> = Vec::new();
            if several {
                cells.push(Cell::from(line.view.job.folder.clone()));
            }
            cells.push(Cell::from(match line.set {
                "" => "—".to_owned(),
                set => set.to_owned(),
            }));
            if dated {
                cells.push(Cell::from(line.date.to_owned()));
            }
            cells.extend(counts(line).map(|count| Cell::from(count.to_string())));
            let (word, tone) = verdict(line.worst_verdict());
            cells.push(Cell::from(line.worst_point()));
            cells.push(Cell::from(line.worst_distance()));
            cells.push(Cell::toned(word, tone));
            cells
        })
        .collect();
    let title = match views {
        [only] => heading::title(only.job),
        _ => "Sets compared".to_owned(),
    };
    vec![
        Block::Title(title),
        Block::Table(Table { columns, rows }),
        Block::Lines(vec![
            "Worst: the reading with the worst verdict, and of several the one furthest out. \
             Not decided: too coarse to decide, or not judged."
                .to_owned(),
        ]),
    ]
}

/// Readings, passes, conditional passes, conditional fails, fails, undecided ones.
fn counts(line: &Line<'_>) -> [usize; 6] {
    [
        line.verdicts.len(),
        line.count(&[Verdict::Pass]),
        line.count(&[Verdict::ConditionalPass]),
        line.count(&[Verdict::ConditionalFail]),
        line.count(&[Verdict::Fail]),
        line.count(&[Verdict::TooCoarse, Verdict::NotJudged]),
    ]
}

/// The same as rows.
pub(crate) fn csv(views: &[CompareView<'_>]) -> CsvTable {
    let rows = lines(views)
        .iter()
        .map(|line| {
            let mut row = vec![
                line.view.job.folder.clone(),
                line.set.to_owned(),
                line.date.to_owned(),
            ];
            row.extend(counts(line).map(|count| count.to_string()));
            row.extend([
                line.worst_point(),
                maybe(line.worst_off()),
                line.worst_verdict().word().to_owned(),
            ]);
            row
        })
        .collect();
    let heads = "job,set,date,readings,pass,conditional pass,conditional fail,fail,undecided,\
         worst point,worst deviation (%),worst verdict";
    CsvTable::listed(heads, rows)
}
