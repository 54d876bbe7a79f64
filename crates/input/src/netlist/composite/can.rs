//! Cans of several capacitors: `C1: 20-20-20uF 450V, a to chassis, b to chassis, c to chassis`.
//!
//! Each section is a part of its own, `C1A`, `C1B` and so on, in the order of the values.

use std::ops::Range;

use circuit::{Capacitor, PartKind};
use units::{Figure, Unit};

use super::super::part::dielectric;
use super::{between_commas, no_connection, Drawn, Piece};
use crate::netlist::items::ItemKind;
use crate::netlist::lex::Word;
use crate::netlist::values::{Doubted, Values};

const EXAMPLE: &str = "a to chassis, b to chassis";

/// The numbers of a can's sections and the unit behind the last of them, which may be empty.
pub(super) fn sections(text: &str) -> Option<(Vec<&str>, &str)> {
    let mut numbers: Vec<&str> = text.split(['-', '/', '+']).map(str::trim).collect();
    let last = numbers.pop()?;
    let digits = |c: char| c.is_ascii_digit() || c == '.';
    let end = last.find(|c: char| !digits(c)).unwrap_or(last.len());
    let (number, unit) = last.split_at(end);
    numbers.push(number);
    let plain = |number: &&str| number.parse::<f64>().is_ok() && number.chars().all(digits);
    let several = numbers.len() > 1 && numbers.iter().all(plain);
    several.then_some((numbers, unit.trim()))
}

/// The farads of each section, and where they stand; none if that was reported.
fn farads(values: &mut Values<'_, '_>) -> Option<(Vec<f64>, Range<usize>)> {
    let can = values.take(|item| item.kind == ItemKind::Value && sections(item.text).is_some());
    let (index, item) = can?;
    let (numbers, mut unit) = sections(item.text)?;
    // `20-20-20 uF`
    let next = values.items.get(index + 1).filter(|_| unit.is_empty());
    if let Some(next) = next.filter(|next| next.kind == ItemKind::Word).cloned() {
        if Figure::parse(&format!("1{}", next.text), Unit::Farad).is_ok() {
            values.taken[index + 1] = true;
            unit = next.text;
        }
    }
    let farads: Vec<f64> = numbers
        .iter()
        .filter_map(|number| Figure::parse(&format!("{number}{unit}"), Unit::Farad).ok())
        .map(|figure| figure.value)
        .filter(|farads| *farads > 0.0)
        .collect();
    if unit.is_empty() || farads.len() != numbers.len() {
        let message = format!(
            "'{}' are the sections of one can, in no clear unit",
            item.text
        );
        let example = numbers.join("-");
        let help = format!("write the unit behind the last, such as `{example}uF`");
        values.reject(&item.bytes, message, help);
        return None;
    }
    Some((farads, item.bytes))
}

pub(super) fn read<'a>(values: &mut Values<'a, '_>, connections: &[Word<'a>]) -> Option<Drawn<'a>> {
    for word in ["capacitor", "electrolytic"] {
        values.flag(word);
    }
    let (farads, bytes) = farads(values)?;
    values.ratings();
    let tolerance = values.tolerance();
    let leak = values.option("leak", Unit::Ohm, Doubted::Neither);
    let leak = leak.map(|leak| {
        let help = "without leakage leave `leak=` out";
        values.above_zero(Some(leak), "a leakage resistance", help)
    });
    let pairs = between_commas(values, connections, EXAMPLE)?;
    if pairs.len() != farads.len() {
        let message = format!(
            "{} has {} sections, but ends for {}",
            values.subject.name,
            farads.len(),
            pairs.len()
        );
        let help = "write a pair of nodes for each section, in the order of the values";
        values.reject(&bytes, message, help);
        return None;
    }
    let mut drawn = Drawn::default();
    // `C1A`, or `C1A.1` for a can that has a letter of its own.
    let lettered = values.subject.name.ends_with(|c: char| c.is_ascii_digit());
    for (index, (pair, farads)) in pairs.into_iter().zip(farads).enumerate() {
        let (from, end) = match pair {
            [from, to, end] if to.is("to") => (from, end),
            _ => return no_connection(values, pair, "write `NODE to NODE`"),
        };
        if !values.can_be_nodes(&[from, end]) {
            return None;
        }
        let letter = u8::try_from(index).ok().filter(|at| *at < 26);
        let suffix = match letter.filter(|_| lettered) {
            Some(letter) => char::from(b'A' + letter).to_string(),
            None => format!(".{}", index + 1),
        };
        drawn.pieces.push(Piece {
            suffix,
            kind: PartKind::Capacitor(Capacitor {
                farads,
                tolerance,
                leak,
                dielectric: dielectric(values, farads),
            }),
            nodes: vec![from.clone(), end.clone()],
        });
    }
    Some(drawn)
}

#[cfg(test)]
mod tests {
    use super::sections;

    #[test]
    fn cans_are_told_from_values() {
        assert_eq!(sections("20-20-20uF"), Some((vec!["20", "20", "20"], "uF")));
        assert_eq!(sections("40/20 MFD"), Some((vec!["40", "20"], "MFD")));
        for text in ["20uF", "1e-6", "-20uF", "0.05", "1/2W-x"] {
            assert_eq!(sections(text), None, "{text}");
        }
    }
}
