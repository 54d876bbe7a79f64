//! What the faults of one part predict, point by point, beside what was read.
//!
//! A view and the part asked for come in; a table a fault goes out, the most probable first, and a line
//! for those that the readings rule out.

use circuit::{Job, Quantity};
use diagnose::{AmbiguityGroup, Member, Suspects};

use crate::document::Block;
use crate::figures;
use crate::heading;
use crate::places::where_text;
use crate::table::{Align, Cell, Column, Table};
use crate::views::{Explained, SuspectsView};

use super::verdict::misfits;
use super::words::{fault_words, suspect_words};

/// Faults told in full, and the probability below which only the first is.
const MOST: usize = 4;
const LEAST: f64 = 1e-4;

/// Said under the tables.
const NOTE: &str = "σ: standard deviation of reading and prediction together, the tolerances of \
                    all other parts in it; off: reading less prediction in σ, beyond 2 it does \
                    not fit; in order: the same for a set in order. Readings share their σ, so \
                    several small ones that all point one way can weigh much.";

/// Predicted against read for every fault of what is asked for.
pub(crate) fn blocks(view: &SuspectsView<'_>, asked: Explained) -> Vec<Block> {
    let (job, suspects) = (view.job, view.suspects);
    let mut blocks = vec![Block::Title(heading::title(job))];
    let own = asked_for(job, suspects, asked);
    let (full, brief): (Vec<_>, Vec<_>) =
        own.iter().enumerate().partition(|(place, (_, _, member))| {
            *place == 0 || (*place < MOST && member.probability >= LEAST)
        });
    for (_, (rank, suspect, member)) in full {
        blocks.push(Block::Caption(suspect_words(job, member)));
        blocks.push(Block::Lines(vec![standing(*rank, suspect, member)]));
        for quantity in [Quantity::DcVolts, Quantity::DcMilliamperes] {
            let table = table(view, (suspect, member), quantity);
            if quantity == Quantity::DcVolts || !table.rows.is_empty() {
                blocks.push(Block::Table(table));
            }
        }
    }
    let lines = brief.into_iter();
    let mut lines: Vec<String> = lines
        .map(|(_, (_, suspect, member))| ruled_out(job, suspects, suspect, member))
        .collect();
    lines.extend(not_computed(job, suspects, asked));
    match own.is_empty() {
        true => lines.push("None of its faults can be weighed by these readings.".to_owned()),
        false => lines.push(NOTE.to_owned()),
    }
    blocks.push(Block::Lines(lines));
    blocks
}

/// Suspects of what is asked for, with their places and the member that is of it, the most probable
/// first.
pub(crate) fn asked_for<'a>(
    job: &Job,
    suspects: &'a Suspects,
    asked: Explained,
) -> Vec<(usize, &'a AmbiguityGroup, &'a Member)> {
    let ranked = suspects.hypotheses.iter().enumerate();
    let mut own: Vec<(usize, &'a AmbiguityGroup, &'a Member)> = ranked
        .flat_map(|(rank, suspect)| {
            let members = suspect.members.iter();
            members.map(move |member| (rank, suspect, member))
        })
        .filter(|(_, _, member)| asked.is_of(&job.circuit, member))
        .collect();
    own.sort_by(|a, b| b.2.probability.total_cmp(&a.2.probability));
    own
}

fn standing(rank: usize, suspect: &AmbiguityGroup, member: &Member) -> String {
    let percent = |share: f64| figures::share(share);
    let with = match suspect.members.len() - 1 {
        0 => String::new(),
        1 => "; one other fault reads the same".to_owned(),
        many => format!("; {many} other faults read the same"),
    };
    format!(
        "{} % before the readings, {} % after them, no. {} of the ranking{with}.",
        percent(member.prior),
        percent(member.probability),
        rank + 1
    )
}

fn ruled_out(job: &Job, suspects: &Suspects, suspect: &AmbiguityGroup, member: &Member) -> String {
    let odd = match misfits(job, suspects, suspect) {
        none if none.is_empty() && suspect.fits_together() => {
            "fits every reading, but is too rare".to_owned()
        }
        none if none.is_empty() => "fits each reading, but not all together".to_owned(),
        some => format!("does not fit {some}"),
    };
    format!(
        "{}: {} %; {odd}.",
        suspect_words(job, member),
        figures::share(member.probability)
    )
}

fn not_computed(job: &Job, suspects: &Suspects, asked: Explained) -> Vec<String> {
    let own = suspects.not_computed.iter().filter(|one| match asked {
        Explained::Part(id) => one.hypothesis.is_about(&job.circuit, id),
        Explained::NothingWrong => false,
    });
    own.map(|one| {
        let words = fault_words(job, &one.hypothesis, None);
        format!("{words}: not weighed, for {}.", one.why)
    })
    .collect()
}

/// The readings of one quantity: volts, or milliamperes.
fn table(
    view: &SuspectsView<'_>,
    (suspect, member): (&AmbiguityGroup, &Member),
    quantity: Quantity,
) -> Table {
    let unit = match quantity {
        Quantity::DcMilliamperes => "mA",
        _ => "V",
    };
    let in_order = asked_for(view.job, view.suspects, Explained::NothingWrong);
    let in_order = in_order
        .first()
        .map(|(_, suspect, member)| (*suspect, *member));
    let columns = vec![
        Column::new("point", "", Align::Left),
        Column::new("where", "", Align::Left),
        Column::new("read", unit, Align::Decimal),
        Column::new("predicted", unit, Align::Decimal),
        Column::new("σ", unit, Align::Decimal),
        Column::new("off", "σ", Align::Decimal),
        Column::new("in order", "σ", Align::Decimal),
    ];
    let used = view.suspects.readings.iter().enumerate();
    let rows = used
        .filter(|(_, used)| used.quantity == quantity)
        .filter_map(|(place, _)| row(view, (suspect, member), in_order, place));
    Table {
        rows: rows.collect(),
        columns,
    }
}

fn row(
    view: &SuspectsView<'_>,
    own: (&AmbiguityGroup, &Member),
    in_order: Option<(&AmbiguityGroup, &Member)>,
    place: usize,
) -> Option<Vec<Cell>> {
    let used = view.suspects.readings.get(place)?;
    // What reads the same scatters as the first of it does.
    let of = |(suspect, member): (&AmbiguityGroup, &Member)| {
        Some((*member.predicted.get(place)?, *suspect.sigma.get(place)?))
    };
    let (predicted, sigma) = of(own)?;
    let reading = view.job.readings.get(used.reading)?;
    let entry = used.entry.and_then(|entry| view.job.manual.get(entry));
    let off = |which: (&AmbiguityGroup, &Member)| {
        let (predicted, sigma) = of(which)?;
        Some((used.shown? - predicted) / sigma)
    };
    let in_s = |off: Option<f64>| off.map_or(String::new(), |off| figures::decimal(off, 1));
    let scale = match used.quantity {
        Quantity::DcMilliamperes => 1e3,
        _ => 1.0,
    };
    let decimals = decimals_of(scale * sigma);
    let cells = [
        reading.point.clone(),
        entry.map_or(String::new(), |entry| where_text(view.job, entry)),
        match used.shown {
            Some(shown) => figures::decimal(scale * shown, decimals),
            None => "OL".to_owned(),
        },
        figures::decimal(scale * predicted, decimals),
        figures::decimal(scale * sigma, decimals),
        in_s(off(own)),
        in_s(in_order.and_then(off)),
    ];
    Some(cells.map(Cell::from).to_vec())
}

/// Decimals that show two digits of a standard deviation (JCGM 100:2008, 7.2.6).
fn decimals_of(sigma: f64) -> usize {
    match sigma.is_finite() && sigma > 0.0 {
        true => (1.0 - sigma.log10().floor()).clamp(0.0, 4.0) as usize,
        false => 3,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_deviation_shows_two_digits() {
        let got = [12.3, 1.23, 0.123, 0.0123, 1e-9, 0.0].map(decimals_of);
        assert_eq!(got, [0, 1, 2, 3, 4, 3]);
    }
}
