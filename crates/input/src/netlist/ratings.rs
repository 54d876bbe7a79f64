//! Ratings beside a value, as parts lists print them: `1/2W`, `400V`, `450 WVDC`, and the words for
//! the material of a part.
//!
//! The items of a part come in; the rating goes out. It is not part of the circuit: the load of a
//! part is compared with its rating after the circuit is solved.

use units::{Figure, Unit};

use super::items::{Item, ItemKind};
use super::values::Values;

/// Endings of working volts; the longer first (common practice, no source).
const WORKING: [&str; 7] = ["wvdc", "vdcw", "dcwv", "vdc", "wv", "v", "volts"];

/// Materials of resistors and capacitors. These words have no effect on direct current.
const MADE_OF: [&str; 15] = [
    "carbon",
    "wirewound",
    "film",
    "metal",
    "oxide",
    "composition",
    "paper",
    "mica",
    "ceramic",
    "mylar",
    "polyester",
    "tubular",
    "oil",
    "disc",
    "dry",
];

impl Values<'_, '_> {
    /// Takes ratings in watts and volts, and words for the material of the part.
    pub(super) fn ratings(&mut self) {
        self.asks_ratings = true;
        for word in MADE_OF {
            while self.flag(word).is_some() {}
        }
        let watts = self.take_rating(watts);
        let volts = self.take_rating(volts);
        self.rating.watts = watts.or(self.rating.watts);
        self.rating.volts = volts.or(self.rating.volts);
    }

    /// The first untaken value that is a rating, by itself or with the word after it.
    fn take_rating(&mut self, read: impl Fn(&str) -> Option<f64>) -> Option<f64> {
        for index in 0..self.items.len() {
            let Some(item) = self.free(index).filter(|item| item.kind == ItemKind::Value) else {
                continue;
            };
            let alone = read(item.text);
            let word = self
                .free(index + 1)
                .filter(|next| next.kind == ItemKind::Word);
            let both = word.and_then(|word| read(&format!("{}{}", item.text, word.text)));
            let (found, used) = match (alone, both) {
                (Some(found), _) => (found, 1),
                (None, Some(found)) => (found, 2),
                (None, None) => continue,
            };
            if !(found > 0.0 && found.is_finite()) {
                continue;
            }
            for taken in self.taken.iter_mut().skip(index).take(used) {
                *taken = true;
            }
            return Some(found);
        }
        None
    }

    fn free(&self, index: usize) -> Option<&Item<'_>> {
        let free = !self.taken.get(index).copied().unwrap_or(true);
        self.items.get(index).filter(|_| free)
    }
}

/// The value of a rating that is written with its unit: in watts, volts or amperes.
pub(super) fn any_rating(text: &str) -> Option<f64> {
    watts(text)
        .or_else(|| volts(text))
        .or_else(|| amperes(text))
}

/// A power that is written with its unit, in watts.
fn watts(text: &str) -> Option<f64> {
    with_unit(text, Unit::Watt, &["w", "watt", "watts"])
}

/// A current that is written with its unit, in amperes.
fn amperes(text: &str) -> Option<f64> {
    with_unit(text, Unit::Ampere, &["a", "amp", "amps"])
}

fn with_unit(text: &str, unit: Unit, endings: &[&str]) -> Option<f64> {
    let folded = text.to_ascii_lowercase();
    let figure = Figure::parse(text, unit).ok()?;
    let written = endings.iter().any(|ending| folded.ends_with(ending));
    written.then_some(figure.value)
}

/// A voltage that is written with its unit, in volts.
fn volts(text: &str) -> Option<f64> {
    let folded = text.to_ascii_lowercase();
    let ending = WORKING.iter().find(|ending| folded.ends_with(**ending))?;
    let number = text.get(..text.len() - ending.len())?.trim();
    Figure::parse(&format!("{number}V"), Unit::Volt)
        .ok()
        .map(|figure| figure.value)
}

#[cfg(test)]
mod tests {
    use super::volts;

    #[test]
    fn working_volts_are_read_in_every_usual_spelling() {
        for text in ["400V", "400 VDC", "400WVDC", "400 wv", "0.4kV", "400volts"] {
            let read = volts(text).unwrap();
            // Read from the same decimal number, with a prefix.
            assert!((read - 400.0).abs() < 1e-9, "{text}: {read}");
        }
        assert_eq!(volts("400"), None);
        assert_eq!(volts("1k"), None);
    }
}
