//! Every job in `sample-data`: it checks, and shows the lesson it is there for.

use std::fs;

use fairvolt::Exit;
use serde_json::Value;

use crate::support::{fairvolt, json, root, sample};

/// The one job that is wrong on purpose.
const WRONG: &str = "mistakes";

fn jobs() -> Vec<String> {
    let mut names: Vec<String> = fs::read_dir(root().join("sample-data"))
        .unwrap()
        .map(|entry| entry.unwrap())
        .filter(|entry| entry.path().is_dir())
        .map(|entry| entry.file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

fn point<'a>(document: &'a Value, label: &str) -> &'a Value {
    document["points"]
        .as_array()
        .unwrap()
        .iter()
        .find(|point| point["point"] == label)
        .unwrap()
}

#[test]
fn every_sample_checks_without_a_word_but_the_one_that_is_wrong_on_purpose() {
    assert!(jobs().len() >= 4);
    for name in jobs() {
        let run = fairvolt(&["check", &sample(&name)]);
        if name == WRONG {
            assert_eq!(run.exit, Exit::BadInput);
        } else {
            assert_eq!(run.exit, Exit::Done, "{name}: {}", run.err);
            assert_eq!(run.err, "", "{name}");
        }
    }
}

#[test]
fn every_sample_translates_prints_and_compares() {
    for name in jobs().iter().filter(|name| *name != WRONG) {
        for command in ["translate", "worksheet", "compare"] {
            for format in ["table", "csv", "json", "markdown"] {
                let run = fairvolt(&[command, &sample(name), "--format", format]);
                let done = matches!(run.exit, Exit::Done | Exit::Flagged);
                assert!(done, "{name} {command} {format}: {}", run.err);
                assert!(!run.out.is_empty(), "{name} {command} {format}");
                if format == "table" {
                    let wide = run.out.lines().find(|line| line.chars().count() > 80);
                    assert_eq!(wide, None, "{name} {command}");
                }
            }
        }
    }
}

#[test]
fn the_ridge_line_panel_needs_no_schematic() {
    let run = fairvolt(&["translate", &sample("ridge-line-panel"), "--format", "json"]);
    let document = json(&run);
    let plate = point(&document, "3");
    assert!(plate["model"]["unloaded"].is_null());
    // V (1 + g₀R)/(1 + g₁R) with 128 V, 180 kΩ, 5 MΩ and 10 MΩ, by hand: 130.261 V.
    let expected = plate["bench"][0]["expected"].as_f64().unwrap();
    let by_hand = 128.0 * (1.0 + 180e3 / 5e6) / (1.0 + 180e3 / 10e6);
    assert!((expected - by_hand).abs() < 1e-9, "{expected}");
}

#[test]
fn a_meter_of_a_thousand_ohms_per_volt_hides_a_healthy_board() {
    let run = fairvolt(&["translate", &sample("call-bell-board"), "--format", "json"]);
    let document = json(&run);
    let hold = point(&document, "B");
    // 60 kΩ loaded by 50 kΩ: 1/(1 + 60/50) − 1 = −54.5 %, by hand; 20 Ω of battery aside.
    let loading = hold["loading_percent"].as_f64().unwrap();
    assert!((loading + 54.55).abs() < 0.02, "{loading}");
    let compared = fairvolt(&["compare", &sample("call-bell-board")]);
    assert_eq!(compared.exit, Exit::Done, "{}", compared.out);
}

#[test]
fn the_mistakes_are_all_reported_in_one_run() {
    let run = fairvolt(&["check", &sample(WRONG)]);
    for file in ["job.toml", "circuit.netlist", "manual.csv", "meters.toml"] {
        assert!(
            run.err.contains(&format!("--> {file}:")),
            "{file}\n{}",
            run.err
        );
    }
    let errors = run.err.matches("\nerror: ").count() + usize::from(run.err.starts_with("error: "));
    assert!(errors >= 12, "{errors} errors\n{}", run.err);
}
