//! What is said under a table of readings: how many pass, what the words mean, what is missing.

use circuit::{Job, Quantity, Reading, Shown};
use translate::{Compared, Comparison, Verdict};

use crate::compare_table::{caption, meter_and_range, taken};
use crate::figures;
use crate::inputs::Rested;
use crate::record::sets;
use crate::remarks;

/// Said where a verdict with a guard band stands above.
const COARSE: &str = "Too coarse to decide: half the band is less than 1.96 u, so that even a \
                      reading in the middle of it would prove nothing.";

/// Notes under the tables of one job; `several` names the set of each reading.
pub(crate) fn notes(job: &Job, comparison: &Comparison, several: bool) -> Vec<String> {
    let counted = Counted {
        job,
        comparison,
        several,
    };
    let mut notes = counted.sums();
    let unread: Vec<String> = (0..job.manual.len())
        .filter(|index| comparison.readings.iter().all(|c| c.entry != Some(*index)))
        // Labels such as "V1 pin 7" are not parted.
        .map(|index| job.manual[index].point.replace(' ', "\u{a0}"))
        .collect();
    if !unread.is_empty() {
        notes.push(format!("Not read: {}.", unread.join(", ")));
    }
    notes.extend(
        taken(job, comparison)
            .filter(|(compared, _)| compared.entry.is_none() && compared.quantity.is_none())
            .map(|(compared, reading)| stranger(compared, reading)),
    );
    if counted.of_manual().count() > 0 {
        notes.push(words(job.bench.guard));
        if counted.any(Verdict::TooCoarse) {
            notes.push(COARSE.to_owned());
        }
    }
    notes.push(remarks::BAND.to_owned());
    if comparison
        .readings
        .iter()
        .any(|compared| compared.range.assumed)
    {
        notes.push(remarks::ASSUMED.to_owned());
    }
    notes.extend(remarks::notes(job, &comparison.translation));
    notes
}

/// How many readings of the manual's points pass, and which do not.
pub(crate) fn sums(job: &Job, comparison: &Comparison) -> Vec<String> {
    let several = sets(job, comparison).len() > 1;
    Counted {
        job,
        comparison,
        several,
    }
    .sums()
}

/// What the verdicts mean with this guard band.
pub(crate) fn words(guard: f64) -> String {
    if guard <= 0.0 {
        return "Pass and fail by the band alone, without a guard band; p: probability that the \
                point lies inside the band (ILAC-G8:09/2019, 4.2.1)."
            .to_owned();
    }
    let width = match (guard - 1.0).abs() < 1e-9 {
        true => "U".to_owned(),
        false => format!("{} U", figures::short(guard, 3)),
    };
    format!(
        "Pass: inside the band by more than {width}; conditional pass: inside by less; \
         conditional fail: outside by less; fail: outside by more (guard band of \
         ILAC-G8:09/2019, 4.2.3). p: probability that the point lies inside the band."
    )
}

/// The readings of a job, to be counted.
struct Counted<'a> {
    job: &'a Job,
    comparison: &'a Comparison,
    several: bool,
}

impl<'a> Counted<'a> {
    fn of_manual(&self) -> impl Iterator<Item = (&'a Compared, &'a Reading)> {
        taken(self.job, self.comparison)
            .filter(|(compared, _)| compared.entry.is_some() || compared.quantity.is_some())
    }

    fn with(&self, wanted: Verdict) -> impl Iterator<Item = (&'a Compared, &'a Reading)> {
        self.of_manual()
            .filter(move |(compared, _)| compared.judgement.verdict == wanted)
    }

    fn any(&self, wanted: Verdict) -> bool {
        self.with(wanted).next().is_some()
    }

    /// One line that counts, and one for each verdict that asks for a look.
    fn sums(&self) -> Vec<String> {
        let total = self.of_manual().count();
        if total == 0 {
            return vec!["No reading of any point of the manual.".to_owned()];
        }
        let order = [
            Verdict::Fail,
            Verdict::ConditionalFail,
            Verdict::TooCoarse,
            Verdict::ConditionalPass,
            Verdict::NotJudged,
        ];
        let counts: Vec<String> = std::iter::once(Verdict::Pass)
            .chain(order.into_iter().rev().filter(|v| *v != Verdict::NotJudged))
            .chain([Verdict::NotJudged])
            .filter_map(|verdict| {
                let count = self.with(verdict).count();
                (count > 0).then(|| format!("{count} {}", verdict.word()))
            })
            .collect();
        let readings = if total == 1 { "reading" } else { "readings" };
        let mut sums = vec![format!("{total} {readings}: {}.", counts.join(", "))];
        for verdict in order {
            sums.extend(self.listed(verdict));
        }
        sums
    }

    /// The points of a verdict in one line; too coarse ones by what makes them uncertain.
    fn listed(&self, verdict: Verdict) -> Vec<String> {
        let mut lists: Vec<(String, Vec<String>)> = Vec::new();
        for (compared, reading) in self.with(verdict) {
            let head = match verdict {
                Verdict::TooCoarse => self
                    .largest(compared, reading)
                    .map_or(capital(verdict).to_owned(), |what| {
                        format!("{}, mostly for the {what}", capital(verdict))
                    }),
                _ => capital(verdict).to_owned(),
            };
            let label = self.label(compared, reading);
            match lists.iter_mut().find(|(known, _)| *known == head) {
                Some((_, labels)) => labels.push(label),
                None => lists.push((head, vec![label])),
            }
        }
        let line =
            |(head, labels): (String, Vec<String>)| format!("{head}: {}.", labels.join(", "));
        lists.into_iter().map(line).collect()
    }

    /// The point, with its set and date where there are several.
    fn label(&self, compared: &Compared, reading: &Reading) -> String {
        let entry = compared.entry.and_then(|entry| self.job.manual.get(entry));
        let point = entry.map_or(&reading.point, |entry| &entry.point);
        let caption = caption(&reading.set, &reading.date);
        match self.several && !caption.is_empty() {
            true => format!("{point} ({caption})"),
            false => point.clone(),
        }
    }

    fn largest(&self, compared: &Compared, reading: &Reading) -> Option<String> {
        let entry = compared.entry?;
        let side = compared.expected.as_ref()?;
        let outcomes = &self.comparison.translation.points;
        let carried = outcomes.get(entry)?.outcome.as_ref().ok()?;
        let rested = Rested {
            job: self.job,
            entry: self.job.manual.get(entry)?,
            manual_range: carried.manual.range,
            side,
            reading: Some(reading),
        };
        Some(rested.words(side.budget.lines.first()?.input))
    }
}

fn capital(verdict: Verdict) -> &'static str {
    match verdict {
        Verdict::Pass => "Pass",
        Verdict::ConditionalPass => "Conditional pass",
        Verdict::ConditionalFail => "Conditional fail",
        Verdict::Fail => "Fail",
        Verdict::TooCoarse => "Too coarse to decide",
        Verdict::NotJudged => "Not judged",
    }
}

/// A reading of a point that the manual lacks.
fn stranger(compared: &Compared, reading: &Reading) -> String {
    let value = match &reading.shown {
        Shown::Value(figure) => figures::printed_with_unit(figure, Quantity::DcVolts),
        Shown::Overrange => "OL".to_owned(),
    };
    format!(
        "Point {} is not in the manual: {value} read with {}.",
        reading.point,
        meter_and_range(compared, reading)
    )
}
