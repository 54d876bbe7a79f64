//! One key of a section with its value.
//!
//! A value of TOML comes in; words, a list, a count or sections go out, each with its place, or an error at the value
//! where it is of another kind. What the key means is not known here.

use std::fmt::Display;
use std::ops::Range;

use toml::de::{DeTable, DeValue};
use toml::Spanned;

use super::{on_boundaries, Section};
use crate::diagnostic::Diagnostic;
use crate::source::Span;
use crate::values::{self, Reported};
use crate::words::Words;

/// One value of a section.
#[derive(Clone)]
pub(crate) struct Entry<'s> {
    pub(super) section: Section<'s>,
    pub key: &'s str,
    pub key_span: Span,
    pub(super) value: &'s Spanned<DeValue<'s>>,
}

impl<'s> Entry<'s> {
    /// Section and key for messages: `[bench-dmm] ranges`.
    pub fn what(&self) -> String {
        format!("{}'{}'", self.section.prefix(), self.key)
    }

    /// The place of the value.
    pub fn span(&self) -> Span {
        self.place(self.value)
    }

    fn place(&self, value: &Spanned<DeValue<'_>>) -> Span {
        let section = &self.section;
        Span::new(section.source, on_boundaries(section.text, value.span()))
    }

    fn decode(&self, value: &Spanned<DeValue<'_>>) -> Option<Words> {
        let decoded = value.get_ref().as_str()?;
        Some(self.named(self.place(value).bytes, decoded))
    }

    fn named(&self, raw: Range<usize>, decoded: &str) -> Words {
        let section = &self.section;
        Words::new(section.source, section.text, raw, decoded).named(self.what())
    }

    pub fn error(&self, message: impl Display) -> Diagnostic {
        Diagnostic::error(self.span(), format!("{}: {message}", self.what()))
    }

    pub fn error_at_key(&self, message: impl Display) -> Diagnostic {
        let message = format!("{}: {message}", self.what());
        Diagnostic::error(self.key_span.clone(), message)
    }

    pub fn words(&self, out: &mut Vec<Diagnostic>) -> Result<Words, Reported> {
        match self.decode(self.value) {
            Some(words) => Ok(words),
            None => Err(self.wrong_kind(self.value, "text in quotes", out)),
        }
    }

    /// The value as a list of words; one text is a list of one.
    pub fn list(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<Words>, Reported> {
        let Some(array) = self.value.get_ref().as_array() else {
            return match self.decode(self.value) {
                Some(words) => Ok(vec![words]),
                None => Err(self.wrong_kind(self.value, "text in quotes, or a list of it", out)),
            };
        };
        values::all(array.iter().map(|value| {
            let words = self.decode(value);
            words.ok_or_else(|| self.wrong_kind(value, "text in quotes", out))
        }))
    }

    /// The value as words, where a bare number is accepted like a number in quotes.
    pub fn number(&self, out: &mut Vec<Diagnostic>) -> Result<Words, Reported> {
        match self.plain() {
            Some(words) => Ok(words),
            None => self.words(out),
        }
    }

    /// The value as words, if it is text or a bare number.
    pub fn plain(&self) -> Option<Words> {
        match self.value.get_ref() {
            DeValue::Integer(_) | DeValue::Float(_) => {
                let raw = self.span().bytes;
                let written = self.section.text.get(raw.clone()).unwrap_or("");
                Some(self.named(raw, written))
            }
            _ => self.decode(self.value),
        }
    }

    /// The value, if it is true or false.
    pub fn bool(&self) -> Option<bool> {
        self.value.get_ref().as_bool()
    }

    /// The sections of a list of them, such as each `[[6ZZ9.point]]`; one section is a list of one.
    pub fn sections(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<Section<'s>>, Reported> {
        if let Some(section) = self.section() {
            return Ok(vec![section]);
        }
        let Some(array) = self.value.get_ref().as_array() else {
            return Err(self.wrong_kind(self.value, "a section", out));
        };
        values::all(array.iter().enumerate().map(|(index, value)| {
            let table = value.get_ref().as_table();
            let table = table.ok_or_else(|| self.wrong_kind(value, "a section", out))?;
            let name = format!("{} {}", self.name_within(), index + 1);
            Ok(self.below(name, self.place(value), table))
        }))
    }

    /// A section that is, or is part of, the value.
    fn below(&self, name: String, span: Span, table: &'s DeTable<'s>) -> Section<'s> {
        Section {
            name,
            span,
            table,
            ..self.section
        }
    }

    /// `[outer.key]`
    fn name_within(&self) -> String {
        match self.section.name.strip_suffix(']') {
            Some(outer) => format!("{outer}.{}]", self.key),
            None => format!("[{}]", self.key),
        }
    }

    /// The value as a count of at least one.
    pub fn count(&self, out: &mut Vec<Diagnostic>) -> Result<u32, Reported> {
        let read = self
            .value
            .get_ref()
            .as_integer()
            .and_then(|integer| u32::from_str_radix(integer.as_str(), integer.radix()).ok());
        match read {
            Some(count) if count > 0 => Ok(count),
            _ => Err(self.wrong_kind(self.value, "a whole number above zero", out)),
        }
    }

    /// The value as a section, if it is one.
    pub fn section(&self) -> Option<Section<'s>> {
        let table = self.value.get_ref().as_table()?;
        Some(self.below(self.name_within(), self.key_span.clone(), table))
    }

    /// The value as a section.
    pub fn needs_section(&self, out: &mut Vec<Diagnostic>) -> Result<Section<'s>, Reported> {
        self.section().ok_or_else(|| {
            let help = "its name stands in brackets on a line of its own, its keys below it";
            let error = self.error("a section was expected here");
            error.help(help).report(out)
        })
    }

    fn wrong_kind(
        &self,
        value: &Spanned<DeValue<'_>>,
        wanted: &str,
        out: &mut Vec<Diagnostic>,
    ) -> Reported {
        let message = format!("{}: {wanted} was expected here", self.what());
        let help = match value.get_ref() {
            DeValue::Integer(number) => Some(format!("write it in quotes: `\"{number}\"`")),
            DeValue::Float(number) => Some(format!("write it in quotes: `\"{number}\"`")),
            _ => Some("text stands in quotes: `\"…\"`".to_owned()),
        };
        let help = help.filter(|_| wanted.starts_with("text"));
        let error = Diagnostic::error(self.place(value), message);
        error.maybe_help(help).report(out)
    }
}
