//! Drawing what is wrong with an input: the line, a mark under the place, a hint.

use annotate_snippets::{AnnotationKind, Group, Level, Renderer, Snippet};
use input::{Diagnostic, Severity, Sources};
use report::DiagnosticRecord;

use crate::console::Console;

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
        text.push_str(&renderer.render(&drawing(diagnostic, sources)));
        text.push_str("\n\n");
    }
    if let Some(line) = tally(diagnostics) {
        text.push_str(&line);
        text.push('\n');
    }
    console.complain(&text);
}

fn drawing<'a>(diagnostic: &'a Diagnostic, sources: &'a Sources) -> Vec<Group<'a>> {
    let level = match diagnostic.severity {
        Severity::Error => Level::ERROR,
        Severity::Warning => Level::WARNING,
        Severity::Note => Level::NOTE,
    };
    let mut group = Group::with_title(level.primary_title(&diagnostic.message));
    if let Some(span) = &diagnostic.span {
        let source = sources.get(span.source);
        let mut snippet = Snippet::source(&source.text)
            .path(&source.label)
            .annotation(
                AnnotationKind::Primary
                    .span(span.bytes.clone())
                    .label(&diagnostic.label),
            );
        let mut elsewhere = None;
        if let Some((other, label)) = &diagnostic.related {
            let mark = AnnotationKind::Context
                .span(other.bytes.clone())
                .label(label);
            if other.source == span.source {
                snippet = snippet.annotation(mark);
            } else {
                let text = sources.get(other.source);
                elsewhere = Some(
                    Snippet::source(&text.text)
                        .path(&text.label)
                        .annotation(mark),
                );
            }
        }
        group = group.element(snippet);
        if let Some(snippet) = elsewhere {
            group = group.element(snippet);
        }
    }
    if let Some(help) = &diagnostic.help {
        group = group.element(Level::HELP.message(help));
    }
    vec![group]
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
                severity: match diagnostic.severity {
                    Severity::Error => "error",
                    Severity::Warning => "warning",
                    Severity::Note => "note",
                }
                .to_owned(),
                message: diagnostic.message.clone(),
                file: place.as_ref().map(|(file, _, _)| file.clone()),
                line: place.as_ref().map(|(_, line, _)| *line),
                column: place.as_ref().map(|(_, _, column)| *column),
                help: diagnostic.help.clone(),
            }
        })
        .collect()
}
