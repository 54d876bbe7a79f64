//! Names come out as they were written.

use report::{Format, Terminal};

use crate::fixtures::{awkward_job, Fixture, PLAIN};

#[test]
fn markdown_tables_keep_their_columns() {
    let fixture = Fixture::of(awkward_job());
    for (name, text) in fixture.reports(Format::Markdown, PLAIN) {
        let mut bars = None;
        for line in text.lines() {
            if !line.starts_with("| ") {
                bars = None;
                continue;
            }
            let own = line.replace("\\|", "").matches('|').count();
            assert_eq!(*bars.get_or_insert(own), own, "{name}: {line}");
        }
        assert!(!text.replace("\\<", "").contains('<'), "{name}");
        assert!(!text.replace("\\`", "").contains('`'), "{name}");
    }
    let text = fixture.report("translate", Format::Markdown, PLAIN);
    assert!(text.starts_with("# Set \\|A\\| \\<b\\>\\&amp;\\</b\\> \\*x\\* \\`y\\`"));
    assert!(text.contains("| a\\|b |") && text.contains("Ω\\<1\\>"));
}

#[test]
fn csv_rows_are_all_as_long_as_their_heads() {
    let fixture = Fixture::of(awkward_job());
    for (name, text) in fixture.reports(Format::Csv, PLAIN) {
        let mut reader = csv::Reader::from_reader(text.as_bytes());
        let heads = reader.headers().unwrap().clone();
        assert!(heads.iter().all(|head| head.is_ascii()), "{name}");
        let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
        assert!(!rows.is_empty(), "{name}");
        for row in &rows {
            // Numbers and words of our own are ASCII; only names may hold anything else.
            assert!(!row.iter().any(|cell| cell.contains('\u{2212}')), "{name}");
        }
    }
}

#[test]
fn csv_has_raw_numbers() {
    let fixture = Fixture::of(awkward_job());
    let text = fixture.report("translate", Format::Csv, PLAIN);
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let heads = reader.headers().unwrap().clone();
    let at = |head: &str| heads.iter().position(|known| known == head).unwrap();
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    // Two bench meters: two rows of each translated point.
    assert_eq!((&rows[0][1], &rows[1][1]), ("a|b", "a|b"));
    let point = fixture.comparison.translation.points[0]
        .outcome
        .as_ref()
        .unwrap();
    let source: f64 = rows[0][at("source (ohm)")].parse().unwrap();
    // 15 digits are written; the numbers are the translation's own.
    assert!((source / point.source_ohms - 1.0).abs() < 1e-14, "{source}");
    let load: f64 = rows[0][at("load (%)")].parse().unwrap();
    assert!(
        (load / (100.0 * point.loading) - 1.0).abs() < 1e-12,
        "{load}"
    );
    let expected: f64 = rows[0][at("expected")].parse().unwrap();
    assert!(
        (expected / point.bench[0].expected - 1.0).abs() < 1e-14,
        "{expected}"
    );
    assert_eq!(&rows[0][at("range assumed")], "yes");
    let heater = rows.iter().find(|row| &row[4] == "ac V").unwrap();
    // A row of its own quantity has its values in its own unit, and says them in words too.
    assert_eq!(&heater[at("unit")], "V");
    let shown: f64 = heater[at("expected")].parse().unwrap();
    assert!((shown - 6.29).abs() < 0.005, "{shown}");
    assert!(heater[at("remarks")].contains("should show 6.29 V"));
}

#[test]
fn narrow_and_wide_say_the_same_words() {
    let fixture = Fixture::of(crate::fixtures::job_with_readings());
    let words = |width| {
        let text = fixture.report(
            "compare",
            Format::Table,
            Terminal {
                width,
                colour: false,
            },
        );
        let mut words: Vec<String> = text
            .split_whitespace()
            .map(|word| word.trim_matches([',', '=']).to_owned())
            .filter(|word| word.contains(|c: char| c.is_ascii_digit()) || word == "FAIL")
            .collect();
        words.sort();
        words
    };
    assert_eq!(words(80), words(120));
}
