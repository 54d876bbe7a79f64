//! Assigns a part's values to the fields that they belong to.
//!
//! The items of a part come in; each field asks for its value by unit, word or option, and values
//! that no field has taken are reported at the end. A faulty value is reported once and replaced by
//! [`STAND_IN`], so that the part stays in the circuit and later lines can name it.

use std::ops::Range;

use circuit::Rating;
use units::{parse_part_tolerance, Doubt, Figure, Unit, ValueError};

use super::connections::check_name;
use super::findings::Findings;
use super::items::{Item, ItemKind};
use super::lex::Word;

/// Replaces a value that could not be read. An error is always reported with it.
pub(super) const STAND_IN: f64 = 1.0;

/// A value and its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    /// The value in the base unit that was asked for.
    pub value: f64,
    pub bytes: Range<usize>,
}

/// Which sizes of a value draw a warning.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Doubted {
    /// Very large and very small ones: values that are printed on a part.
    Both,
    /// Very large ones: windings and sources may have milliohms.
    Large,
    /// None: leakage may be of any size.
    Neither,
}

impl Doubted {
    fn about(self, figure: &Figure) -> Option<Doubt> {
        figure.doubt().filter(|doubt| match self {
            Doubted::Both => true,
            Doubted::Large => !matches!(doubt, Doubt::SmallResistor { .. }),
            Doubted::Neither => false,
        })
    }
}

/// The part whose values are assigned.
#[derive(Clone, Debug)]
pub(super) struct Subject<'a> {
    pub name: &'a str,
    pub bytes: Range<usize>,
    /// Its kind in one or two words.
    pub noun: &'static str,
}

/// The items of one part, and which of them are taken.
#[derive(Debug)]
pub(super) struct Values<'a, 'f> {
    pub(super) subject: Subject<'a>,
    pub(super) items: Vec<Item<'a>>,
    pub(super) taken: Vec<bool>,
    /// Bare words that were asked for.
    pub(super) words: Vec<&'static str>,
    /// Options that were asked for.
    pub(super) options: Vec<&'static str>,
    /// What is missing, and how it is written.
    pub(super) missing: Option<(String, &'static str)>,
    pub(super) findings: &'f mut Findings,
    pub(super) faulty: bool,
    /// The ratings of the part, as far as they are stated.
    pub(super) rating: Rating,
    /// Whether ratings and a tolerance were asked for.
    pub(super) asks_ratings: bool,
    pub(super) asks_tolerance: bool,
}

impl<'a, 'f> Values<'a, 'f> {
    /// The values of a part, with none taken yet.
    pub fn new(subject: Subject<'a>, items: Vec<Item<'a>>, findings: &'f mut Findings) -> Self {
        Values {
            taken: vec![false; items.len()],
            subject,
            items,
            words: Vec::new(),
            options: Vec::new(),
            missing: None,
            findings,
            faulty: false,
            rating: Rating::default(),
            asks_ratings: false,
            asks_tolerance: false,
        }
    }

    /// The next untaken item that fits, marked as taken.
    pub(super) fn take(&mut self, fits: impl Fn(&Item<'a>) -> bool) -> Option<(usize, Item<'a>)> {
        let untaken = self.items.iter().zip(&self.taken);
        let index = untaken
            .into_iter()
            .position(|(item, taken)| !taken && fits(item))?;
        self.taken[index] = true;
        Some((index, self.items[index].clone()))
    }

    /// Whether there are items that no field has taken so far.
    pub fn has_leftovers(&self) -> bool {
        self.taken.contains(&false)
    }

    /// Whether one of the items is this word, ignoring case.
    pub fn says(&self, word: &str) -> bool {
        self.items.iter().any(|item| is(item, word))
    }

    /// Reports a fault, as [`Findings::refuse`].
    pub fn refuse(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        label: &str,
        help: impl Into<String>,
    ) {
        self.findings.refuse(bytes, message, label, help);
        self.faulty = true;
    }

    /// Reports a value that is not allowed in its place.
    pub fn reject(
        &mut self,
        bytes: &Range<usize>,
        message: impl Into<String>,
        help: impl Into<String>,
    ) {
        self.refuse(bytes, message, "not possible", help);
    }

    /// Reports a part whose values do not go together, at its designation, which begins the message.
    pub fn reject_part(&mut self, message: &str, help: impl Into<String>) {
        let message = format!("{} {message}", self.subject.name);
        self.reject(&self.subject.bytes.clone(), message, help);
    }

    /// Reports two words that exclude each other, at the second of them.
    pub fn exclusive(&mut self, one: &Range<usize>, other: &Range<usize>, message: String) {
        let second = if one.start > other.start { one } else { other };
        self.reject(second, message, "keep one of the two words");
    }

    /// Whether all of these words can name a node; those that cannot are reported.
    pub fn can_be_nodes(&mut self, words: &[&Word<'_>]) -> bool {
        let named = words.iter().all(|word| check_name(word, self.findings));
        self.faulty |= !named;
        named
    }

    /// The first value in this unit. If there are only other values, the first of them is reported.
    pub fn figure(&mut self, what: &str, unit: Unit, doubted: Doubted) -> Option<Placed> {
        let value = |item: &Item<'_>| item.kind == ItemKind::Value;
        let (_, item) = self
            .take(|item| value(item) && Figure::parse(item.text, unit).is_ok())
            .or_else(|| self.take(value))?;
        self.read(&item, what, unit, doubted)
    }

    /// As [`Values::figure`] for any size, but noted as missing if there is none.
    pub fn need(&mut self, what: &str, unit: Unit, example: &'static str) -> Option<Placed> {
        let found = self.figure(what, unit, Doubted::Both);
        if found.is_none() && !self.faulty {
            self.lacks(what, example);
        }
        found
    }

    /// Notes what is missing. It is reported at the end, unless the part has another fault that may
    /// be the cause.
    pub fn lacks(&mut self, what: &str, example: &'static str) {
        self.missing.get_or_insert((what.to_owned(), example));
    }

    /// The part's tolerance as a fraction: a percentage or a letter of IEC 60062.
    pub fn tolerance(&mut self) -> Option<f64> {
        self.asks_tolerance = true;
        let (_, item) = self.take(|item| match item.kind {
            ItemKind::Percent => true,
            ItemKind::Word => parse_part_tolerance(item.text).is_ok(),
            _ => false,
        })?;
        match parse_part_tolerance(item.text) {
            Ok(fraction) if fraction < 1.0 => Some(fraction),
            Ok(_) => {
                let help = "a usual tolerance is 5, 10 or 20 %";
                self.reject(&item.bytes, "a tolerance must be below 100 %", help);
                None
            }
            Err(error) => {
                let label = "the tolerance".to_owned();
                self.unreadable(item.bytes.start, &error, label);
                None
            }
        }
    }

    /// Reads the text of an item, and warns about a doubtful size.
    pub(super) fn read(
        &mut self,
        item: &Item<'_>,
        what: &str,
        unit: Unit,
        doubted: Doubted,
    ) -> Option<Placed> {
        match Figure::parse(item.text, unit) {
            Ok(figure) => {
                if let Some(doubt) = doubted.about(&figure) {
                    let (message, help) = (doubt.to_string(), doubt.help());
                    self.findings
                        .doubt(&item.bytes, message, "is this meant?", help);
                }
                Some(Placed {
                    value: figure.value,
                    bytes: item.bytes.clone(),
                })
            }
            Err(error) => {
                let label = format!("{what}, in {}", unit.plural_name());
                self.unreadable(item.bytes.start, &error, label);
                None
            }
        }
    }

    /// Reports a value that could not be read, from the byte where it begins.
    pub(super) fn unreadable(&mut self, start: usize, error: &ValueError, label: String) {
        self.findings.push_value_error(start, error, label);
        self.faulty = true;
    }

    /// The value if it is above zero, else [`STAND_IN`] and a report.
    pub fn above_zero(&mut self, found: Option<Placed>, what: &str, help: &str) -> f64 {
        match found {
            Some(placed) if placed.value > 0.0 => placed.value,
            Some(placed) => {
                self.reject(&placed.bytes, format!("{what} must be above zero"), help);
                STAND_IN
            }
            None => STAND_IN,
        }
    }

    /// The value if it is not negative, zero if there is none, else [`STAND_IN`] and a report.
    pub fn zero_or_more(&mut self, found: Option<Placed>, what: &str) -> f64 {
        match found {
            Some(placed) if placed.value >= 0.0 => placed.value,
            Some(placed) => {
                let message = format!("{what} cannot be negative");
                self.reject(&placed.bytes, message, "write zero or more");
                STAND_IN
            }
            None => 0.0,
        }
    }
}

/// Whether the item's text is this word, ignoring case.
pub(super) fn is(item: &Item<'_>, word: &str) -> bool {
    item.text.eq_ignore_ascii_case(word)
}
