//! A base drawn with plain letters, seen from below, its pins clockwise.
//!
//! A tube comes in, lines of a picture go out: each pin's number on a ring, the symbol of its
//! electrode outside, what shows where to begin at the bottom, the designation in the middle.

use std::cmp::Ordering;

use circuit::TubeType;

use super::socket::{designation, Socket};
use super::symbols::symbol;

/// Columns from the middle to the ring, and lines: a letter is about twice as tall as wide.
const ACROSS: f64 = 11.0;
const DOWN: f64 = 5.0;

/// Columns and lines of the picture, with room for symbols outside of the ring.
const COLUMNS: usize = 39;
const LINES: usize = 13;

/// The middle of the picture.
const MIDDLE: (usize, usize) = (COLUMNS / 2, LINES / 2);

/// Columns between the dots of the ring where it lies flat, and how many to either side.
const FLAT: [usize; 3] = [0, 2, 4];

/// Symbol of a contact that leads to nothing that is known.
const NOT_LISTED: &str = "-";

/// The picture; none for a base whose socket is not known.
pub(crate) fn base_drawing(tube: &TubeType) -> Option<Vec<String>> {
    let socket = Socket::of(tube)?;
    let mut sheet = vec![vec![' '; COLUMNS]; LINES];
    ring(&mut sheet);
    centred(&mut sheet, MIDDLE.1, designation(&tube.base));
    let bottom = MIDDLE.1 + DOWN as usize;
    centred(&mut sheet, bottom, &format!(" {} ", socket.bottom()));
    for number in 1..=socket.contacts() {
        let text = tube
            .pin(number)
            .map_or(NOT_LISTED.to_owned(), |pin| symbol(tube, pin));
        let (column, line) = place(socket.degrees(number));
        // A dot that touched the number would look like a decimal point: blanks go with it.
        match column.cmp(&MIDDLE.0) {
            Ordering::Equal => {
                centred(&mut sheet, line, &format!(" {number} "));
                centred(&mut sheet, line.saturating_sub(1), &text);
            }
            Ordering::Less => {
                let start = column.saturating_sub(2 + text.chars().count());
                write(&mut sheet, (start, line), &format!("{text}  {number} "));
            }
            Ordering::Greater => {
                let start = column.saturating_sub(1);
                write(&mut sheet, (start, line), &format!(" {number}  {text}"));
            }
        }
    }
    let lines: Vec<String> = sheet
        .into_iter()
        .map(|line| line.into_iter().collect::<String>().trim_end().to_owned())
        .collect();
    // No pin stands at the top of an octal base, nothing below the bottom of any.
    let used = |line: &String| !line.is_empty();
    let first = lines.iter().position(used)?;
    let last = lines.iter().rposition(used)?;
    lines.get(first..=last).map(<[String]>::to_vec)
}

/// Two dots on each line, a few on the first and the last, where the ring lies flat.
fn ring(sheet: &mut [Vec<char>]) {
    let down = DOWN as usize;
    for line in MIDDLE.1 - down + 1..MIDDLE.1 + down {
        let share = (line as f64 - MIDDLE.1 as f64) / DOWN;
        let across = (ACROSS * (1.0 - share * share).sqrt()).round() as usize;
        write(sheet, (MIDDLE.0 - across, line), ".");
        write(sheet, (MIDDLE.0 + across, line), ".");
    }
    for across in FLAT {
        for line in [MIDDLE.1 - down, MIDDLE.1 + down] {
            write(sheet, (MIDDLE.0 - across, line), ".");
            write(sheet, (MIDDLE.0 + across, line), ".");
        }
    }
}

/// Column and line at an angle clockwise from the bottom.
fn place(degrees: f64) -> (usize, usize) {
    let (sine, cosine) = degrees.to_radians().sin_cos();
    let column = MIDDLE.0 as f64 - ACROSS * sine;
    let line = MIDDLE.1 as f64 + DOWN * cosine;
    (column.round() as usize, line.round() as usize)
}

fn write(sheet: &mut [Vec<char>], (column, line): (usize, usize), text: &str) {
    let Some(cells) = sheet.get_mut(line) else {
        return;
    };
    for (cell, letter) in cells.iter_mut().skip(column).zip(text.chars()) {
        *cell = letter;
    }
}

fn centred(sheet: &mut [Vec<char>], line: usize, text: &str) {
    let start = MIDDLE.0.saturating_sub(text.chars().count() / 2);
    write(sheet, (start, line), text);
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{tube_type, tube_types};

    fn drawn(name: &str) -> Vec<String> {
        base_drawing(tube_type(name).unwrap()).unwrap()
    }

    /// Number and symbol of every pin to the left of the middle from the bottom up, then those at
    /// the top, then down the right: clockwise.
    fn clockwise(lines: &[String]) -> Vec<String> {
        let mut left = Vec::new();
        let mut top = Vec::new();
        let mut right = Vec::new();
        for (index, line) in lines.iter().enumerate() {
            let letters: Vec<char> = line.chars().collect();
            for (column, letter) in letters.iter().enumerate() {
                let alone = |at: Option<usize>| {
                    at.and_then(|at| letters.get(at))
                        .is_none_or(|own| *own == ' ')
                };
                // Digits of symbols and of the designation touch letters.
                let stands_alone = alone(column.checked_sub(1)) && alone(Some(column + 1));
                if !letter.is_ascii_digit() || !stands_alone {
                    continue;
                }
                let word = |text: String| format!("{letter} {text}");
                let before: String = letters[..column].iter().collect();
                let after: String = letters[column + 1..].iter().collect();
                match column.cmp(&MIDDLE.0) {
                    Ordering::Less => {
                        let own = before.split_whitespace().last().unwrap_or("").to_owned();
                        left.push(word(own));
                    }
                    Ordering::Equal => top.push(word(lines[index - 1].trim().to_owned())),
                    Ordering::Greater => {
                        right.push(word(after.trim().to_owned()));
                    }
                }
            }
        }
        left.reverse();
        left.into_iter().chain(top).chain(right).collect()
    }

    /// Bases as receiving-tube manuals draw them, from below (from memory), and the pins that the
    /// data leave out.
    #[test]
    fn pins_go_round_clockwise_from_the_bottom() {
        for (name, want) in [
            ("12AX7", "1 P2,2 G2,3 K2,4 H,5 H,6 P1,7 G1,8 K1,9 Ht"),
            ("6AQ5", "1 G1,2 K,3 H,4 H,5 P,6 G2,7 G1"),
            ("6SN7", "1 G2,2 P2,3 K2,4 G1,5 P1,6 K1,7 H,8 H"),
            ("0A2", "1 A,2 K,3 -,4 K,5 A,6 -,7 K"),
            ("6X4", "1 P2,2 -,3 H,4 H,5 -,6 P1,7 K"),
            ("5U4GB", "1 -,2 F,3 -,4 P2,5 -,6 P1,7 -,8 F+K"),
        ] {
            assert_eq!(clockwise(&drawn(name)).join(","), want, "{name}");
        }
    }

    /// Inspected, then pinned: an octal base with its key, pin 1 to the left of it.
    #[test]
    fn an_octal_base_whole() {
        let want = [
            "           G1  4 . . . 5  P1",
            "            .             .",
            "          .                 .",
            "     K2  3                   6  K1",
            "        .                     .",
            "        .         8BD         .",
            "        .                     .",
            "     P2  2                   7  H",
            "          .                 .",
            "            .             .",
            "           G2  1  key  8  H",
        ];
        assert_eq!(drawn("6SN7"), want);
    }

    #[test]
    fn every_tube_of_the_catalogue_is_drawn_with_all_its_pins() {
        for tube in tube_types() {
            let lines = base_drawing(tube).unwrap();
            let seen = clockwise(&lines);
            let contacts = usize::from(Socket::of(tube).unwrap().contacts());
            assert_eq!(seen.len(), contacts, "{}: {lines:#?}", tube.name);
            for pin in tube
                .pins
                .iter()
                .filter(|pin| pin.number != circuit::Pin::CAP)
            {
                let own = format!("{} {}", pin.number, symbol(tube, *pin));
                assert!(seen.contains(&own), "{}: {own}", tube.name);
            }
        }
    }
}
