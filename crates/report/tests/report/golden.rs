//! Whole texts, pinned. They are this program's own output, inspected and then pinned: they guard
//! against unwanted changes and prove nothing about the numbers.

use report::Format;

use crate::fixtures::{job, job_with_readings, Fixture, PLAIN};

#[track_caller]
fn assert_same(got: &str, want: &str) {
    assert_eq!(got, want, "the whole text:\n{got}");
}

#[test]
fn translate_table() {
    let text = Fixture::of(job()).report("translate", Format::Table, PLAIN);
    assert_same(&text, include_str!("pinned/translate.txt"));
}

#[test]
fn translate_markdown() {
    let text = Fixture::of(job()).report("translate", Format::Markdown, PLAIN);
    assert_same(&text, include_str!("pinned/translate.md"));
}

#[test]
fn compare_table() {
    let text = Fixture::of(job_with_readings()).report("compare", Format::Table, PLAIN);
    assert_same(&text, include_str!("pinned/compare.txt"));
}

#[test]
fn worksheet() {
    let text = Fixture::of(job_with_readings()).report("worksheet", Format::Table, PLAIN);
    assert_same(&text, include_str!("pinned/worksheet.txt"));
}
