//! Values of a part that a word names: `hfe=100`, `at 40%`, and bare words.
//!
//! The items of a part and a word come in; the value that belongs to the word goes out, and a fault is reported where
//! there is none. Values that only their unit names are not known here.

use std::ops::Range;

use units::{parse_percent, Unit};

use super::items::{Item, ItemKind};
use super::values::{is, Doubted, Placed, Values};

impl<'a> Values<'a, '_> {
    /// The plain number of `word=value`, such as `hfe=100`, if there is one; reported unless it is above zero.
    pub fn plain(&mut self, word: &'static str) -> Option<f64> {
        let item = self.option_item(word)?;
        let number = item.text.parse::<f64>().ok();
        let found = number.filter(|number| number.is_finite() && *number > 0.0);
        if found.is_none() {
            let message = format!("'{word}' is a plain number above zero");
            let help = format!("write it without a unit, such as `{word}=100`");
            self.reject(&item.bytes, message, help);
        }
        found
    }

    /// The value of `word=value`, in this unit.
    pub fn option(&mut self, word: &'static str, unit: Unit, doubted: Doubted) -> Option<Placed> {
        let item = self.option_item(word)?;
        self.read(&item, &format!("the value of '{word}'"), unit, doubted)
    }

    /// The item of `word=value`, its value not empty.
    pub fn option_item(&mut self, word: &'static str) -> Option<Item<'a>> {
        self.options.push(word);
        let (_, item) = self.take(|item| match &item.kind {
            ItemKind::Option(name) => name.is(word),
            _ => false,
        })?;
        if item.text.is_empty() {
            let whole = item.whole();
            let message = format!("'{word}=' has no value");
            let help = "write the value right after the equals sign";
            self.refuse(&whole, message, "a value belongs after this", help);
            return None;
        }
        Some(item)
    }

    /// The place of this bare word, if it is there.
    pub fn flag(&mut self, word: &'static str) -> Option<Range<usize>> {
        self.words.push(word);
        let taken = self.take(|item| item.kind == ItemKind::Word && is(item, word));
        taken.map(|(_, item)| item.bytes)
    }

    /// The share after a bare word, `at 40%`, or after the word as an option, as a fraction; None
    /// without the word or with a fault.
    pub fn share_after(&mut self, word: &'static str) -> Option<Placed> {
        let item = match self.option_item(word) {
            Some(item) => item,
            None => {
                self.words.push(word);
                let bare = |item: &Item<'_>| item.kind == ItemKind::Word && is(item, word);
                let (index, at) = self.take(bare)?;
                let number =
                    |item: &&Item<'_>| matches!(item.kind, ItemKind::Percent | ItemKind::Value);
                let Some(next) = self.items.get(index + 1).filter(number).cloned() else {
                    let message = format!("'{word}' has no value");
                    let label = "a percentage belongs after this";
                    self.refuse(&at.bytes, message, label, format!("write `{word} 40%`"));
                    return None;
                };
                self.taken[index + 1] = true;
                next
            }
        };
        match parse_percent(item.text) {
            Ok(value) => Some(Placed {
                value,
                bytes: item.bytes,
            }),
            Err(error) => {
                let label = "a share, in percent".to_owned();
                self.unreadable(item.bytes.start, &error, label);
                None
            }
        }
    }
}
