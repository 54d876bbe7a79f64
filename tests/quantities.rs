//! Resistances, currents and alternating volts as a user meets them: what to measure with the power
//! off, columns for a spreadsheet, sockets.

use std::collections::HashMap;

use fairvolt::Exit;

use crate::support::{fairvolt, json, sample, Scratch};

/// Rows of a CSV output by their heads.
fn rows(text: &str) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

fn at_point<'a>(rows: &'a [HashMap<String, String>], point: &str) -> &'a HashMap<String, String> {
    rows.iter().find(|row| row["point"] == point).unwrap()
}

fn number(row: &HashMap<String, String>, head: &str) -> f64 {
    row[head].parse().unwrap()
}

#[test]
fn what_volts_leave_open_an_ohmmeter_settles() {
    let job = sample("lookout-intercom");
    let file = format!("{job}/readings-leaky-coupler.csv");
    let shown = fairvolt(&["suspects", &job, "-r", &file]);
    assert_eq!(shown.exit, Exit::Flagged);
    assert!(shown.out.lines().all(|line| line.chars().count() <= 80));
    let text = shown.out.replace('\n', " ").replace("  ", " ");
    let text = text.replace("  ", " ");
    assert!(text.contains("Measure ohms across C6: red to plate2, black to grid3"));
    // The next step is the one that hurts nobody.
    assert!(text.contains("Next: power off, plug out, capacitors discharged: measure ohms"));
    assert!(text.contains("over 20 MΩ if R9 drifted high"), "{text}");
    let found = json(&fairvolt(&[
        "suspects", &job, "-r", &file, "--format", "json",
    ]));
    // Across R9 or across C6: either tells.
    let all = found["next_ohms"].as_array().unwrap();
    let across = |at: &str, against: &str| {
        let here = |one: &&serde_json::Value| one["at"] == at && one["against"] == against;
        all.iter().position(|one| here(&one)).unwrap()
    };
    assert!(across("grid3", "bias") < 2);
    let place = across("plate2", "grid3");
    assert!(place < 2);
    let next = &all[place];
    // Beside the leak of some 3 MΩ lies the way through both resistors of the coupler and the supplies;
    // without the leak that way is all there is, and with R9 gone it is none.
    let ohms = next["predictions"][0]["value"].as_f64().unwrap();
    let leak = found["hypotheses"][0]["size"]["to"].as_f64().unwrap();
    assert!(ohms > 1e5 && ohms < leak, "{ohms}");
    assert!(next["predictions"][1]["value"].is_null());
    assert!(next["gain_bits"].as_f64().unwrap() > 0.3);
}

#[test]
fn spreadsheets_have_every_quantity_in_columns() {
    let job = sample("gate-post-preamplifier");
    let translated = rows(&fairvolt(&["translate", &job, "--format", "csv"]).out);
    for (point, unit, low, high) in [
        ("13", "ohm", 5e3, 12e3),
        ("16", "ohm", 450.0, 700.0),
        ("18", "A", 0.8e-3, 1.4e-3),
        ("19", "V", 0.4, 1.2),
    ] {
        let row = at_point(&translated, point);
        assert_eq!(row["unit"], unit);
        // Within a third or so of what is printed.
        let expected = number(row, "expected");
        assert!(expected > low && expected < high, "{point} {expected}");
        assert!(number(row, "band low") < expected && expected < number(row, "band high"));
        assert!(number(row, "uncertainty") > 0.0);
        assert!(row["unloaded (V)"].is_empty());
    }
    let compared = rows(&fairvolt(&["compare", &job, "--format", "csv"]).out);
    let current = at_point(&compared, "18");
    assert_eq!(
        (current["unit"].as_str(), current["verdict"].as_str()),
        ("A", "pass")
    );
    assert!((number(current, "reading") - 1.07e-3).abs() < 1e-9);
    assert!(number(current, "band low") < number(current, "reading"));
    assert_eq!(at_point(&compared, "16")["unit"], "ohm");
}

#[test]
fn a_current_is_explained_in_its_own_unit() {
    let job = sample("gate-post-preamplifier");
    let run = fairvolt(&["suspects", &job, "--explain", "R7"]);
    assert!(run.out.contains("mA"), "{}", run.out);
    let table = rows(&fairvolt(&["suspects", &job, "--explain", "R7", "--format", "csv"]).out);
    let current = at_point(&table, "18");
    assert_eq!(current["unit"], "A");
    // The sample's reading.
    assert!((number(current, "reading") - 1.07e-3).abs() < 1e-9);
    assert_eq!(at_point(&table, "3")["unit"], "V");
    let notes = fairvolt(&["suspects", &job]).out.replace("\n  ", " ");
    assert!(notes.contains("Counted beside the direct volts: currents (18); resistances"));
}

#[test]
fn a_set_in_order_by_its_ohms_is_in_order() {
    // Point 14 was read with the leads the other way round than the manual's; it passes, and no part is
    // blamed for it.
    let job = sample("gate-post-preamplifier");
    let found = json(&fairvolt(&["suspects", &job, "--format", "json"]));
    assert_eq!(found["hypotheses"][0]["fault"], "nothing wrong");
    assert!(found["hypotheses"][0]["probability"].as_f64().unwrap() > 0.5);
}

#[test]
fn sockets_tell_ohms_and_alternating_volts_as_carried_over() {
    let job = sample("gate-post-preamplifier");
    let run = fairvolt(&["worksheet", &job, "--sockets", "--format", "csv"]);
    let table = rows(&run.out);
    let base = at_point(&table, "13");
    assert_eq!(base["how"], "carried over");
    assert!(base["shows (V)"].contains("kΩ ±"), "{}", base["shows (V)"]);
    assert!(base["limits (V)"].ends_with("kΩ"));
    assert_eq!(base["conditions"], "power off");
}

#[test]
fn ohms_alone_find_a_part_without_any_power() {
    let scratch = Scratch::new();
    let folder = scratch.path();
    for (name, text) in [
        (
            "job.toml",
            "title = \"Bleeders\"\n[as-documented]\nmeter = \"20k/V\"\nreference = \"chassis\"\n\
             [on-the-bench]\nmeter = \"10M\"\n",
        ),
        (
            "circuit.netlist",
            "ground chassis\nPS1: 100V source=1R off=open, plus=b, minus=chassis\n\
             R1: 10k 5%, b to mid\nR2: 10k 5%, mid to chassis\nR3: 100k 5%, b to chassis\n",
        ),
        (
            "manual.csv",
            "point,at,against,quantity,value\n1,b,,ohm,17k\n2,mid,,ohm,9k\n3,b,mid,ohm,9k\n",
        ),
        // R2 has risen to 30 kΩ: 40 kΩ ∥ 100 kΩ, 30 kΩ ∥ 110 kΩ, 10 kΩ ∥ 130 kΩ.
        ("readings.csv", "point,reading\n1,28.6k\n2,23.6k\n3,9.29k\n"),
    ] {
        std::fs::write(format!("{folder}/{name}"), text).unwrap();
    }
    let found = json(&fairvolt(&["suspects", &folder, "--format", "json"]));
    assert_eq!(found["readings_used"], 3);
    let first = &found["hypotheses"][0];
    assert_eq!(
        (&first["part"], &first["fault"]),
        (&"R2".into(), &"drifted high".into())
    );
    // The size is fitted to the ohms: within the 5 % of the parts.
    let to = first["size"]["to"].as_f64().unwrap();
    assert!((to / 30e3 - 1.0).abs() < 0.1, "{to}");
    let shown = fairvolt(&["suspects", &folder]).out;
    assert!(shown.contains("R2 10 kΩ"), "{shown}");
    assert!(
        shown.contains("lift one end of R2 and measure it (10 kΩ ± 5 %)"),
        "{shown}"
    );
}
