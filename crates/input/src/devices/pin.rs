//! One pin of a described tube: its electrode in words, or in the symbols of basing diagrams.
//!
//! Words and the class of the tube come in; a pin goes out, or why they name no electrode of it.

use circuit::{Electrode, Pin, TubeClass};

use crate::nearest::near_or_all;
use crate::netlist::letter;

/// Why words name no electrode of the tube, and what to write instead.
pub(super) struct Unfit {
    pub message: String,
    pub help: Option<String>,
}

/// Other words for electrodes.
const OTHER_WORDS: [(&str, Electrode); 10] = [
    ("anode", Electrode::Plate),
    ("control grid", Electrode::Grid),
    ("screen grid", Electrode::Screen),
    ("suppressor grid", Electrode::Suppressor),
    ("diode", Electrode::DiodePlate),
    ("heater center tap", Electrode::HeaterTap),
    ("heater centre tap", Electrode::HeaterTap),
    ("shell", Electrode::Shield),
    ("not connected", Electrode::NoConnection),
    ("unused", Electrode::NoConnection),
];

/// The electrode of a pin. Where electrodes are connected inside (`cathode + suppressor`), it is
/// the cathode, or else the first of them.
pub(super) fn pin(number: u8, text: &str, class: TubeClass) -> Result<Pin, Unfit> {
    let symbol = [text.to_owned(), text.to_uppercase()]
        .iter()
        .find_map(|symbol| Some((symbol.clone(), Pin::by_symbol(number, symbol, class)?)));
    if let Some((symbol, pin)) = symbol {
        // `PT` and `KP` say which section of a triode-pentode they are of, `P` does not.
        let with_letter = class.is_triode_pentode() && symbol.len() > 1;
        let marked = with_letter || symbol.contains(|c: char| c.is_ascii_digit());
        let unit = match (marked, pin.unit) {
            (true, Some(unit)) => Some(unit),
            (false, Some(_)) | (_, None) => None,
        };
        return placed(number, pin.electrode, unit, class);
    }
    let joined: Vec<&str> = text.split('+').map(str::trim).collect();
    let cathode = joined
        .iter()
        .find(|word| word.to_lowercase().starts_with("cathode"));
    let word = cathode.or(joined.first()).copied().unwrap_or(text);
    let (name, mark) = marked(word);
    let electrode = electrode(&name, mark, class).ok_or_else(|| {
        let known = Electrode::ALL.map(Electrode::words);
        Unfit {
            message: format!("'{text}' is no electrode"),
            help: Some(near_or_all(&name, &known, "write one of:")),
        }
    })?;
    let unit = mark.and_then(|mark| unit(mark, electrode, class));
    placed(number, electrode, unit, class)
}

/// `plate B` as its name and the letter or number of its section.
fn marked(word: &str) -> (String, Option<char>) {
    let plain = word.to_lowercase();
    let mut words: Vec<&str> = plain.split_whitespace().collect();
    let mark = words.last().and_then(|last| {
        let mut letters = last.chars();
        match (letters.next(), letters.next()) {
            (Some(mark @ ('a'..='d' | '1'..='5')), None) => Some(mark),
            _ => None,
        }
    });
    if mark.is_some() {
        words.pop();
    }
    (words.join(" "), mark)
}

fn electrode(name: &str, mark: Option<char>, class: TubeClass) -> Option<Electrode> {
    let has = |electrode| !class.sections_with(electrode).is_empty();
    // Sheets of tubes with a screen count their grids from the cathode outwards.
    if name == "grid" && has(Electrode::Screen) {
        match (mark, has(Electrode::SignalGrid)) {
            (Some('1'), true) => return Some(Electrode::OscillatorGrid),
            (Some('3'), true) => return Some(Electrode::SignalGrid),
            (Some('2' | '4'), true) | (Some('2'), false) => return Some(Electrode::Screen),
            (Some('5'), true) | (Some('3'), false) => return Some(Electrode::Suppressor),
            _ => {}
        }
    }
    let named = Electrode::ALL.into_iter().find(|own| own.words() == name);
    let spelled = || OTHER_WORDS.iter().find(|(words, _)| *words == name);
    match named.or_else(|| spelled().map(|(_, electrode)| *electrode))? {
        Electrode::Anode | Electrode::DiodePlate
            if !has(Electrode::Grid) && has(Electrode::Plate) =>
        {
            Some(Electrode::Plate)
        }
        Electrode::Anode if has(Electrode::Plate) => Some(Electrode::Plate),
        electrode => Some(electrode),
    }
}

/// The section of such a letter or number: letters count sections, numbers count electrodes of one
/// kind.
fn unit(mark: char, electrode: Electrode, class: TubeClass) -> Option<usize> {
    let sections = class.sections_with(electrode);
    match mark {
        'a'..='d' => Some(usize::from(mark as u8 - b'a')),
        // Numbered grids of one section have been distinguished already.
        _ if sections.len() < 2 => None,
        _ => {
            let index = mark.to_digit(10)?.checked_sub(1)?;
            let index = usize::try_from(index).ok()?;
            Some(sections.get(index).copied().unwrap_or(usize::MAX))
        }
    }
}

/// A pin with its section, if the class has such an electrode there.
fn placed(
    number: u8,
    electrode: Electrode,
    unit: Option<usize>,
    class: TubeClass,
) -> Result<Pin, Unfit> {
    let sections = class.sections_with(electrode);
    let unfit = |message: String, help: Option<String>| Err(Unfit { message, help });
    let unit = match (sections.as_slice(), unit) {
        ([], _) if electrode.is_active() => {
            let message = format!("a {} has no {electrode}", class.words());
            return unfit(message, None);
        }
        ([], _) => None,
        (_, None) if electrode == Electrode::Cathode => None,
        ([only], None) => Some(*only),
        (several, Some(unit)) if several.contains(&unit) => Some(unit),
        (several, None) => {
            let each: Vec<String> = several
                .iter()
                .map(|section| format!("`{electrode} {}`", letter(*section)))
                .collect();
            let message = format!("a {} has several {electrode}s", class.words());
            return unfit(message, Some(format!("write {}", each.join(" or "))));
        }
        (_, Some(_)) => {
            let message = format!("a {} has no such {electrode}", class.words());
            return unfit(message, None);
        }
    };
    Ok(Pin {
        number,
        electrode,
        unit,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn led(text: &str, class: TubeClass) -> Option<(Electrode, Option<usize>)> {
        let pin = pin(1, text, class).ok()?;
        Some((pin.electrode, pin.unit))
    }

    #[test]
    fn words_and_symbols_lead_to_the_same_electrodes() {
        let twin = TubeClass::TwinTriode;
        for text in ["plate B", "Plate 2", "anode b", "P2"] {
            assert_eq!(led(text, twin), Some((Electrode::Plate, Some(1))), "{text}");
        }
        let pentode = TubeClass::PowerPentode;
        for text in ["screen", "grid 2", "G2", "screen grid"] {
            assert_eq!(
                led(text, pentode),
                Some((Electrode::Screen, Some(0))),
                "{text}"
            );
        }
        for text in [
            "cathode + suppressor",
            "cathode",
            "K+G3",
            "suppressor + cathode",
        ] {
            assert_eq!(
                led(text, pentode),
                Some((Electrode::Cathode, None)),
                "{text}"
            );
        }
        let duo = TubeClass::DuoDiodeTriode;
        assert_eq!(
            led("diode plate 2", duo),
            Some((Electrode::DiodePlate, Some(2)))
        );
        for text in ["diode plate B", "diode 1", "D1", "d1", "PD1"] {
            assert_eq!(
                led(text, duo),
                Some((Electrode::DiodePlate, Some(1))),
                "{text}"
            );
        }
        let triple = TubeClass::TripleDiodeTriode;
        for text in ["diode plate D", "diode 3", "PD3"] {
            assert_eq!(
                led(text, triple),
                Some((Electrode::DiodePlate, Some(3))),
                "{text}"
            );
        }
        for text in ["diode cathode", "KD2"] {
            assert_eq!(
                led(text, triple),
                Some((Electrode::DiodeCathode, Some(2))),
                "{text}"
            );
        }
        let converter = TubeClass::PentagridConverter;
        assert_eq!(
            led("grid 3", converter),
            Some((Electrode::SignalGrid, Some(0)))
        );
        assert_eq!(led("G2+4", converter), Some((Electrode::Screen, Some(0))));
        assert_eq!(led("HT", twin), Some((Electrode::HeaterTap, None)));
        assert_eq!(led("nc", twin), Some((Electrode::NoConnection, None)));
    }

    #[test]
    fn what_the_class_lacks_or_has_twice_is_refused() {
        let twin = TubeClass::TwinTriode;
        for text in ["plate", "P", "screen", "plate C", "plat B", "", "grid 4"] {
            assert!(led(text, twin).is_none(), "{text}");
        }
        assert!(led("P2", TubeClass::Triode).is_none());
        assert!(led("KD2", TubeClass::DuoDiodeTriode).is_none());
        let both = TubeClass::TriodePentode;
        assert_eq!(led("PT", both), Some((Electrode::Plate, Some(1))));
        assert_eq!(led("KP", both), Some((Electrode::Cathode, Some(0))));
        assert_eq!(led("G2", both), Some((Electrode::Screen, Some(0))));
        assert_eq!(led("grid B", both), Some((Electrode::Grid, Some(1))));
        assert!(led("P", both).is_none());
        assert!(led("grid", TubeClass::HalfWaveRectifier).is_none());
    }
}
