//! Reads TOML text into sections of keys, each value with its place.
//!
//! Every fault of the text comes in one run. A key that is not known is a warning; a value of the
//! wrong kind is an error at the value. The reader of each file knows the meaning of its keys.

mod entry;

use std::collections::BTreeSet;
use std::ops::Range;

use toml::de::DeTable;
use units::Unit;

use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::source::{SourceId, Sources, Span};
use crate::values::Reported;
use crate::words::Words;

pub(crate) use entry::Entry;

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
    /// Whether the whole text was TOML; if not, what seems to be missing may be in a faulty line.
    whole: bool,
    table: &'s DeTable<'s>,
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
            let unquoted = hyphenated(text, bytes.start).or_else(|| quoted(text, bytes.start));
            let usual = || "a line is `key = \"text\"`, `key = 20000`, or `[section]`".to_owned();
            let fault = Diagnostic::error(Span::new(id, bytes), message);
            faults.push(fault.help(unquoted.unwrap_or_else(usual)));
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

/// The line of a byte, as far as the text has it.
fn line_at(text: &str, at: usize) -> Option<&str> {
    let start = text.get(..at)?.rfind('\n').map_or(0, |end| end + 1);
    text.get(start..)?.lines().next()
}

/// How a section is written whose name has blanks: `[as documented]`.
fn hyphenated(text: &str, at: usize) -> Option<String> {
    let name = line_at(text, at)?
        .trim()
        .strip_prefix('[')?
        .strip_suffix(']')?;
    let words: Vec<&str> = name.split_whitespace().collect();
    (words.len() > 1).then(|| format!("a name has hyphens for blanks: `[{}]`", words.join("-")))
}

/// How the line of a fault is written where only the quotes of its value are missing:
/// `tolerance = 20%`.
fn quoted(text: &str, at: usize) -> Option<String> {
    let (key, value) = line_at(text, at)?.split_once('=')?;
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
    pub fn top(&self) -> Section<'_> {
        Section {
            source: self.source,
            text: self.text,
            name: String::new(),
            span: Span::new(self.source, 0..0),
            whole: self.is_whole(),
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

    /// The number above zero of a key, if the section has it.
    pub fn positive(
        &self,
        key: &str,
        unit: Unit,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Option<f64>, Reported> {
        let words = self.words(key, out)?;
        words.map(|words| words.positive(unit, out)).transpose()
    }

    /// Reports a key that the section lacks, unless it may be in a faulty line.
    pub fn lacks(&self, key: &str, example: &str, out: &mut Vec<Diagnostic>) -> Reported {
        self.add(format!("{}: '{key}' is missing", self.name), example, out)
    }

    /// Reports what the section lacks in words of its own: `[bench-dmm] lists no ranges`.
    pub fn missing(&self, message: &str, example: &str, out: &mut Vec<Diagnostic>) -> Reported {
        self.add(format!("{} {message}", self.name), example, out)
    }

    fn add(&self, message: String, example: &str, out: &mut Vec<Diagnostic>) -> Reported {
        if self.whole {
            let help = format!("add `{example}`");
            out.push(Diagnostic::error(self.span.clone(), message).help(help));
        }
        Reported
    }
}
