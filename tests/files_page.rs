//! The example jobs of `docs/files.md`, file by file as the page shows them.
//!
//! A fenced block that is a file says so behind its language: `netlist intercom/circuit.netlist`
//! is the file `circuit.netlist` of the job `intercom`. An indented block that is a file says so in
//! a comment on its first line: `# phono/devices.toml`. A typist who copies the page must get a
//! job that is read without a word.

use std::collections::BTreeMap;
use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, json, root, Run, Scratch};

/// A job of the page: its files' names and texts.
type Files = Vec<(String, String)>;

/// The jobs of the page by their folders.
fn jobs() -> BTreeMap<String, Files> {
    let page = fs::read_to_string(root().join("docs/files.md")).unwrap();
    let mut jobs: BTreeMap<String, Files> = BTreeMap::new();
    let mut lines = page.lines();
    while let Some(line) = lines.next() {
        let (place, text): (Option<&str>, Vec<&str>) = if let Some(info) = line.strip_prefix("```")
        {
            let place = info.split_once(' ').map(|(_, place)| place);
            let text = lines.by_ref().take_while(|line| *line != "```");
            (place, text.collect())
        } else if let Some(place) = line.strip_prefix("    # ") {
            let indented = |line: &&str| line.is_empty() || line.starts_with("    ");
            let text = lines.by_ref().take_while(indented);
            (Some(place), text.map(str::trim_start).collect())
        } else {
            continue;
        };
        if let Some((folder, name)) = place.and_then(|place| place.split_once('/')) {
            let files = jobs.entry(folder.to_owned()).or_default();
            files.push((name.to_owned(), text.join("\n") + "\n"));
        }
    }
    jobs
}

/// Runs a command on one of the jobs.
fn run_on(folder: &str, words: &[&str]) -> Run {
    let scratch = Scratch::new();
    for (name, text) in &jobs()[folder] {
        scratch.write(name, text);
    }
    let path = scratch.path();
    let line: Vec<&str> = words.iter().copied().chain([path.as_str()]).collect();
    fairvolt(&line)
}

#[test]
fn the_page_has_its_jobs_and_each_kind_of_file() {
    let jobs = jobs();
    let folders: Vec<&str> = jobs.keys().map(String::as_str).collect();
    assert_eq!(
        folders,
        ["bias", "intercom", "oscillator", "phono", "receiver"]
    );
    for name in [
        "job.toml",
        "circuit.netlist",
        "manual.csv",
        "pin-chart.csv",
        "pin-chart-ohms.csv",
        "devices.toml",
        "meters.toml",
        "readings.csv",
    ] {
        let shown = jobs.values().flatten().any(|(own, _)| own == name);
        assert!(shown, "no example of {name}");
    }
}

#[test]
fn every_job_checks_without_a_word() {
    for folder in jobs().keys() {
        let run = run_on(folder, &["check"]);
        assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""), "{folder}");
        assert!(run.out.contains("No fault found"), "{folder}: {}", run.out);
    }
}

#[test]
fn every_job_translates() {
    for folder in jobs().keys() {
        let run = run_on(folder, &["translate"]);
        assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""), "{folder}");
    }
}

/// Independently derived: from the grid 470 kΩ lead to the bias battery with its 2 Ω, 1 MΩ to
/// chassis, and 1 MΩ with the generator's 0.6 kΩ to chassis. R = 242.3 kΩ; 20 kΩ/V on 10 V is
/// 200 kΩ, the bench meter 10 MΩ: −2.1 V · (1 + 242.3/200)/(1 + 242.3/10 000) = −4.53 V. Tolerance: half the last digit.
#[test]
fn the_grid_of_the_first_job_reads_what_the_page_says() {
    let document = json(&run_on("intercom", &["translate", "--format", "json"]));
    let points = document["points"].as_array().unwrap();
    let grid = points.iter().find(|point| point["point"] == "5").unwrap();
    let expected = grid["bench"][0]["expected"].as_f64().unwrap();
    assert!((expected - -4.53).abs() <= 0.005, "{expected}");
}

/// The readings of the last job are those of a set in order.
#[test]
fn the_readings_of_the_page_are_within() {
    let run = run_on("phono", &["compare"]);
    assert_eq!(
        (run.exit, run.err.as_str()),
        (Exit::Done, ""),
        "{}",
        run.out
    );
}

/// R5 of 21 kΩ in place of 10 kΩ puts 60.5 · (14.75 + 21) / (10 + 25 + 21) = 38.6 V at the grid and
/// 60.5 · 46 / 56 = 49.7 V at the top, by hand. With the control at a known place both show R5; with the control
/// anywhere the grid shows nothing of it.
#[test]
fn a_control_that_may_stand_anywhere_hides_a_resistor_beside_it() {
    let first = |at_a_known_place: bool| {
        let scratch = Scratch::new();
        for (name, text) in &jobs()["bias"] {
            let lines = text.lines().map(|line| match line.get(..4) {
                Some("R4: ") if at_a_known_place => line.replace("25k 10%,", "25k 10% at 59%,"),
                _ => line.to_owned(),
            });
            let lines: Vec<String> = lines.collect();
            scratch.write(name, &(lines.join("\n") + "\n"));
        }
        let checked = fairvolt(&["check", &scratch.path()]);
        assert!(
            checked.out.contains("3 of 3 values agree"),
            "{}",
            checked.out
        );
        // 33/60 of 45 kΩ are 24.75 kΩ below the wiper, 14.75 kΩ of them of the track: 59 %. What is known beforehand of
        // it and of the supply's own resistance moves that by less than two.
        let position = checked.out.split("R4 stands at about ").nth(1);
        let position = position.map(|rest| rest[..2].parse::<i32>().unwrap());
        assert_eq!(position.is_none(), at_a_known_place);
        assert!(
            position.is_none_or(|at| (57..=61).contains(&at)),
            "{position:?}"
        );
        let readings = scratch.write("r.csv", "point,reading\n1,-60.5\n2,-38.6\n3,-49.7\n");
        let path = scratch.path();
        let found = fairvolt(&["suspects", &path, "-r", &readings, "--format", "json"]);
        let found = json(&found);
        let verdict = found["verdict"]["words"][0].as_str().unwrap().to_owned();
        let first = found["hypotheses"][0]["words"].as_str().unwrap().to_owned();
        (verdict, first)
    };
    for (at_a_known_place, how_sure) in [(true, "Almost certain"), (false, "Very likely")] {
        let (verdict, named) = first(at_a_known_place);
        assert!(named.starts_with("R5 10 kΩ"), "{named}");
        assert!(verdict.starts_with(how_sure), "{verdict}");
    }
}
