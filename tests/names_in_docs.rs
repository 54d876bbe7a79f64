//! What the docs name exists: files and folders of the project, and every word set as code.

use std::fs;
use std::path::Path;

use crate::support::root;

/// Folders that hold what the docs may name.
const PLACES: [&str; 6] = [".ci", "crates", "tests", "benches", "docs", "sample-data"];

/// Every file below a folder, by its path from the root.
fn files(folder: &Path, found: &mut Vec<String>) {
    for entry in fs::read_dir(folder).unwrap() {
        let path = entry.unwrap().path();
        if path.is_dir() {
            files(&path, found);
        } else {
            let shown = path.strip_prefix(root()).unwrap();
            found.push(format!("/{}", shown.display()));
        }
    }
}

/// Pages whose words are looked at, with their texts.
fn pages() -> Vec<(String, String)> {
    let mut pages: Vec<String> = ["README.md", "DEVELOPERS.md"].map(str::to_owned).to_vec();
    let mut docs = Vec::new();
    files(&root().join("docs"), &mut docs);
    docs.retain(|name| name.ends_with(".md"));
    pages.extend(docs.into_iter().map(|name| name[1..].to_owned()));
    let read = |name: String| {
        let text = fs::read_to_string(root().join(&name)).unwrap();
        (name, text)
    };
    pages.into_iter().map(read).collect()
}

/// Words between backquotes that are one name: no value such as `2.2M`, no place such as `V1A plate`.
fn names(text: &str) -> Vec<&str> {
    let blocks = text.split("```").step_by(2);
    let spans = blocks.flat_map(|block| block.lines());
    let spans = spans.flat_map(|line| line.split('`').skip(1).step_by(2));
    let is_name = |span: &&str| {
        let letters = |c: char| c.is_ascii_alphanumeric() || "_:./-".contains(c);
        let begins = span.starts_with(|c: char| c.is_ascii_lowercase() || c == '-' || c == '.')
            || (span.contains("::") && span.starts_with(|c: char| c.is_ascii_uppercase()));
        begins
            && span.chars().all(letters)
            && span.chars().filter(char::is_ascii_alphabetic).count() > 2
    };
    spans.filter(is_name).collect()
}

#[test]
fn what_the_docs_name_exists() {
    let mut known = Vec::new();
    for place in PLACES {
        files(&root().join(place), &mut known);
    }
    for name in fs::read_dir(root()).unwrap() {
        let name = name.unwrap().file_name();
        known.push(format!("/{}", name.to_string_lossy()));
    }
    let is_source = |name: &&String| {
        let ends = [".rs", ".toml", ".csv", ".net"];
        ends.iter().any(|end| name.ends_with(end))
    };
    let read = |name: &String| fs::read_to_string(root().join(&name[1..])).unwrap_or_default();
    let sources: String = known.iter().filter(is_source).map(read).collect();
    let sources = sources.to_lowercase();
    let is_file = |name: &str| {
        let end = format!("/{}", name.trim_matches('/'));
        let within = format!("{end}/");
        known
            .iter()
            .any(|file| file.ends_with(&end) || file.contains(&within))
    };
    let is_word = |name: &str| {
        let parts = name.split(['.', ':', '/']).filter(|part| !part.is_empty());
        parts
            .map(|part| part.trim_start_matches("--").to_lowercase())
            .all(|part| sources.contains(&part) || sources.contains(&part.replace('-', "_")))
    };
    let (mut looked_at, mut missing) = (0, Vec::new());
    for (page, text) in pages() {
        for name in names(&text) {
            looked_at += 1;
            // Documents are named like `fairvolt/translate/3`.
            let is_path = name.contains('/') && !name.starts_with("fairvolt/");
            let there = match is_path || name.ends_with(".rs") {
                true => is_file(name),
                false => is_word(name) || is_file(name),
            };
            if !there {
                missing.push(format!("{page}: {name}"));
            }
        }
    }
    // Were the pages read at all? They name several hundred things.
    assert!(looked_at > 300, "{looked_at}");
    assert!(missing.is_empty(), "{missing:#?}");
}
