//! The resistor that makes one meter load like another, as a report.

use translate::{Clip, Imitation, NoClip};
use units::{Joined, Pair, Unit};

use crate::csv_text::{number, CsvTable};
use crate::document::Block;
use crate::figures;
use crate::labels::gathered;
use crate::table::{Align, Cell, Column, Table};

/// Two meters, and what makes the one load like the other.
#[derive(Clone, Copy, Debug)]
pub struct ImitateView<'a> {
    /// The meter in hand.
    pub own: &'a str,
    /// The meter that is imitated.
    pub other: &'a str,
    /// A line a range.
    pub found: &'a [Imitation],
}

/// A pair that comes nearer by less than this share is not worth two parts: a third of a usual
/// digital meter's error.
const WORTH_A_PAIR: f64 = 0.002;

const HAZARD: &str = "Hazard: the resistor carries the point's full volts. Clip it on with the \
                      power off and capacitors discharged, use insulated clips and a body rated as \
                      above, keep hands off it, and take it away before the next point: forgotten, \
                      it is a load nobody expects. Never across a mains point.";

pub(crate) fn blocks(view: &ImitateView<'_>) -> Vec<Block> {
    let mut notes = vec![
        "Left: remaining difference from the load of the imitated meter; the error of a reading is \
         smaller."
            .to_owned(),
        "Watts: what the resistor turns to heat at full scale, and what to buy, at least twice \
         that. Volts: what it must stand, a margin of 1.4 included; a usual body stands about \
         350 V, so more asks for several equal ones in series."
            .to_owned(),
    ];
    let said = |one: &Imitation| {
        let words = match &one.clip {
            Err(NoClip::LoadsMore) => format!(
                "{} loads more there already ({}); nothing clipped across it takes that away.",
                view.own,
                figures::stated(one.own_ohms, Unit::Ohm)
            ),
            Err(NoClip::AlreadyAlike) => "both load alike; no resistor is needed.".to_owned(),
            Ok(clip) if clip.bodies > 1 => {
                format!("{} equal resistors in series share the volts.", clip.bodies)
            }
            Ok(_) => return None,
        };
        Some((words, figures::range(one.range.full_scale, false)))
    };
    let said = gathered(view.found.iter().filter_map(said));
    let line = |(words, ranges): (String, Vec<String>)| format!("{}: {words}", ranges.join(", "));
    notes.extend(said.into_iter().map(line));
    notes.push(HAZARD.to_owned());
    let mut blocks = vec![Block::Title(format!(
        "Clip across {} so that it loads like {}",
        view.own, view.other
    ))];
    let table = table(view);
    if table.rows.is_empty() {
        // Nothing to clip on: only why.
        notes.drain(..2);
        notes.pop();
    } else {
        blocks.push(Block::Table(table));
    }
    blocks.push(Block::Lines(notes));
    blocks
}

fn table(view: &ImitateView<'_>) -> Table {
    let mut rows = Vec::new();
    for one in view.found {
        let Ok(clip) = &one.clip else { continue };
        rows.extend(rows_of(one, clip));
    }
    Table {
        columns: vec![
            Column::new("range", "", Align::Left),
            Column::new("wanted", "", Align::Left),
            Column::new("exactly", "", Align::Right),
            Column::new("series", "", Align::Left),
            Column::new("take", "", Align::Left),
            Column::new("left", "%", Align::Decimal),
            Column::new("heat", "W", Align::Right),
            Column::new("rated", "W, V", Align::Right),
        ],
        rows,
    }
}

fn rows_of(one: &Imitation, clip: &Clip) -> Vec<Vec<Cell>> {
    let singles = clip.single.iter().map(|(series, nearest)| {
        let take = figures::stated(nearest.ohms, Unit::Ohm);
        (series.name().to_owned(), take, nearest.off)
    });
    // A pair of common values is worth a line where it comes nearer; of E96 one is near enough.
    let nearer = clip.pair.iter().zip(&clip.single).take(2);
    let nearer = nearer
        .filter(|((_, _, pair), (_, single))| single.off.abs() > pair.off.abs() + WORTH_A_PAIR);
    let pairs = nearer.map(|((series, pair, nearest), _)| {
        (
            format!("{} pair", series.name()),
            pair_words(pair),
            nearest.off,
        )
    });
    singles
        .chain(pairs)
        .enumerate()
        .map(|(line, (series, take, off))| {
            let first = |text: String| match line {
                0 => text,
                _ => String::new(),
            };
            [
                first(figures::range(one.range.full_scale, false)),
                first(figures::stated(one.wanted_ohms, Unit::Ohm)),
                first(figures::digits(clip.ohms / scale(clip.ohms).0, 4) + scale(clip.ohms).1),
                series,
                take,
                figures::signed_percent(off * 100.0),
                first(figures::short(clip.watts, 2)),
                first(format!(
                    "{} W, {} V",
                    figures::short(clip.rated_watts, 3),
                    figures::short(clip.rated_volts.ceil(), 4)
                )),
            ]
            .map(Cell::from)
            .to_vec()
        })
        .collect()
}

fn scale(ohms: f64) -> (f64, &'static str) {
    match ohms {
        ohms if ohms >= 1e6 => (1e6, " MΩ"),
        ohms if ohms >= 1e3 => (1e3, " kΩ"),
        _ => (1.0, " Ω"),
    }
}

fn pair_words(pair: &Pair) -> String {
    let sign = match pair.joined {
        Joined::Series => "+",
        Joined::Parallel => "∥",
    };
    format!(
        "{} {sign} {}",
        figures::stated(pair.first, Unit::Ohm),
        figures::stated(pair.second, Unit::Ohm)
    )
}

/// Why no resistor makes a meter load like another.
pub(crate) fn why_none(why: &NoClip) -> &'static str {
    match why {
        NoClip::AlreadyAlike => "loads alike already",
        NoClip::LoadsMore => "loads more already",
    }
}

pub(crate) fn csv(view: &ImitateView<'_>) -> CsvTable {
    let mut rows = Vec::new();
    for one in view.found {
        let start = [
            view.own.to_owned(),
            view.other.to_owned(),
            number(one.range.full_scale),
            number(one.wanted_ohms),
            number(one.own_ohms),
        ];
        match &one.clip {
            Err(why) => {
                let why = why_none(why);
                let blanks = std::iter::repeat_n(String::new(), 8);
                rows.push(
                    start
                        .into_iter()
                        .chain(blanks)
                        .chain([why.to_owned()])
                        .collect(),
                );
            }
            Ok(clip) => {
                let mut row = |series: String, ohms: f64, pair: String, off: f64| {
                    let cells = [
                        number(clip.ohms),
                        series,
                        number(ohms),
                        pair,
                        number(off * 100.0),
                        number(clip.watts),
                        number(clip.rated_watts),
                        number(clip.rated_volts),
                        String::new(),
                    ];
                    rows.push(start.iter().cloned().chain(cells).collect());
                };
                for (series, nearest) in &clip.single {
                    let name = series.name().to_owned();
                    row(name, nearest.ohms, String::new(), nearest.off);
                }
                for (series, pair, nearest) in &clip.pair {
                    let name = format!("{} pair", series.name());
                    row(name, pair.ohms(), pair_words(pair), nearest.off);
                }
            }
        }
    }
    let heads = "meter,like,range (V),wanted (ohm),own (ohm),resistor (ohm),series,take (ohm),\
         pair,load off (%),heat (W),rated (W),rated (V),why none";
    CsvTable::listed(heads, rows)
}
