//! `docs/reconciled.md` and the figures of README against the program of today.

use std::fs;

use crate::support::{fairvolt, json, point, root, sample};

fn page(name: &str) -> String {
    fs::read_to_string(root().join(name)).unwrap()
}

/// Numbers of a cell: `58.5 ± 4.3` and `84 %` without their signs and units.
fn numbers(cell: &str) -> Vec<(f64, usize)> {
    let plain = cell.replace('\u{2212}', "-");
    plain
        .split(['±', ' ', '%', 'V'])
        .filter(|word| !word.is_empty())
        .map(|word| {
            let decimals = word.split_once('.').map_or(0, |(_, after)| after.len());
            (word.parse().unwrap(), decimals)
        })
        .collect()
}

/// Whether a number is shown as the page has it, to the page's own digits.
fn same(shown: (f64, usize), is: f64) -> bool {
    let unit = 10f64.powi(-i32::try_from(shown.1).unwrap());
    // Half of the last digit shown, and a rounding of the tie.
    (shown.0 - is).abs() <= 0.5001 * unit
}

#[test]
fn three_points_of_the_page_are_what_the_program_says() {
    let document = json(&fairvolt(&[
        "translate",
        &sample("lookout-intercom"),
        "--format",
        "json",
    ]));
    let text = page("docs/reconciled.md");
    let mut rows = 0;
    for line in text.lines().filter(|line| line.contains(" V | ")) {
        let cells: Vec<&str> = line.trim_matches('|').split('|').map(str::trim).collect();
        let Some((label, _)) = cells[0].split_once(',') else {
            continue;
        };
        rows += 1;
        let found = point(&document, label);
        let side = &found["bench"][0];
        let number = |value: &serde_json::Value| value.as_f64().unwrap();
        let alone = |source: &str| {
            let own = &side[source];
            // k of the normal distribution, for a source by itself.
            [
                number(&own["expected"]),
                2.0 * number(&own["standard_uncertainty"]),
            ]
        };
        let both = [number(&side["expected"]), number(&side["uncertainty"])];
        let wanted: [Vec<f64>; 5] = [
            vec![number(&found["manual"]["value"])],
            alone("manual_alone").to_vec(),
            alone("drawing_alone").to_vec(),
            both.to_vec(),
            vec![100.0 * number(&side["by_printed"])],
        ];
        for (cell, wanted) in cells[1..].iter().zip(wanted) {
            let shown = numbers(cell);
            assert_eq!(shown.len(), wanted.len(), "{cell}");
            for (shown, is) in shown.into_iter().zip(wanted) {
                assert!(same(shown, is), "point {label}: {cell} is {is}");
            }
        }
    }
    assert_eq!(rows, 3);
}

#[test]
fn the_value_of_readme_is_of_today() {
    let readme = page("README.md");
    let job = sample("lookout-intercom");
    let explained = fairvolt(&["translate", &job, "--explain", "11"]);
    let expected = explained.out.split("expect ").nth(1).unwrap();
    let expected = expected.lines().next().unwrap().replace('\u{a0}', " ");
    assert!(readme.replace('\n', " ").contains(&expected), "{expected}");
}
