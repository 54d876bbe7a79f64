//! The walls between crates, and the way of a reading through them: what is real against the tables in
//! DEVELOPERS.md.

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

/// The cells of the one table in DEVELOPERS.md that starts with these heads, without backquotes.
fn table(heads: &str) -> Vec<Vec<String>> {
    let text = fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    let rows = text.lines().skip_while(|line| !line.starts_with(heads));
    let rows = rows.skip(2).take_while(|line| line.starts_with('|'));
    let cells = |row: &str| -> Vec<String> {
        let cells = row.trim_matches('|').split('|');
        cells.map(|cell| cell.trim().replace('`', "")).collect()
    };
    rows.map(cells).collect()
}

fn documented() -> BTreeMap<String, Vec<String>> {
    let rows = table("| crate | imports |").into_iter();
    rows.map(|row| {
        let mut imports: Vec<String> = row[1].split(", ").map(str::to_owned).collect();
        imports.retain(|name| name != "nothing");
        imports.sort();
        (row[0].clone(), imports)
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

#[test]
fn the_way_of_a_reading_is_as_short_as_it_is_said_to_be() {
    let way = table("| file | function |");
    let mut files: Vec<&str> = Vec::new();
    for row in &way {
        let path = root().join("crates").join(&row[0]);
        let source = fs::read_to_string(&path).unwrap_or_else(|error| panic!("{path:?}: {error}"));
        let defined = [format!("fn {}(", row[1]), format!("fn {}<", row[1])];
        let found = defined.iter().any(|own| source.contains(own));
        assert!(found, "{} has no function {}", row[0], row[1]);
        if !files.contains(&row[0].as_str()) {
            files.push(&row[0]);
        }
    }
    // Entered for the first time, and again.
    assert_eq!((files.len(), way.len() - files.len()), (15, 8));
}
