//! The page of a tube: base, heater, sections, parameters.
//!
//! A type comes in, the blocks of its page go out.

use circuit::{Electrode, Pin, TubeType};
use units::Unit;

use super::drawing::base_drawing;
use super::parameters::of_section;
use super::points;
use super::socket::{designation, Socket};
use super::symbols::{heated_end, letter, symbol, words};
use super::view::TubeView;
use super::{semiconductor, trust};
use crate::document::Block;
use crate::figures::stated;
use crate::labels::{gathered, with_last};
use crate::table::{Align, Cell, Column, Table};

/// The page.
pub(crate) fn blocks(view: &TubeView<'_>) -> Vec<Block> {
    let tube = view.tube;
    let mut blocks = vec![
        Block::Title(format!("{}, {}", tube.name, tube.class.words())),
        Block::Lines(facts(tube)),
    ];
    let picture = base_drawing(tube);
    blocks.push(Block::Caption(match picture {
        Some(_) => "The base from below, pins counted clockwise".to_owned(),
        None => "The pins".to_owned(),
    }));
    blocks.extend(picture.map(Block::Drawing));
    blocks.push(Block::Table(pins(tube)));
    let unlisted = unlisted(tube);
    if !unlisted.is_empty() {
        blocks.push(Block::Lines(vec![left_out(&unlisted)]));
    }
    blocks.push(Block::Caption("Sections".to_owned()));
    blocks.push(Block::Lines(sections(tube)));
    for (units, parameters) in characteristics(tube) {
        blocks.push(Block::Caption(match tube.units.len() {
            1 => "Parameters of the model".to_owned(),
            _ => format!("Parameters of the model, {}", section_words(&units)),
        }));
        blocks.push(Block::Table(semiconductor::parameter_table(&parameters)));
    }
    let beside = points::blocks(view);
    if !beside.is_empty() {
        blocks.push(Block::Caption(
            "The model beside the published figures".to_owned(),
        ));
        blocks.extend(beside);
    }
    blocks.push(Block::Caption("How far to trust it".to_owned()));
    blocks.push(Block::Lines(trust::of_tube(tube)));
    blocks.push(Block::Caption("Sources of the figures".to_owned()));
    blocks.push(Block::Lines(semiconductor::sources(&tube.source)));
    blocks
}

fn facts(tube: &TubeType) -> Vec<String> {
    let socket = Socket::of(tube).map(Socket::words);
    let socket = socket.filter(|words| *words != tube.base);
    let socket = socket.map_or(String::new(), |words| format!(", {words}"));
    let mut lines = vec![
        format!("Base: {}{socket} ({}).", tube.base, tube.base_status),
        format!("Heater: {}.", heater(tube)),
    ];
    if let Some(glow) = tube.glow {
        lines.push(format!(
            "Strikes at {}; regulates from {} to {}.",
            stated(glow.strike_volts, Unit::Volt),
            stated(glow.least_amperes, Unit::Ampere),
            stated(glow.most_amperes, Unit::Ampere)
        ));
    }
    lines.push(format!("Status of the figures: {}.", tube.data_status));
    lines
}

/// Volts, amperes and pins of each way to heat it.
fn heater(tube: &TubeType) -> String {
    let of = |wanted: &[Electrode]| -> Vec<u8> {
        let found = tube
            .pins
            .iter()
            .filter(|pin| wanted.contains(&pin.electrode));
        let mut numbers: Vec<u8> = found.map(|pin| pin.number).collect();
        numbers.sort_unstable();
        numbers
    };
    let mut ends = of(&[Electrode::Heater, Electrode::Filament]);
    if heated_end(tube).is_some() {
        ends.extend(of(&[Electrode::Cathode]));
    }
    let mut tap = of(&[Electrode::HeaterTap]);
    if tap.is_empty() && tube.heater.len() > 1 {
        // The halves of a battery tube's filament meet at the end from which volts are counted.
        tap = of(&[Electrode::Cathode]);
    }
    let ratings: Vec<String> = tube
        .heater
        .iter()
        .enumerate()
        .map(|(index, rating)| {
            let wiring = match index {
                0 => format!("pins {}", list(&ends)),
                _ => format!("pins {} joined, and {}", list(&ends), list(&tap)),
            };
            format!(
                "{} at {} ({wiring})",
                stated(rating.volts, Unit::Volt),
                stated(rating.amperes, Unit::Ampere)
            )
        })
        .collect();
    match (ratings.len(), tap.is_empty()) {
        (0, _) => "none, cold cathode".to_owned(),
        (1, false) => format!("{}, tapped at pin {}", ratings.join(""), list(&tap)),
        _ => ratings.join(" or "),
    }
}

/// Every pin with its symbol and what it leads to.
fn pins(tube: &TubeType) -> Table {
    let mut pins = tube.pins.clone();
    pins.sort_by_key(|pin| pin.number);
    let columns = vec![
        Column::new("pin", "", Align::Left),
        Column::new("symbol", "", Align::Left),
        Column::new("leads to", "", Align::Left),
    ];
    let row = |pin: &circuit::Pin| {
        vec![
            Cell::from(Pin::name_of(pin.number)),
            symbol(tube, *pin).into(),
            words(tube, *pin).into(),
        ]
    };
    let rows = pins.iter().map(row).collect();
    Table { columns, rows }
}

/// Contacts of the socket that no pin of the data stands for.
fn unlisted(tube: &TubeType) -> Vec<u8> {
    let contacts = Socket::of(tube).map_or(0, Socket::contacts);
    (1..=contacts)
        .filter(|number| tube.pin(*number).is_none())
        .collect()
}

/// What a dash of the picture means.
fn left_out(numbers: &[u8]) -> String {
    let (subject, verb, object) = match numbers.len() {
        1 => ("Pin", "is", "it"),
        _ => ("Pins", "are", "them"),
    };
    format!(
        "{subject} {} {verb} not in the data (a dash above): missing, free, or joined to something \
         inside. Use {object} for nothing.",
        list(numbers)
    )
}

/// One line a section: how the netlist calls it, and its electrodes with their pins.
fn sections(tube: &TubeType) -> Vec<String> {
    let several = tube.units.len() > 1;
    tube.units
        .iter()
        .enumerate()
        .map(|(index, unit)| {
            let electrodes: Vec<String> = unit
                .electrodes
                .iter()
                .map(|electrode| {
                    let mut pins: Vec<u8> = tube.pins_of(index, *electrode).collect();
                    pins.sort_unstable();
                    let noun = if pins.len() == 1 { "pin" } else { "pins" };
                    format!("{electrode} {noun} {}", list(&pins))
                })
                .collect();
            let name = match several {
                true => format!("Section {0} (of V1 it is V1{0})", letter(index)),
                false => "The only one".to_owned(),
            };
            format!("{name}: {}.", electrodes.join(", "))
        })
        .collect()
}

/// Sections with the same numbers, and these numbers.
pub(crate) fn characteristics(tube: &TubeType) -> Vec<(Vec<usize>, Vec<super::Parameter>)> {
    let units = tube.units.iter().enumerate();
    let found = gathered(units.map(|(index, unit)| (of_section(unit), index)));
    let swap = |(parameters, units)| (units, parameters);
    found.into_iter().map(swap).collect()
}

fn section_words(units: &[usize]) -> String {
    let letters: Vec<String> = units.iter().map(|unit| letter(*unit).to_string()).collect();
    match letters.as_slice() {
        [only] => format!("section {only}"),
        [first, second] => format!("sections {first} and {second}, each"),
        several => format!("sections {}, each", several.join(", ")),
    }
}

/// `4`, `4 and 5`, `1, 2 and 7`.
fn list(numbers: &[u8]) -> String {
    with_last(numbers.iter().map(|pin| Pin::name_of(*pin)), "and")
}

/// Base and heater in short, for the list.
pub(crate) fn short(tube: &TubeType) -> [String; 2] {
    let joined = |values: Vec<f64>, unit: &str| {
        let texts: Vec<String> = values.iter().map(f64::to_string).collect();
        format!("{} {unit}", texts.join("/"))
    };
    let ratings = &tube.heater;
    let heater = match ratings.is_empty() {
        true => "none".to_owned(),
        false => format!(
            "{} {}",
            joined(ratings.iter().map(|own| own.volts).collect(), "V"),
            joined(ratings.iter().map(|own| own.amperes).collect(), "A")
        ),
    };
    [designation(&tube.base).to_owned(), heater]
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::tube_type;

    #[test]
    fn a_heater_is_said_with_its_pins() {
        for (name, want) in [
            (
                "12AX7",
                "12.6 V at 150 mA (pins 4 and 5) or 6.3 V at 300 mA (pins 4 and 5 joined, and 9)",
            ),
            ("6SN7", "6.3 V at 600 mA (pins 7 and 8)"),
            ("5U4GB", "5 V at 3 A (pins 2 and 8)"),
            ("35W4", "35 V at 150 mA (pins 3 and 4), tapped at pin 6"),
            ("0A2", "none, cold cathode"),
        ] {
            assert_eq!(heater(tube_type(name).unwrap()), want, "{name}");
        }
    }

    #[test]
    fn sections_alike_share_their_parameters() {
        let shared = |name: &str| -> Vec<Vec<usize>> {
            let all = characteristics(tube_type(name).unwrap());
            all.into_iter().map(|(units, _)| units).collect()
        };
        assert_eq!(shared("12AX7"), [vec![0, 1]]);
        assert_eq!(shared("6AV6"), [vec![0], vec![1, 2]]);
        assert_eq!(
            sections(tube_type("6AV6").unwrap())[1],
            "Section B (of V1 it is V1B): diode plate pin 6, cathode pin 2."
        );
    }

    #[test]
    fn contacts_without_data_are_found() {
        assert_eq!(unlisted(tube_type("0A2").unwrap()), [3, 6]);
        assert_eq!(unlisted(tube_type("5U4GB").unwrap()), [1, 3, 5, 7]);
        assert!(unlisted(tube_type("12AX7").unwrap()).is_empty());
    }
}
