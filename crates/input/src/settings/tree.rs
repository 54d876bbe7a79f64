//! Reads TOML text into sections of keys, each value with its place.
//!
//! Every fault of the text comes in one run. A key that is not known is a warning; a value of the
//! wrong kind is an error at the value. The reader of each file knows the meaning of its keys.

use std::collections::BTreeSet;
use std::ops::Range;

use toml::de::{DeTable, DeValue};
use toml::Spanned;

use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::source::{SourceId, Sources, Span};
use crate::values::Reported;
use crate::words::Words;

/// A text as TOML.
pub(crate) struct Tree<'t> {
    sources: &'t Sources,
    source: SourceId,
    text: &'t str,
    root: DeTable<'t>,
    /// Lines with faults of TOML itself, which spoil what else is found there.
    faulty_lines: BTreeSet<usize>,
    faults: Vec<Diagnostic>,
}

/// One table of a tree.
#[derive(Clone)]
pub(crate) struct Section<'s> {
    source: SourceId,
    text: &'s str,
    /// Its name in messages: `[on-the-bench]`; empty for the top of the file.
    pub name: String,
    /// The place of its name or its value.
    pub span: Span,
    table: &'s DeTable<'s>,
}

/// One value of a section.
#[derive(Clone)]
pub(crate) struct Entry<'s> {
    section: Section<'s>,
    /// The key as written.
    pub key: &'s str,
    /// The place of the key.
    pub key_span: Span,
    value: &'s Spanned<DeValue<'s>>,
}

/// Reads a text as TOML, as far as possible.
pub(crate) fn parse(sources: &Sources, id: SourceId) -> Tree<'_> {
    let text = sources.get(id).text.as_str();
    let (root, errors) = DeTable::parse_recoverable(text);
    let mut faulty_lines = BTreeSet::new();
    let mut faults = Vec::new();
    for error in errors {
        let bytes = on_boundaries(text, error.span().unwrap_or(0..0));
        let (line, _) = sources.line_column(&Span::new(id, bytes.start..bytes.start));
        // The parser finds further faults in the rest of a faulty line; one mistake causes one
        // message.
        if faulty_lines.insert(line) {
            let message = format!("this line is not TOML: {}", error.message());
            let bytes_of_error = bytes.start;
            faults.push(Diagnostic::error(Span::new(id, bytes), message).help(
                quoted(text, bytes_of_error).unwrap_or_else(|| {
                    "a line is `key = \"text\"`, `key = 20000`, or `[section]`".to_owned()
                }),
            ));
        }
    }
    Tree {
        sources,
        source: id,
        text,
        root: root.into_inner(),
        faulty_lines,
        faults,
    }
}

/// How the line of a fault is written where only the quotes of its value are missing:
/// `tolerance = 20%`.
fn quoted(text: &str, at: usize) -> Option<String> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |end| end + 1);
    let line = text.get(start..)?.lines().next()?;
    let (key, value) = line.split_once('=')?;
    let value = value.split('#').next()?.trim();
    let plain = !value.is_empty() && !value.contains(['"', '\'', '[', ']', '{', '}', '\\']);
    plain.then(|| format!("text stands in quotes: `{} = \"{value}\"`", key.trim()))
}

fn on_boundaries(text: &str, bytes: Range<usize>) -> Range<usize> {
    let mut start = bytes.start.min(text.len());
    while !text.is_char_boundary(start) {
        start -= 1;
    }
    let mut end = bytes.end.clamp(start, text.len());
    while !text.is_char_boundary(end) {
        end += 1;
    }
    start..end
}

impl Tree<'_> {
    /// The top of the file.
    pub fn top(&self) -> Section<'_> {
        Section {
            source: self.source,
            text: self.text,
            name: String::new(),
            span: Span::new(self.source, 0..0),
            table: &self.root,
        }
    }

    /// Whether the whole text was TOML. If not, what seems to be missing may be in a line that
    /// could not be read.
    pub fn is_whole(&self) -> bool {
        self.faults.is_empty()
    }

    /// The faults of TOML together with those found by reading the tree, in the order of the file.
    pub fn finish(&self, found: Vec<Diagnostic>) -> Vec<Diagnostic> {
        let elsewhere = |diagnostic: &Diagnostic| match &diagnostic.span {
            Some(span) => {
                let (line, _) = self.sources.line_column(span);
                !self.faulty_lines.contains(&line)
            }
            None => true,
        };
        let mut all = self.faults.clone();
        all.extend(found.into_iter().filter(elsewhere));
        all.sort_by_key(|diagnostic| diagnostic.span.as_ref().map(|span| span.bytes.start));
        all
    }
}

impl<'s> Section<'s> {
    /// Its entries in the order of the file.
    pub fn entries(&self) -> Vec<Entry<'s>> {
        let mut entries: Vec<Entry<'s>> = self
            .table
            .iter()
            .map(|(key, value)| Entry {
                section: self.clone(),
                key: key.get_ref(),
                key_span: Span::new(self.source, on_boundaries(self.text, key.span())),
                value,
            })
            .collect();
        entries.sort_by_key(|entry| entry.key_span.bytes.start);
        entries
    }

    /// The entry of a key.
    pub fn entry(&self, key: &str) -> Option<Entry<'s>> {
        self.entries().into_iter().find(|entry| entry.key == key)
    }

    /// Warns about every key that is not known here.
    pub fn only(&self, known: &[&str], out: &mut Vec<Diagnostic>) {
        for entry in self.entries() {
            if !known.contains(&entry.key) {
                let noun = if entry.value.get_ref().is_table() {
                    "section"
                } else {
                    "key"
                };
                let message = format!(
                    "{}{noun} '{}' is not known and is ignored",
                    self.prefix(),
                    entry.key
                );
                let nearest = did_you_mean(entry.key, known.iter().copied());
                let known = format!("known here: {}", known.join(", "));
                let warning = Diagnostic::warning(entry.key_span.clone(), message);
                out.push(warning.help(known).maybe_help(nearest));
            }
        }
    }

    fn prefix(&self) -> String {
        match self.name.as_str() {
            "" => String::new(),
            name => format!("{name}: "),
        }
    }

    /// The words of a key, if the section has it.
    pub fn words(&self, key: &str, out: &mut Vec<Diagnostic>) -> Result<Option<Words>, Reported> {
        self.entry(key).map(|entry| entry.words(out)).transpose()
    }
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
        let raw = self.place(value).bytes;
        Some(Words::new(
            self.section.source,
            self.section.text,
            raw,
            decoded,
        ))
    }

    /// The value as words.
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
        let mut list = Vec::new();
        let mut all_read = Ok(());
        for value in array.iter() {
            match self.decode(value) {
                Some(words) => list.push(words),
                None => all_read = Err(self.wrong_kind(value, "text in quotes", out)),
            }
        }
        all_read.map(|()| list)
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
                let text = self.section.text;
                Some(Words::new(self.section.source, text, raw, written))
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
        let mut sections = Vec::new();
        let mut all_read = Ok(());
        for (index, value) in array.iter().enumerate() {
            match value.get_ref().as_table() {
                Some(table) => sections.push(Section {
                    source: self.section.source,
                    text: self.section.text,
                    name: format!("{} {}", self.name_within(), index + 1),
                    span: self.place(value),
                    table,
                }),
                None => all_read = Err(self.wrong_kind(value, "a section", out)),
            }
        }
        all_read.map(|()| sections)
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
        Some(Section {
            source: self.section.source,
            text: self.section.text,
            name: self.name_within(),
            span: self.key_span.clone(),
            table,
        })
    }

    /// The value as a section.
    pub fn needs_section(&self, out: &mut Vec<Diagnostic>) -> Result<Section<'s>, Reported> {
        self.section().ok_or_else(|| {
            let message = format!("{}: a section was expected here", self.what());
            let help = "its name stands in brackets on a line of its own, its keys below it";
            out.push(Diagnostic::error(self.span(), message).help(help));
            Reported
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
        out.push(Diagnostic::error(self.place(value), message).maybe_help(help));
        Reported
    }
}
