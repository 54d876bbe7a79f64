//! Windings with taps, and transformers of many windings:
//! `T1: transformer, primary 8R line1 to line2, high 180R 190R hv1 to ct to hv2, heater 0.1R h1 to h2`,
//! `L3: coil 5R 10R, a to tap to b`, `T2: autotransformer 12R, line to tap to common`.
//!
//! Each length between two leads is a coil of its resistance. A winding whose resistance is stated
//! once is divided evenly between its leads (assumed). Direct current knows no turns ratio.

use circuit::{Inductor, PartKind};
use units::{Figure, Unit};

use super::{between_commas, no_connection, Drawn, Piece};
use crate::netlist::class::Class;
use crate::netlist::items::{Item, ItemKind};
use crate::netlist::lex::Word;
use crate::netlist::part::{warn_of_no_resistance, PURPOSES};
use crate::netlist::split::WINDINGS;
use crate::netlist::values::{Doubted, Values};

const HELP: &str = "write `primary NODE to NODE`, or with its resistance and a tap \
                    `primary 350R NODE to NODE to NODE`";

const KINDS: [&str; 5] = [
    "transformer",
    "autotransformer",
    "coil",
    "choke",
    "inductor",
];

struct Winding<'c, 'a> {
    label: Option<&'c Word<'a>>,
    ohms: Vec<f64>,
    leads: Vec<&'c Word<'a>>,
}

/// Whether a line is more than a coil of two ends, or a transformer of two windings of two ends
/// with a ratio.
pub(super) fn is_composite(class: Class, items: &[Item<'_>], connections: &[Word<'_>]) -> bool {
    let pieces: Vec<&[Word<'_>]> = connections.split(|word| word.text == ",").collect();
    let links = |piece: &&[Word<'_>]| piece.iter().filter(|word| word.is("to")).count();
    let tapped = pieces.iter().any(|piece| links(piece) > 1);
    if class == Class::Inductor {
        return tapped;
    }
    let known = |piece: &&[Word<'_>]| {
        piece
            .first()
            .is_some_and(|first| WINDINGS.iter().any(|winding| first.is(winding)))
    };
    let inside = pieces.iter().any(|piece| {
        let after_label = piece.get(1).is_some_and(|word| is_ohms(word.text));
        after_label && piece.len() > 4
    });
    let linked = connections.iter().any(|word| word.is("to"));
    let auto = items
        .iter()
        .any(|item| item.text.eq_ignore_ascii_case("autotransformer"));
    let ratio = items.iter().any(|item| item.kind == ItemKind::Ratio);
    let labelled = pieces.iter().all(known);
    let bare = linked && labelled && pieces.len() == 2 && !ratio;
    let named = !ratio && pieces.len() == 2 && pieces.iter().all(|piece| piece.len() == 4);
    auto || tapped || inside || bare || (linked && (pieces.len() > 2 || named))
}

fn is_ohms(text: &str) -> bool {
    let digit = text.starts_with(|c: char| c.is_ascii_digit());
    digit && Figure::parse(text, Unit::Ohm).is_ok()
}

pub(super) fn read<'a>(values: &mut Values<'a, '_>, connections: &[Word<'a>]) -> Option<Drawn<'a>> {
    for word in KINDS.into_iter().chain(PURPOSES) {
        values.flag(word);
    }
    while values.take(|item| item.kind == ItemKind::Ratio).is_some() {}
    let whole = left_ohms(values);
    let pieces = between_commas(values, connections, "primary NODE to NODE")?.into_iter();
    let windings: Option<Vec<_>> = pieces.map(|piece| winding(values, piece)).collect();
    let mut windings = windings?;
    if let Some((bytes, message)) = misnamed(&windings) {
        let help = "give each winding a name of its own, such as `heater1` and `heater2`";
        values.reject(&bytes, message, help);
        return None;
    }
    distribute(values, &mut windings, &whole)?;
    if windings.iter().any(|winding| winding.ohms.is_empty()) {
        warn_of_no_resistance(values, "350R");
    }
    Some(draw(windings))
}

/// Resistances before the connections; the henries of a coil are left aside.
fn left_ohms(values: &mut Values<'_, '_>) -> Vec<f64> {
    let henries = |item: &Item<'_>| {
        item.kind == ItemKind::Value
            && Figure::parse(item.text, Unit::Henry).is_ok()
            && Figure::parse(item.text, Unit::Ohm).is_err()
    };
    while values.take(henries).is_some() {}
    let mut found = Vec::new();
    while let Some(ohms) = values.figure("winding resistance", Unit::Ohm, Doubted::Large) {
        found.push(values.zero_or_more(Some(ohms), "a winding resistance"));
    }
    found
}

/// One winding: its name, its resistances, its leads from end to end.
fn winding<'c, 'a>(values: &mut Values<'a, '_>, piece: &'c [Word<'a>]) -> Option<Winding<'c, 'a>> {
    let first = piece.iter().position(|word| word.is("to"));
    let Some(first) = first.filter(|at| *at > 0) else {
        return no_connection(values, piece, HELP);
    };
    let (head, chain) = (piece.get(..first - 1)?, piece.get(first - 1..)?);
    let mut leads = Vec::new();
    let mut rest = chain;
    while let [lead, after @ ..] = rest {
        leads.push(lead);
        rest = match after {
            [to, next @ ..] if to.is("to") && !next.is_empty() => next,
            other => {
                rest = other;
                break;
            }
        };
    }
    let (label, before) = match head {
        [label, before @ ..] if !is_ohms(label.text) => (Some(label), before),
        other => (None, other),
    };
    let mut ohms = Vec::new();
    for word in before.iter().chain(rest) {
        match Figure::parse(word.text, Unit::Ohm) {
            Ok(figure) if figure.value >= 0.0 => ohms.push(figure.value),
            _ => return no_connection(values, piece, HELP),
        }
    }
    let named = values.can_be_nodes(&leads);
    named.then_some(Winding { label, ohms, leads })
}

/// Windings of one name, or one among several without a name.
fn misnamed(windings: &[Winding<'_, '_>]) -> Option<(std::ops::Range<usize>, String)> {
    for (index, winding) in windings.iter().enumerate() {
        let lead = winding.leads.first()?;
        let before = windings.get(..index)?;
        match winding.label {
            None if windings.len() > 1 => {
                let message = "which winding this is, is not said".to_owned();
                return Some((lead.bytes.clone(), message));
            }
            Some(label) => {
                let again =
                    |other: &Winding<'_, '_>| other.label.is_some_and(|other| other.is(label.text));
                if before.iter().any(again) {
                    let message = format!("there is a winding '{}' already", label.text);
                    return Some((label.bytes.clone(), message));
                }
            }
            None => {}
        }
    }
    None
}

/// Gives each length of each winding its resistance; none if it could not, which is reported.
fn distribute(
    values: &mut Values<'_, '_>,
    windings: &mut [Winding<'_, '_>],
    whole: &[f64],
) -> Option<()> {
    let lengths: usize = windings.iter().map(|winding| winding.leads.len() - 1).sum();
    let inside = windings.iter().any(|winding| !winding.ohms.is_empty());
    if !whole.is_empty() {
        let each = whole.len() == windings.len();
        if inside || !(each || whole.len() == lengths) {
            let message = format!(
                "has {} windings in {lengths} lengths, and {} resistances",
                windings.len(),
                whole.len()
            );
            let help = "write each resistance behind the name of its winding: \
                        `primary 8R NODE to NODE`";
            values.reject_part(&message, help);
            return None;
        }
        let mut left = whole.iter().copied();
        for winding in windings.iter_mut() {
            let count = if each { 1 } else { winding.leads.len() - 1 };
            winding.ohms = left.by_ref().take(count).collect();
        }
    }
    for winding in windings.iter_mut() {
        let lengths = winding.leads.len() - 1;
        match winding.ohms.as_slice() {
            [one] if lengths > 1 => winding.ohms = vec![one / lengths as f64; lengths],
            stated if stated.is_empty() || stated.len() == lengths => {}
            stated => {
                let message = format!(
                    "{} resistances are stated for {lengths} lengths",
                    stated.len()
                );
                let bytes = winding.leads.first().map(|lead| lead.bytes.clone());
                let help = "write one for the whole winding, or one for each length";
                values.reject(&bytes.unwrap_or(0..0), message, help);
                return None;
            }
        }
    }
    Some(())
}

fn draw<'a>(windings: Vec<Winding<'_, 'a>>) -> Drawn<'a> {
    let mut drawn = Drawn::default();
    for winding in windings {
        let lengths = winding.leads.len() - 1;
        let label = winding.label.map_or("", |label| label.text);
        for (index, ends) in winding.leads.windows(2).enumerate() {
            let [from, to] = ends else { continue };
            let number = match lengths {
                1 => String::new(),
                _ => (index + 1).to_string(),
            };
            let name = format!("{label}{number}");
            drawn.pieces.push(Piece {
                suffix: match name.is_empty() {
                    true => String::new(),
                    false => format!(".{name}"),
                },
                kind: PartKind::Inductor(Inductor {
                    henries: None,
                    ohms: winding.ohms.get(index).copied().unwrap_or(0.0),
                }),
                nodes: vec![(*from).clone(), (*to).clone()],
            });
        }
        for (index, lead) in winding.leads.iter().enumerate() {
            let place = match index {
                0 => "start".to_owned(),
                last if last == lengths => "end".to_owned(),
                _ if lengths == 2 => "tap".to_owned(),
                tap => format!("tap{tap}"),
            };
            let name = format!("{label} {place}").trim().to_owned();
            drawn.leads.push((name, (*lead).clone()));
        }
    }
    drawn
}
