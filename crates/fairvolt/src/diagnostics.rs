//! Drawing what is wrong with an input: the line, a mark under the place, a hint.

use std::ops::Range;

use annotate_snippets::{AnnotationKind, Group, Level, Renderer};
use input::{Diagnostic, Severity, Sources, Span};
use report::{message_lines, DiagnosticRecord};

use crate::console::{escaped, Console};
use crate::excerpt::Excerpt;

/// Draws every diagnostic on the error stream, and a line that counts them.
pub(crate) fn show(diagnostics: &[Diagnostic], sources: &Sources, console: &mut Console) {
    if diagnostics.is_empty() {
        return;
    }
    let renderer = if console.colour_errors {
        Renderer::styled()
    } else {
        Renderer::plain()
    };
    let mut text = String::new();
    for diagnostic in diagnostics {
        let shown = Shown::of(diagnostic, sources, console.width);
        text.push_str(&renderer.render(&shown.drawing(diagnostic.severity)));
        text.push_str("\n\n");
    }
    if let Some(line) = tally(diagnostics) {
        text.push_str(&line);
        text.push('\n');
    }
    console.complain_drawn(&text);
}

/// A diagnostic as it is drawn: its own lines only, with every strange sign escaped.
struct Shown {
    message: String,
    help: Option<String>,
    label: String,
    primary: Option<Excerpt>,
    /// The second place, with its words: in the primary excerpt, or in one of its own.
    related: Option<(Option<Excerpt>, Range<usize>, String)>,
}

/// The message behind its place, as one sentence.
fn placed(diagnostic: &Diagnostic, sources: &Sources) -> String {
    let message = &diagnostic.message;
    match &diagnostic.span {
        Some(span) => {
            let (line, column) = sources.line_column(span);
            let file = &sources.get(span.source).label;
            format!("{file}, line {line}, column {column}: {message}")
        }
        None => message.clone(),
    }
}

/// Lines between two places that are still drawn in one piece.
const NEAR: usize = 20;

/// Whether two places are drawn in one piece of one text.
fn are_near(sources: &Sources, span: &Span, other: &Span) -> bool {
    let line = |span| sources.line_column(span).0;
    span.source == other.source && line(span).abs_diff(line(other)) <= NEAR
}

impl Shown {
    fn of(diagnostic: &Diagnostic, sources: &Sources, width: usize) -> Self {
        let (primary, related) = match (&diagnostic.span, &diagnostic.related) {
            (Some(span), Some((other, label))) if are_near(sources, span, other) => {
                let (excerpt, other) = Excerpt::of_both(sources, span, other);
                (Some(excerpt), Some((None, other, label)))
            }
            (Some(span), Some((other, label))) => {
                let excerpt = Excerpt::of(sources, other);
                let at = excerpt.span.clone();
                (
                    Some(Excerpt::of(sources, span)),
                    Some((Some(excerpt), at, label)),
                )
            }
            (Some(span), None) => (Some(Excerpt::of(sources, span)), None),
            (None, _) => (None, None),
        };
        // The drawing indents further lines by as much as what it sets before the first.
        let broken = |text: &str, before: usize| {
            message_lines(&escaped(text), width.saturating_sub(before)).join("\n")
        };
        let numbers = [
            &primary,
            &related.as_ref().and_then(|(own, ..)| own.clone()),
        ];
        let numbers = numbers.into_iter().flatten().map(Excerpt::last_number);
        let gutter = numbers.max().map_or(0, |last| last.to_string().len());
        Shown {
            message: broken(
                &placed(diagnostic, sources),
                severity_word(diagnostic.severity).len() + ": ".len(),
            ),
            help: diagnostic
                .help
                .as_ref()
                .map(|help| broken(help, gutter + " = help: ".len())),
            label: escaped(&diagnostic.label).into_owned(),
            primary,
            related: related.map(|(excerpt, at, label)| (excerpt, at, escaped(label).into_owned())),
        }
    }

    fn drawing(&self, severity: Severity) -> Vec<Group<'_>> {
        let level = match severity {
            Severity::Error => Level::ERROR,
            Severity::Warning => Level::WARNING,
            Severity::Note => Level::NOTE,
        };
        let mut group = Group::with_title(level.primary_title(&self.message));
        if let Some(excerpt) = &self.primary {
            let mark = AnnotationKind::Primary.span(excerpt.span.clone());
            let mut snippet = excerpt.snippet().annotation(mark.label(&self.label));
            let mut elsewhere = None;
            if let Some((own, at, label)) = &self.related {
                let mark = AnnotationKind::Context.span(at.clone()).label(label);
                match own {
                    None => snippet = snippet.annotation(mark),
                    Some(other) => {
                        elsewhere = Some(other.snippet().path(other.label()).annotation(mark))
                    }
                }
            }
            group = group.element(snippet);
            if let Some(snippet) = elsewhere {
                group = group.element(snippet);
            }
        }
        if let Some(help) = &self.help {
            group = group.element(Level::HELP.message(help));
        }
        vec![group]
    }
}

fn severity_word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

/// `2 errors, 1 warning`; none if there are only notes.
fn tally(diagnostics: &[Diagnostic]) -> Option<String> {
    let count = |severity| {
        diagnostics
            .iter()
            .filter(|diagnostic| diagnostic.severity == severity)
            .count()
    };
    let said = |count: usize, noun: &str| match count {
        0 => None,
        1 => Some(format!("1 {noun}")),
        many => Some(format!("{many} {noun}s")),
    };
    let parts: Vec<String> = [
        said(count(Severity::Error), "error"),
        said(count(Severity::Warning), "warning"),
    ]
    .into_iter()
    .flatten()
    .collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// The same as records, for a document.
pub(crate) fn records(diagnostics: &[Diagnostic], sources: &Sources) -> Vec<DiagnosticRecord> {
    diagnostics
        .iter()
        .map(|diagnostic| {
            let place = diagnostic.span.as_ref().map(|span| {
                let (line, column) = sources.line_column(span);
                (sources.get(span.source).label.clone(), line, column)
            });
            DiagnosticRecord {
                severity: severity_word(diagnostic.severity).to_owned(),
                message: diagnostic.message.clone(),
                file: place.as_ref().map(|(file, _, _)| file.clone()),
                line: place.as_ref().map(|(_, line, _)| *line),
                column: place.as_ref().map(|(_, _, column)| *column),
                help: diagnostic.help.clone(),
            }
        })
        .collect()
}
