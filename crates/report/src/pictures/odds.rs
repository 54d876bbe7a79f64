//! The probability of each suspect, as bars.

use circuit::Job;
use diagnose::{AmbiguityGroup, Hypothesis};
use paper::{Axis, Bar, BarChart, Fill, Ink, Picture, Scale};

use super::{unbroken, WIDTH};
use crate::clean::clean;
use crate::figures;
use crate::heading;
use crate::suspects::{suspect_words, NONE_USED};
use crate::views::SuspectsView;

/// Suspects that get a bar of their own.
const MOST: usize = 10;

/// Probability below which a suspect is told with the others.
const SMALL: f64 = 0.005;

/// A bar for each suspect on one scale of 0 to 100 %, the most probable first, the small ones together; filled for a part, hatched for a
/// reading that is wrong itself, open for a set in order. None where nothing can be told.
#[must_use]
pub fn odds_picture(view: &SuspectsView<'_>) -> Option<Picture> {
    let title = format!(
        "What the readings point to: {}",
        clean(&heading::title(view.job))
    );
    if view.suspects.readings.is_empty() {
        // What is likely before any reading would pass for what the readings say.
        return Some(Picture::new(WIDTH, 0.0, title).headed(NONE_USED));
    }
    let suspects = &view.suspects.hypotheses;
    let first = suspects.first()?;
    let own = suspects
        .iter()
        .take(MOST)
        .take_while(|suspect| suspect.probability >= SMALL)
        .count()
        .max(1);
    let mut bars: Vec<Bar> = suspects
        .iter()
        .take(own)
        .map(|s| bar(view.job, s))
        .collect();
    let others = suspects.len() - own;
    if others > 0 {
        let rest = suspects.iter().skip(own).map(|s| s.probability).sum();
        bars.push(Bar {
            label: match others {
                1 => "one more, less likely".to_owned(),
                _ => format!("{others} more together, each less likely"),
            },
            value: 100.0 * rest,
            words: format!("{} %", figures::probability(rest)),
            fill: Fill::Flat(Ink::Light),
        });
    }
    let chart = BarChart {
        title,
        subtitle: "filled: a part; hatched: a reading that is wrong itself, or none of these; \
                   open: a set in order"
            .to_owned(),
        description: format!(
            "Most probable: {}, {} %.",
            words(view.job, first),
            figures::probability(first.probability)
        ),
        width: WIDTH,
        axis: Axis::new("probability, %", Scale::Linear, (0.0, 100.0), &|value| {
            figures::decimal(value, 0)
        }),
        bars,
    };
    Some(chart.picture())
}

fn bar(job: &Job, suspect: &AmbiguityGroup) -> Bar {
    let fault = suspect.members.first().and_then(|m| m.faults.first());
    let fill = match fault {
        Some((hypothesis, _)) if *hypothesis == Hypothesis::NothingWrong => Fill::Open,
        Some((hypothesis, _)) if hypothesis.part().is_none() => Fill::Hatch(Ink::Dark),
        _ => Fill::Flat(Ink::Light),
    };
    Bar {
        label: words(job, suspect),
        value: 100.0 * suspect.probability,
        words: format!("{} %", figures::probability(suspect.probability)),
        fill,
    }
}

/// The first member in words, and how many more look the same to the readings.
fn words(job: &Job, suspect: &AmbiguityGroup) -> String {
    let first = suspect.members.first();
    let words = first.map_or(String::new(), |member| suspect_words(job, member));
    unbroken(&clean(&match suspect.members.len() {
        0 | 1 => words,
        2 => format!("{words}, or another like it"),
        several => format!("{words}, or {} others like it", several - 1),
    }))
}
