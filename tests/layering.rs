//! The walls between crates: real edges against the table in DEVELOPERS.md.

use std::collections::BTreeMap;
use std::fs;

use crate::support::root;

/// Names under a heading of a manifest, of the crates of this workspace.
fn edges(manifest: &str, crates: &[String]) -> Vec<String> {
    let table: toml::Table = toml::from_str(manifest).unwrap();
    let mut names: Vec<String> = table
        .get("dependencies")
        .and_then(|dependencies| dependencies.as_table())
        .into_iter()
        .flat_map(|dependencies| dependencies.keys().cloned())
        .filter(|name| crates.contains(name))
        .collect();
    names.sort();
    names
}

fn crates() -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(root().join("crates"))
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

/// Rows `| crate | imports |` of the one table in DEVELOPERS.md that starts with these heads.
fn documented() -> BTreeMap<String, Vec<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let rows = text
        .lines()
        .skip_while(|line| !line.starts_with("| crate | imports |"))
        .skip(2)
        .take_while(|line| line.starts_with('|'));
    rows.map(|row| {
        let cells: Vec<&str> = row.trim_matches('|').split('|').map(str::trim).collect();
        let mut imports: Vec<String> = cells[1]
            .split(", ")
            .map(|name| name.trim_matches('`').to_owned())
            .filter(|name| name != "nothing")
            .collect();
        imports.sort();
        (cells[0].trim_matches('`').to_owned(), imports)
    })
    .collect()
}

#[test]
fn crates_import_what_the_table_says_and_nothing_else() {
    let crates = crates();
    let real: BTreeMap<String, Vec<String>> = crates
        .iter()
        .map(|name| {
            let path = root().join("crates").join(name).join("Cargo.toml");
            let manifest = fs::read_to_string(path).unwrap();
            (name.clone(), edges(&manifest, &crates))
        })
        .collect();
    assert_eq!(real, documented());
}
