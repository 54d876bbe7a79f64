//! Ratings beside a value, as parts lists print them: `1/2W`, `400V`, `450 WVDC`, and the words for
//! what a part is made of.
//!
//! The items of a part come in; the rating goes out and is no part of the circuit: what a part
//! bears is held against the solved circuit later.

use units::{Figure, Unit};

use super::items::{Item, ItemKind};
use super::values::Values;

/// Endings of working volts; the longer first (common practice, no source).
const WORKING: [&str; 7] = ["wvdc", "vdcw", "dcwv", "vdc", "wv", "v", "volts"];

/// What resistors and capacitors are made of. These words mean nothing to direct current.
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
    /// Takes ratings in watts and volts, and words for what the part is made of.
    pub(super) fn ratings(&mut self) {
        for word in MADE_OF {
            while self.flag(word).is_some() {}
        }
        let watts = self.take_rating(|text| {
            let folded = text.to_ascii_lowercase();
            let says = ["w", "watt", "watts"];
            let figure = Figure::parse(text, Unit::Watt).ok()?;
            let watts = says.iter().any(|end| folded.ends_with(end));
            watts.then_some(figure.value)
        });
        let volts = self.take_rating(volts);
        self.rating.watts = watts.or(self.rating.watts);
        self.rating.volts = volts.or(self.rating.volts);
    }

    /// The first untaken value that reads as a rating, by itself or with the word behind it.
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

/// Volts that say that they are volts.
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
            // Read from the same decimal number, with its prefix.
            assert!((read - 400.0).abs() < 1e-9, "{text}: {read}");
        }
        assert_eq!(volts("400"), None);
        assert_eq!(volts("1k"), None);
    }
}
