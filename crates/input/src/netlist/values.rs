//! Assigns a part's values to the fields that they belong to.
//!
//! The items of a part come in; each field asks for its value by unit, word or option, and values
//! that no field has taken are reported at the end. A faulty value is reported once and replaced by
//! [`STAND_IN`], so that the part stays in the circuit and later lines can name it.

use std::ops::Range;

use circuit::Rating;
use units::{parse_part_tolerance, parse_percent, Doubt, Figure, Unit};

use super::findings::Findings;
use super::items::{Item, ItemKind};

/// Replaces a value that could not be read. An error is always reported with it.
pub(super) const STAND_IN: f64 = 1.0;

/// A value and its place.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Placed {
    /// The value in the base unit that was asked for.
    pub value: f64,
    /// Its bytes.
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
    /// Its designation.
    pub name: &'a str,
    /// The place of its designation.
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

    /// Reports a value that is not allowed in its place.
    pub fn reject(&mut self, bytes: &Range<usize>, message: String, help: &str) {
        let found = self
            .findings
            .error(bytes, message)
            .label("not possible")
            .help(help);
        self.findings.push(found);
        self.faulty = true;
    }

    /// The plain number of `word=value`, such as `hfe=100`, if there is one; reported unless it is above zero.
    pub fn plain(&mut self, word: &'static str) -> Option<f64> {
        let item = self.option_item(word)?;
        let number = item.text.parse::<f64>().ok();
        let found = number.filter(|number| number.is_finite() && *number > 0.0);
        if found.is_none() {
            let message = format!("'{word}' is a plain number above zero");
            let help = format!("write it without a unit, such as `{word}=100`");
            self.reject(&item.bytes, message, &help);
        }
        found
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
            let found = self
                .findings
                .error(&whole, format!("'{word}=' has no value"));
            let help = "write the value right after the equals sign";
            self.findings
                .push(found.label("a value belongs after this").help(help));
            self.faulty = true;
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
                let message = "a tolerance must be below 100 %".to_owned();
                self.reject(&item.bytes, message, "a usual tolerance is 5, 10 or 20 %");
                None
            }
            Err(error) => {
                let label = "the tolerance".to_owned();
                self.findings
                    .push_value_error(item.bytes.start, &error, label);
                self.faulty = true;
                None
            }
        }
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
                    let found = self
                        .findings
                        .error(&at.bytes, format!("'{word}' has no value"));
                    let help = format!("write `{word} 40%`");
                    self.findings
                        .push(found.label("a percentage belongs after this").help(help));
                    self.faulty = true;
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
                self.findings
                    .push_value_error(item.bytes.start, &error, label);
                self.faulty = true;
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
                    let doubtful = self.findings.warning(&item.bytes, doubt.to_string());
                    self.findings
                        .push(doubtful.label("is this meant?").help(doubt.help()));
                }
                Some(Placed {
                    value: figure.value,
                    bytes: item.bytes.clone(),
                })
            }
            Err(error) => {
                let label = format!("{what}, in {}", unit.plural_name());
                self.findings
                    .push_value_error(item.bytes.start, &error, label);
                self.faulty = true;
                None
            }
        }
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
