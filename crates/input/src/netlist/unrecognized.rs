//! Values of a part that no field has taken, and values that are missing.
//!
//! This runs after every field of the part has taken its value. One mistake causes one message: an
//! unknown word includes the number after it, and nothing is reported as missing beside it.

use units::{Figure, Unit};

use super::class::is_noun;
use super::items::{Item, ItemKind};
use super::ratings::any_rating;
use super::values::{is, Values};
use crate::nearest::{did_you_mean, nearest};

/// What parts lists say of a potentiometer's taper, which no part of a drawing takes.
const TAPERS: [&str; 7] = [
    "log",
    "lin",
    "linear",
    "audio",
    "taper",
    "logarithmic",
    "antilog",
];

/// Words with which a resistor is not the one that its ohms state: they are no use to be passed over.
const OTHER_RESISTORS: [&str; 4] = ["variable", "adjustable", "dependent", "sensitive"];

impl Values<'_, '_> {
    /// Reports leftovers, or else what is missing. Returns whether the values had no fault.
    pub fn finish(mut self) -> bool {
        self.take_uses();
        let mut index = 0;
        while let Some(item) = self.items.get(index).cloned() {
            if !std::mem::replace(&mut self.taken[index], true) {
                self.unrecognized(index, &item);
                self.faulty = true;
            }
            index += 1;
        }
        if let (Some((what, example)), false) = (&self.missing, self.faulty) {
            let subject = &self.subject;
            let message = format!("{} has no {what}", subject.name);
            let label = format!("a {} needs one", subject.noun);
            let help = format!("write it after the colon, such as `{example}`");
            self.findings.refuse(&subject.bytes, message, label, help);
        }
        self.missing.is_none() && !self.faulty
    }

    /// Takes the words before the noun: what the part is for, `zero pot`, `modulation transformer`. One that is
    /// nearly a word with a meaning is a slip.
    fn take_uses(&mut self) {
        let words = self.items.iter().map(|item| match item.kind {
            ItemKind::Word if !is(item, "to") => Some(item.text),
            _ => None,
        });
        let words: Vec<&str> = words.map_while(|word| word).collect();
        let noun = words.iter().rposition(|word| is_noun(word)).unwrap_or(0);
        let is_other = |word: &&str| {
            OTHER_RESISTORS
                .iter()
                .any(|own| word.eq_ignore_ascii_case(own))
        };
        let is_resistor = words
            .get(noun)
            .is_some_and(|word| word.eq_ignore_ascii_case("resistor"));
        if is_resistor && words.iter().any(is_other) {
            return;
        }
        for (index, word) in words.into_iter().enumerate().take(noun) {
            let known = self.words.iter().chain(&self.options).copied();
            let is_taper = TAPERS.iter().any(|taper| word.eq_ignore_ascii_case(taper));
            self.taken[index] |= !is_taper && nearest(word, known).is_none();
        }
    }

    fn unrecognized(&mut self, index: usize, item: &Item<'_>) {
        let noun = self.subject.noun;
        let (message, label, help) = match &item.kind {
            ItemKind::Word => return self.unknown_word(index, item),
            ItemKind::Option(name) if self.options.iter().any(|known| name.is(known)) => {
                let message = format!("'{}' is stated twice", name.text);
                (message, "a second time", "leave one of them out".to_owned())
            }
            ItemKind::Option(name) => {
                let bare = self.words.iter().find(|known| name.is(known));
                let help = match bare {
                    Some(word) => format!("write `{word}` alone"),
                    None => self.suggestion(name.text),
                };
                (
                    format!("unknown option '{}'", name.text),
                    "not an option here",
                    help,
                )
            }
            ItemKind::Value => {
                let message = format!("'{}' is a value too many for a {noun}", item.text);
                (message, "nothing takes this value", self.excess_help(item))
            }
            ItemKind::Percent => {
                let message = format!("'{}' is a percentage too many for a {noun}", item.text);
                (
                    message,
                    "nothing takes this percentage",
                    "leave it out".to_owned(),
                )
            }
            ItemKind::Ratio => {
                let message = format!("'{}' is a ratio, which a {noun} does not have", item.text);
                (
                    message,
                    "a ratio",
                    "only a transformer has a turns ratio".to_owned(),
                )
            }
        };
        let place = match &item.kind {
            ItemKind::Option(name) => name.bytes.clone(),
            _ => item.bytes.clone(),
        };
        self.refuse(&place, message, label, help);
    }

    /// A bare word without a meaning here; a number after it belongs to it.
    fn unknown_word(&mut self, index: usize, item: &Item<'_>) {
        let next = self.items.get(index + 1).filter(|_| !self.taken[index + 1]);
        let number = next.filter(|next| matches!(next.kind, ItemKind::Value | ItemKind::Percent));
        let number = number.cloned();
        if number.is_some() {
            self.taken[index + 1] = true;
        }
        let option = self.options.iter().find(|known| is(item, known));
        match (option, number) {
            (Some(option), value) => {
                let message = format!("an equals sign is missing after '{}'", item.text);
                let value = value.map_or("…", |value| value.text);
                let help = format!("write `{option}={value}`");
                self.refuse(&item.bytes, message, "a value belongs to this", help);
            }
            (None, Some(_)) => self.strangers(std::slice::from_ref(item)),
            (None, None) => {
                // Several unknown words in a row are one mistake: most often connections without
                // comma and `to`.
                let rest = self.items.iter().zip(&self.taken).skip(index + 1);
                let row = rest.take_while(|(next, taken)| !**taken && next.kind == ItemKind::Word);
                let mut row: Vec<Item<'_>> = row.map(|(next, _)| next.clone()).collect();
                self.taken[index + 1..=index + row.len()].fill(true);
                row.insert(0, item.clone());
                self.strangers(&row);
            }
        }
    }

    fn strangers(&mut self, row: &[Item<'_>]) {
        let [first, .., last] = row else {
            if let [one] = row {
                let help = self.suggestion(one.text);
                self.refuse(
                    &one.bytes,
                    format!("unknown word '{}'", one.text),
                    "not known here",
                    help,
                );
            }
            return;
        };
        let words: Vec<&str> = row.iter().map(|item| item.text).collect();
        let message = format!("unknown words '{}'", words.join(" "));
        let help = match words.iter().any(|word| word.eq_ignore_ascii_case("to")) {
            true => "connections come after a comma: `, a to b`".to_owned(),
            false => "leave them out, or write them after a `#`; connections come after a comma: \
                      `, a to b`"
                .to_owned(),
        };
        self.refuse(
            &(first.bytes.start..last.bytes.end),
            message,
            "not known here",
            help,
        );
    }

    /// The nearest of the words that this kind of part knows, or else all of them.
    fn suggestion(&self, word: &str) -> String {
        let is_taper = TAPERS.iter().any(|taper| word.eq_ignore_ascii_case(taper));
        if self.subject.noun == "potentiometer" && is_taper {
            return "leave the taper out: `at` states the share of the resistance, not of the turn"
                .to_owned();
        }
        let option = nearest(word, self.options.iter().copied());
        let option = option.map(|option| format!("did you mean '{option}='?"));
        let bare = did_you_mean(word, self.words.iter().copied());
        bare.or(option).unwrap_or_else(|| {
            let mut shown: Vec<String> =
                self.words.iter().map(|word| format!("`{word}`")).collect();
            shown.extend(self.options.iter().map(|option| format!("`{option}=`")));
            shown.dedup();
            format!(
                "leave it out, or write it after a `#`; words of a {} are {}",
                self.subject.noun,
                shown.join(", ")
            )
        })
    }

    /// The hint for a value that no field takes: it may be a tolerance without its sign, or a rating
    /// that was copied from a parts list.
    fn excess_help(&self, item: &Item<'_>) -> String {
        let bare = item.text.parse::<f64>().is_ok();
        let rating = any_rating(item.text);
        let noun = self.subject.noun;
        let is_ohms = Figure::parse(item.text, Unit::Ohm).is_ok();
        match rating {
            None if noun == "switch" && is_ohms && !bare => format!(
                "a relay's coil is `coil {}`; its contacts have lines of their own",
                item.text
            ),
            _ if bare && self.asks_tolerance => format!("for a tolerance write `{}%`", item.text),
            Some(stated) if self.asks_ratings && stated <= 0.0 => {
                "a rating is above zero: correct it, or leave it out".to_owned()
            }
            Some(_) if self.asks_ratings => {
                format!("a {noun} has one rating in watts and one in volts: leave the other out")
            }
            Some(_) => format!("no such rating of a {noun} is read: write it after a `#`"),
            None => "leave it out".to_owned(),
        }
    }
}

#[cfg(test)]
#[path = "unrecognized_tests.rs"]
mod tests;
