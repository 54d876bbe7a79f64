//! Faulty netlists that carry their expected diagnostics inside.
//!
//! Below a line stands `#!`, carets under the place, the severity, and how the message begins:
//!
//! ```text
//!     R1: 1k maybe, a to b
//! #!         ^^^^^ error unknown word 'maybe'
//! ```
//!
//! `#! at the end error …` is for a message about the text as a whole. The lines of a netlist are
//! indented so that there is room for the `#!`. Every message of a file must be expected, in order.

use std::fs;
use std::path::Path;

use input::{read_netlist, Diagnostic, Severity, Sources};

/// Line and column, both from 1, of a byte of a text; columns count characters.
fn line_column(text: &str, byte: usize) -> (usize, usize) {
    let before = &text[..byte];
    let last = before.rsplit('\n').next().unwrap_or(before);
    (before.matches('\n').count() + 1, last.chars().count() + 1)
}

/// Where a message is expected and how it begins.
#[derive(Debug, PartialEq, Eq, PartialOrd, Ord)]
struct Expected {
    line: usize,
    columns: (usize, usize),
    text: String,
}

fn expected(text: &str) -> Vec<Expected> {
    let mut found = Vec::new();
    let mut above = 0;
    for (index, line) in text.lines().enumerate() {
        let Some(rest) = line.strip_prefix("#!") else {
            above = index + 1;
            continue;
        };
        if let Some(message) = rest.strip_prefix(" at the end ") {
            let (line, column) = line_column(text, text.trim_end().len());
            found.push(Expected {
                line,
                columns: (column, column),
                text: message.trim().to_owned(),
            });
            continue;
        }
        let carets = rest.trim_start();
        let message = carets.trim_start_matches('^');
        let start = 3 + rest.chars().count() - carets.chars().count();
        let length = carets.len() - message.len();
        assert!(length > 0, "line {}: no carets", index + 1);
        found.push(Expected {
            line: above,
            columns: (start, start + length),
            text: message.trim().to_owned(),
        });
    }
    found
}

fn found(text: &str, diagnostic: &Diagnostic) -> Expected {
    let span = diagnostic
        .span
        .as_ref()
        .expect("a netlist's diagnostic has a place");
    let (line, start) = line_column(text, span.bytes.start);
    let (last, end) = line_column(text, span.bytes.end);
    assert_eq!(line, last, "a mark lies in one line: {diagnostic:?}");
    let severity = match diagnostic.severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    };
    Expected {
        line,
        columns: (start, end),
        text: format!("{severity} {}", diagnostic.message),
    }
}

#[test]
fn every_fault_is_told_once_and_in_its_place() {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/faults");
    let mut files = 0;
    let mut messages = 0;
    let mut wrong = Vec::new();
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        // Faulty tables stand in the same folder.
        if path
            .extension()
            .is_none_or(|extension| extension != "netlist")
        {
            continue;
        }
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let text = fs::read_to_string(&path).unwrap();
        let mut sources = Sources::default();
        let id = sources.add(name.as_str(), &text);
        let want = expected(&text);
        let diagnostics = read_netlist(&sources, id, &[]).diagnostics;
        let got: Vec<Expected> = diagnostics.iter().map(|one| found(&text, one)).collect();
        for one in &diagnostics {
            assert!(
                !one.label.is_empty(),
                "{name}: a mark without words: {one:?}"
            );
            assert!(one.help.is_some(), "{name}: no help: {one:?}");
        }
        let fits = |want: &Expected, got: &Expected| {
            (want.line, want.columns) == (got.line, got.columns) && got.text.starts_with(&want.text)
        };
        for one in want
            .iter()
            .filter(|want| !got.iter().any(|got| fits(want, got)))
        {
            wrong.push(format!("{name}: missing {one:?}"));
        }
        for one in got
            .iter()
            .filter(|got| !want.iter().any(|want| fits(want, got)))
        {
            wrong.push(format!("{name}: unexpected {one:?}"));
        }
        if wrong.is_empty() {
            let in_order = want.iter().zip(&got).all(|(want, got)| fits(want, got));
            assert!(
                in_order && want.len() == got.len(),
                "{name}: order or number: {got:?}"
            );
        }
        files += 1;
        messages += want.len();
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    // A guard against a folder that is not found or a form that is no longer read.
    assert!(
        files >= 13 && messages >= 140,
        "{files} files, {messages} messages"
    );
}
