//! `docs/diagnostics.md` against the program: the messages it shows are the messages there are.

use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, root, sample, Run};

fn page() -> String {
    fs::read_to_string(root().join("docs/diagnostics.md")).unwrap()
}

/// The page's blocks of program output, in order.
fn blocks(page: &str) -> Vec<&str> {
    page.split("```text\n")
        .skip(1)
        .map(|after| after.split("```").next().unwrap())
        .collect()
}

/// The places of the table that explains the messages, in order.
fn explained(page: &str) -> Vec<&str> {
    page.lines()
        .filter_map(|line| line.strip_prefix("| `")?.split('`').next())
        .collect()
}

/// The places that the messages point at, in order: `job.toml, line 4, column 14`.
fn pointed_at(run: &Run) -> Vec<&str> {
    let weights = ["error: ", "warning: ", "note: "];
    run.err
        .lines()
        .filter_map(|line| weights.iter().find_map(|weight| line.strip_prefix(weight)))
        .filter_map(|sentence| sentence.split_once(": "))
        .map(|(place, _)| place)
        .collect()
}

#[test]
fn the_page_shows_what_check_prints() {
    let run = fairvolt(&["check", &sample("mistakes")]);
    assert_eq!(run.exit, Exit::BadInput);
    let page = page();
    // A terminal shows both streams, the messages first.
    assert_eq!(blocks(&page)[0], format!("{}{}", run.err, run.out));
}

#[test]
fn every_message_is_explained_in_its_turn() {
    let run = fairvolt(&["check", &sample("mistakes")]);
    let page = page();
    let places = pointed_at(&run);
    assert!(!places.is_empty(), "{}", run.err);
    assert_eq!(explained(&page), places);
}
