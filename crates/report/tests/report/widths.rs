//! Nothing is wider than the terminal, and nothing is coloured that was not asked to be.

use report::{Format, Report, Terminal};
use unicode_width::UnicodeWidthStr;

use crate::fixtures::{awkward_job, devices, job, job_with_readings, rendered, Fixture};

#[test]
fn every_table_keeps_to_the_width() {
    for job in [job(), job_with_readings(), awkward_job()] {
        let fixture = Fixture::of(job);
        for width in 60..=120 {
            let on = Terminal {
                width,
                colour: false,
            };
            for (name, text) in fixture.reports(Format::Table, on) {
                for line in text.lines() {
                    assert!(line.width() <= width, "{name} at {width}: {line:?}");
                    assert_eq!(line, line.trim_end(), "{name} at {width}");
                }
            }
        }
    }
}

#[test]
fn the_page_of_every_device_keeps_to_the_width() {
    for width in [60, 80, 120] {
        let on = Terminal {
            width,
            colour: false,
        };
        for device in devices() {
            let text = rendered(Report::device(device), Format::Table, on);
            for line in text.lines() {
                assert!(line.width() <= width, "at {width}: {line:?}");
            }
        }
    }
}

#[test]
fn no_escape_sequence_without_colour() {
    let fixture = Fixture::of(awkward_job());
    for format in [Format::Table, Format::Markdown] {
        for (name, text) in fixture.reports(
            format,
            Terminal {
                width: 80,
                colour: false,
            },
        ) {
            assert!(!text.contains('\u{1b}'), "{name} {format:?}");
        }
    }
}

#[test]
fn colour_adds_nothing_but_itself() {
    for width in [60, 80, 120] {
        let fixture = Fixture::of(job_with_readings());
        let plain = fixture.reports(
            Format::Table,
            Terminal {
                width,
                colour: false,
            },
        );
        let coloured = fixture.reports(
            Format::Table,
            Terminal {
                width,
                colour: true,
            },
        );
        for ((name, plain), (_, coloured)) in plain.into_iter().zip(coloured) {
            assert_eq!(without_styles(&coloured), plain, "{name}");
            let expected = matches!(name, "check" | "compare" | "suspects" | "worksheet");
            assert_eq!(coloured.contains('\u{1b}'), expected, "{name} at {width}");
        }
    }
}

/// The text without its `ESC [ … m`.
fn without_styles(text: &str) -> String {
    let mut parts = text.split("\u{1b}[");
    let mut plain = parts.next().unwrap_or("").to_owned();
    for part in parts {
        plain.push_str(part.split_once('m').map_or("", |(_, rest)| rest));
    }
    plain
}
