//! The values, words and options between a part's colon and its connections.
//!
//! Words come in; items go out, each a value with its unit, a percentage, a ratio, a bare word or
//! an option `word=value`. Which items belong to which kind of part is not known here.

use std::ops::Range;

use units::Figure;

use super::lex::Word;

/// One statement about a part.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Item<'a> {
    pub kind: ItemKind<'a>,
    /// The value or word; for an option its value, empty if there is none.
    pub text: &'a str,
    /// The place of `text`.
    pub bytes: Range<usize>,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum ItemKind<'a> {
    /// A word without a value.
    Word,
    /// A number, with its unit if it has one.
    Value,
    /// A number with a percent sign.
    Percent,
    /// Two numbers with a colon between them.
    Ratio,
    /// `word=value`, with the word.
    Option(Word<'a>),
}

impl Item<'_> {
    /// The place of the whole item, including an option's word.
    pub fn whole(&self) -> Range<usize> {
        match &self.kind {
            ItemKind::Option(name) => name.bytes.start..self.bytes.end,
            _ => self.bytes.clone(),
        }
    }
}

/// Groups words into items. `text` is the whole text that the places of the words refer to.
pub(super) fn items<'a>(text: &'a str, words: &[Word<'a>]) -> Vec<Item<'a>> {
    let mut items = Vec::new();
    let mut rest = words;
    while let [first, after @ ..] = rest {
        let option = match after {
            [equals, value @ ..] if equals.text == "=" => Some((equals, value)),
            _ => None,
        };
        if let Some((equals, value)) = option {
            let next_is_option = value.get(1).is_some_and(|word| word.text == "=");
            let length = if next_is_option {
                0
            } else {
                extent(text, value)
            };
            let bytes = match value.get(..length) {
                Some([from, .., to]) => from.bytes.start..to.bytes.end,
                Some([one]) => one.bytes.clone(),
                _ => equals.bytes.end..equals.bytes.end,
            };
            items.push(item(text, ItemKind::Option(first.clone()), bytes));
            rest = value.get(length..).unwrap_or(&[]);
        } else {
            let length = extent(text, rest);
            let last = rest.get(length - 1).unwrap_or(first);
            let bytes = first.bytes.start..last.bytes.end;
            let kind = sort(text.get(bytes.clone()).unwrap_or(""));
            items.push(item(text, kind, bytes));
            rest = rest.get(length..).unwrap_or(&[]);
        }
    }
    items
}

fn item<'a>(text: &'a str, kind: ItemKind<'a>, bytes: Range<usize>) -> Item<'a> {
    Item {
        kind,
        text: text.get(bytes.clone()).unwrap_or(""),
        bytes,
    }
}

/// How many words, from the first on, form one value: `4.7 kΩ` is two, `± 10 %` three. At least 1
/// unless there are no words.
fn extent(text: &str, words: &[Word<'_>]) -> usize {
    let Some(first) = words.first() else { return 0 };
    if !begins_value(first.text) {
        return 1;
    }
    let longest = words.len().min(3);
    let mut lengths = (2..=longest).rev();
    let joined = lengths.find(|length| {
        let last = &words[length - 1];
        let whole = text.get(first.bytes.start..last.bytes.end).unwrap_or("");
        // A second number is never the unit of a first one.
        let number_again = last.text.starts_with(|c: char| c.is_ascii_digit());
        // `1k a` is a value and a stray node, not kiloamperes.
        let stray = first.text.ends_with(|c: char| c.is_alphabetic())
            && matches!(last.text.as_bytes(), [b'a'..=b'z']);
        let after_sign = *length == 2 && is_sign(first.text) && begins_value(last.text);
        after_sign
            || is_joined_percent(whole, last.text)
            || (!number_again && !stray && Figure::is_one(&whole.replace(',', ".")))
    });
    joined.unwrap_or(1)
}

fn is_sign(word: &str) -> bool {
    ["±", "+-", "+/-", "+", "-", "\u{2212}"].contains(&word)
}

fn is_joined_percent(whole: &str, last: &str) -> bool {
    let body = whole.trim_start_matches(['±', '+', '-', '/', ' ']);
    let number = body.strip_suffix('%').map(str::trim_end).unwrap_or("");
    let digits = |c: char| c.is_ascii_digit() || c == '.' || c == ',';
    (last == "%" || whole.starts_with(['±', '+']))
        && !number.is_empty()
        && number.chars().all(digits)
}

fn begins_value(word: &str) -> bool {
    word.starts_with(|c: char| c.is_ascii_digit() || "+-\u{2212}.±∞%".contains(c))
        || Figure::is_one(word)
}

fn sort(text: &str) -> ItemKind<'static> {
    if !begins_value(text) {
        ItemKind::Word
    } else if text.ends_with('%') {
        ItemKind::Percent
    } else if text.contains(':') {
        ItemKind::Ratio
    } else {
        ItemKind::Value
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::lex::words;

    fn shown(text: &str) -> Vec<String> {
        let found = items(text, &words(text, 0));
        let show = |item: &Item<'_>| match &item.kind {
            ItemKind::Word => format!("w {}", item.text),
            ItemKind::Value => format!("v {}", item.text),
            ItemKind::Percent => format!("p {}", item.text),
            ItemKind::Ratio => format!("r {}", item.text),
            ItemKind::Option(name) => format!("{}= {}", name.text, item.text),
        };
        found.iter().map(show).collect()
    }

    #[test]
    fn each_sort_of_item_is_told() {
        assert_eq!(
            shown("pot 500k 20% at 40% 26:1 leak=500M"),
            [
                "w pot",
                "v 500k",
                "p 20%",
                "w at",
                "p 40%",
                "r 26:1",
                "leak= 500M"
            ]
        );
        assert_eq!(shown("R47"), ["v R47"]);
    }

    #[test]
    fn a_blank_may_stand_before_a_unit() {
        assert_eq!(shown("10 H 350 R"), ["v 10 H", "v 350 R"]);
        assert_eq!(shown("4.7 k ohms 10 %"), ["v 4.7 k ohms", "p 10 %"]);
        assert_eq!(
            shown("285 V source = 120 R line"),
            ["v 285 V", "source= 120 R", "w line"]
        );
        assert_eq!(shown("5k ± 10 %"), ["v 5k", "p ± 10 %"]);
        assert_eq!(shown("4.7k Ω"), ["v 4.7k Ω"]);
        assert_eq!(shown("4,7 k"), ["v 4,7 k"], "one faulty value");
        assert_eq!(shown("1k a"), ["v 1k", "w a"]);
    }

    #[test]
    fn an_option_without_its_value_is_empty() {
        assert_eq!(shown("source="), ["source= "]);
        assert_eq!(shown("source= off=open"), ["source= ", "off= open"]);
        assert_eq!(shown("="), ["w ="]);
    }
}
