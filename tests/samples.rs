//! Every job in `sample-data`: it checks, and shows the lesson it is there for.

use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, root, sample};

/// The one job that is wrong on purpose.
const WRONG: &str = "mistakes";

/// The one whose manual is: it holds a misprint and does not name its meter.
const MISPRINTED: &str = "ferry-landing-amplifier";

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

#[test]
fn every_sample_checks_without_a_word_but_the_one_that_is_wrong_on_purpose() {
    assert!(jobs().len() >= 5);
    for name in jobs() {
        let run = fairvolt(&["check", &sample(&name)]);
        if name == WRONG {
            assert_eq!(run.exit, Exit::BadInput);
        } else {
            let doubted = match name == MISPRINTED {
                true => Exit::Flagged,
                false => Exit::Done,
            };
            assert_eq!(run.exit, doubted, "{name}: {}", run.err);
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
    // The board is healthy: no reading fails. Where the manual's meter took off 80 % its own 3 %
    // make tens of per cent; there the drawing decides as well, and the readings pass, if not by
    // more than U.
    let compared = fairvolt(&["compare", &sample("call-bell-board"), "--format", "json"]);
    assert_eq!(compared.exit, Exit::Done, "{}", compared.out);
    let compared = json(&compared);
    let verdict = |label| point(&compared, label)["reading"]["verdict"].clone();
    assert_eq!(["A", "B"].map(verdict), ["pass", "pass"]);
    assert_eq!(["C", "D"].map(verdict), ["conditional pass"; 2]);
}

/// Labels of the readings that a file of the intercom has outside their bands, conditionally or not.
fn failed(readings: &str) -> Vec<String> {
    let job = sample("lookout-intercom");
    let file = format!("{job}/{readings}");
    let document = json(&fairvolt(&[
        "compare", &job, "-r", &file, "--format", "json",
    ]));
    document["points"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|point| {
            let verdict = point["reading"]["verdict"].as_str().unwrap_or("");
            verdict.ends_with("fail")
        })
        .map(|point| point["point"].as_str().unwrap().to_owned())
        .collect()
}

#[test]
fn a_healthy_set_passes_and_each_fault_leaves_its_pattern() {
    assert!(failed("readings.csv").is_empty());
    // An output tube at 40 % of its emission: cathode and screen current fall by about half, so
    // does what they drop in R10 and R11; no electrode voltage tells.
    let worn = failed("readings-worn-tube.csv");
    assert!(
        worn.contains(&"12".into()) && worn.contains(&"26".into()),
        "{worn:?}"
    );
    assert!(!worn
        .iter()
        .any(|point| ["9", "10", "11"].contains(&point.as_str())));
    // A coupler that leaks: the output grid loses its bias, and the tube draws more than twice its
    // current. The rail sags, if not out of its limits.
    let leaky = failed("readings-leaky-coupler.csv");
    for point in ["11", "12", "26", "25"] {
        assert!(leaky.contains(&point.into()), "{point} of {leaky:?}");
    }
    // An open cathode resistor: the cathode floats up, the plate rises to its rail.
    let open = failed("readings-open-cathode.csv");
    assert_eq!(open, ["7", "8"]);
}

#[test]
fn plates_behind_high_loads_move_most_and_rails_hardly_at_all() {
    let run = fairvolt(&["translate", &sample("lookout-intercom"), "--format", "json"]);
    let document = json(&run);
    assert!(document["points"].as_array().unwrap().len() >= 50);
    let loading = |label: &str| point(&document, label)["loading_percent"].as_f64().unwrap();
    // Rails, cathodes and the output plate: under 1 %. Plates behind 220 kΩ: some per cent. Grids
    // behind 470 kΩ and more on a low range: tens.
    for label in ["1", "2", "3", "9", "10", "12", "19", "V3 pin 8"] {
        assert!(loading(label).abs() < 1.0, "{label}: {}", loading(label));
    }
    for label in ["5", "7"] {
        assert!(
            (-5.0..-1.0).contains(&loading(label)),
            "{label}: {}",
            loading(label)
        );
    }
    for label in ["11", "21"] {
        assert!(loading(label) < -20.0, "{label}: {}", loading(label));
    }
}

#[test]
fn the_mistakes_are_all_reported_in_one_run() {
    let run = fairvolt(&["check", &sample(WRONG)]);
    for file in ["job.toml", "circuit.netlist", "manual.csv", "meters.toml"] {
        assert!(
            run.err.contains(&format!(": {file}, line ")),
            "{file}\n{}",
            run.err
        );
    }
    let errors = run.err.matches("\nerror: ").count() + usize::from(run.err.starts_with("error: "));
    assert!(errors >= 12, "{errors} errors\n{}", run.err);
}
