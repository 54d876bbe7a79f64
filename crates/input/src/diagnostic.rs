//! What is wrong with an input, where, and what to write instead.
//!
//! A diagnostic is data; the command draws it. Readers return all that they find in one run,
//! together with everything that they could read from the text.

use crate::source::Span;
use crate::values::Reported;

/// How severe it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Severity {
    /// Information; nothing has to be changed.
    Note,
    /// Doubtful; the job continues.
    Warning,
    /// What is written cannot be used.
    Error,
}

/// What an error costs.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Scope {
    /// The job cannot continue.
    #[default]
    Job,
    /// One row, cell or meter is left out, and the rest continues.
    Row,
}

/// One finding about an input text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Diagnostic {
    /// How severe it is.
    pub severity: Severity,
    /// What is wrong, in one plain sentence without a full stop.
    pub message: String,
    /// Where; none if it concerns the job as a whole, such as a missing file.
    pub span: Option<Span>,
    /// A few words for the mark under the place.
    pub label: String,
    /// What to write instead.
    pub help: Option<String>,
    /// A second place that the first conflicts with, and a few words for its mark.
    pub related: Option<(Span, String)>,
    /// What it costs, if it is an error.
    pub scope: Scope,
}

impl Diagnostic {
    /// An error at a place.
    pub fn error(span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Error, Some(span), message.into())
    }

    /// A warning at a place.
    pub fn warning(span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Warning, Some(span), message.into())
    }

    /// A note at a place.
    pub fn note(span: Span, message: impl Into<String>) -> Self {
        Self::new(Severity::Note, Some(span), message.into())
    }

    /// An error about the job as a whole.
    pub fn of_job(message: impl Into<String>) -> Self {
        Self::new(Severity::Error, None, message.into())
    }

    fn new(severity: Severity, span: Option<Span>, message: String) -> Self {
        Diagnostic {
            severity,
            message: bearable(message),
            span,
            label: String::new(),
            help: None,
            related: None,
            scope: Scope::Job,
        }
    }

    /// With words for the mark.
    pub fn label(mut self, label: impl Into<String>) -> Self {
        self.label = bearable(label.into());
        self
    }

    /// With what to write instead.
    pub fn help(mut self, help: impl Into<String>) -> Self {
        self.help = Some(bearable(help.into()));
        self
    }

    /// With help if there is any.
    pub fn maybe_help(mut self, help: Option<String>) -> Self {
        self.help = help.map(bearable).or(self.help);
        self
    }

    /// With a second place.
    pub fn related(mut self, span: Span, label: impl Into<String>) -> Self {
        self.related = Some((span, bearable(label.into())));
        self
    }

    /// As a fault of one row; the job continues without the row.
    pub fn of_row(mut self) -> Self {
        self.scope = Scope::Row;
        self
    }

    /// Adds it to the others. The return value is for what cannot be read because of it.
    pub(crate) fn report(self, out: &mut Vec<Diagnostic>) -> Reported {
        out.push(self);
        Reported
    }

    /// Whether what is written cannot be used.
    pub fn is_error(&self) -> bool {
        self.severity == Severity::Error
    }

    /// Whether the job cannot continue.
    pub fn stops_job(&self) -> bool {
        self.is_error() && self.scope == Scope::Job
    }
}

/// Length of a message in characters above which its middle is left out: a quoted word may be a
/// very long line.
const LONGEST: usize = 600;

fn bearable(text: String) -> String {
    if text.len() <= LONGEST {
        return text;
    }
    let letters = text.chars();
    let start: String = letters.clone().take(LONGEST / 2).collect();
    let end: Vec<char> = letters.rev().take(LONGEST / 4).collect();
    format!("{start} … {}", end.into_iter().rev().collect::<String>())
}

/// Limits the cost of the errors from index `from` on to one row, and returns the message of the
/// first of them.
pub(crate) fn cost_a_row(found: &mut [Diagnostic], from: usize) -> Option<String> {
    let rest = found.get_mut(from..)?.iter_mut();
    let mut first = None;
    for error in rest.filter(|diagnostic| diagnostic.is_error()) {
        error.scope = Scope::Row;
        first.get_or_insert_with(|| error.message.clone());
    }
    first
}
