//! Nodes that fairvolt adds to a drawing have names that no netlist could hold. No output shows one.

use std::fs;
use std::path::Path;

use crate::support::{fairvolt, practice, root, Run, Scratch};

/// How such a name would look: as it is, as a terminal or a page shows its first letter, and as JSON
/// writes it. Besides, what parts that were added are called.
const TRACES: [&str; 6] = [
    "\0",
    "\\u{0}",
    "\\u0000",
    "&#0;",
    "\"bridge\"",
    "through bridge",
];

/// What stands instead of such a name.
const INSTEAD: &str = "inside a part";

/// Fails where a command has shown such a name.
pub(crate) fn shows_none(run: &Run, about: &str) {
    for text in [&run.out, &run.err] {
        for trace in TRACES {
            assert!(!text.contains(trace), "{about}: {trace:?} in\n{text}");
        }
    }
}

/// Everything that a command writes about a job in these formats; none of it may show such a name.
fn written(command: &[&str], formats: &[&str], about: &str) -> String {
    let mut whole = String::new();
    for format in formats {
        let run = fairvolt(&[command, &["--format", format]].concat());
        shows_none(&run, &format!("{about}: {command:?} {format}"));
        whole += &run.out;
        whole += &run.err;
    }
    whole
}

const ALL: [&str; 4] = ["table", "csv", "json", "markdown"];

fn sample_folders() -> Vec<std::path::PathBuf> {
    let all = fs::read_dir(root().join("sample-data")).unwrap();
    let mut folders: Vec<_> = all.map(|entry| entry.unwrap().path()).collect();
    folders.retain(|path| path.is_dir());
    folders.sort();
    folders
}

fn files(folder: &Path, begin: &str) -> Vec<std::path::PathBuf> {
    let all = fs::read_dir(folder).unwrap();
    let mut found: Vec<_> = all.map(|entry| entry.unwrap().path()).collect();
    found.retain(|path| {
        path.file_name()
            .unwrap()
            .to_string_lossy()
            .starts_with(begin)
    });
    found.sort();
    found
}

/// `translate`, `worksheet` and `compare` of every sample in every format are looked at in `samples.rs`.
#[test]
fn no_sample_shows_one_when_checked_or_with_any_readings() {
    for folder in sample_folders() {
        let job = folder.display().to_string();
        written(&["check", &job], &ALL, &job);
        for (number, readings) in files(&folder, "readings").iter().enumerate() {
            let readings = readings.display().to_string();
            // Ranking takes longest; both formats are of one ranking.
            let format = ["table", "json"][number % 2];
            written(&["suspects", &job, "-r", &readings], &[format], &job);
            written(&["compare", &job, "-r", &readings], &["csv"], &job);
        }
    }
}

/// A row for a current through each lead of each tube and semiconductor: an ammeter there is a node
/// behind a broken lead.
fn currents(netlist: &str) -> String {
    let mut table = "point,at,quantity,value\n".to_owned();
    let devices = netlist.lines().filter(|line| line.starts_with(['V', 'Q']));
    let mut count = 0;
    for line in devices {
        let Some((name, rest)) = line.split_once(':') else {
            continue;
        };
        let ends = rest
            .split([',', ' '])
            .filter_map(|word| word.split_once('='));
        for (end, _) in ends {
            let lead = match end.parse::<u8>() {
                Ok(pin) => format!("pin {pin}"),
                Err(_) => end.to_owned(),
            };
            count += 1;
            table += &format!("{count},{name} {lead},dc mA,1.5\n");
        }
    }
    table
}

/// The netlist with supplies that have no resistance.
fn ideal(netlist: &str) -> String {
    let lines = netlist.lines().map(|line| {
        let words = line.split(' ').filter(|word| !word.starts_with("source="));
        words.collect::<Vec<_>>().join(" ")
    });
    lines.collect::<Vec<_>>().join("\n")
}

/// A copy of a sample with another netlist, and with other rows of the manual where some are given.
fn copy(folder: &Path, netlist: &str, manual: Option<&str>) -> Scratch {
    let scratch = Scratch::new();
    for file in files(folder, "") {
        let name = file.file_name().unwrap().to_string_lossy().into_owned();
        if file.is_file() {
            scratch.write(&name, &fs::read_to_string(&file).unwrap());
        }
    }
    scratch.write("circuit.netlist", netlist);
    if let Some(manual) = manual {
        scratch.write("manual.csv", manual);
        for chart in files(Path::new(&scratch.path()), "pin-chart") {
            fs::remove_file(chart).unwrap();
        }
    }
    scratch
}

/// Parts of every sample left out, one at a time, by turns with the manual's rows and, on supplies without
/// resistance, with a current through every lead.
#[test]
fn no_sample_with_an_open_part_shows_one() {
    let mut left_out = 0;
    for folder in sample_folders() {
        let Ok(netlist) = fs::read_to_string(folder.join("circuit.netlist")) else {
            continue;
        };
        let lines: Vec<&str> = netlist.lines().collect();
        let currents = currents(&netlist);
        for (index, line) in lines.iter().enumerate() {
            let is_part = line.starts_with(|c: char| c.is_ascii_uppercase()) && line.contains(':');
            if !is_part {
                continue;
            }
            left_out += 1;
            let mut without = [&lines[..index], &lines[index + 1..]].concat().join("\n");
            let manual = (left_out % 2 == 0).then_some(currents.as_str());
            if manual.is_some() {
                without = ideal(&without);
            }
            let job = copy(&folder, &without, manual);
            let about = format!("{} without {line}", folder.display());
            written(&["translate", &job.path()], &["json"], &about);
            // A drawing with a part left out has doubts, and every slip that would explain them is tried.
            if left_out % 4 == 1 {
                written(&["check", &job.path()], &["table"], &about);
            }
        }
    }
    assert!(left_out > 100, "{left_out} parts");
}

/// Every sample with supplies that have no resistance, and with printed values that contradict it.
#[test]
fn no_sample_with_contradictory_values_shows_one() {
    for (number, folder) in sample_folders().iter().enumerate() {
        let Ok(netlist) = fs::read_to_string(folder.join("circuit.netlist")) else {
            continue;
        };
        let ideal = ideal(&netlist);
        let manual = fs::read_to_string(folder.join("manual.csv")).unwrap();
        for (factor, other) in [("e3", 0), ("e-3", 1)] {
            // The value of a row that has a plain number after its quantity.
            let absurd = manual.lines().map(|line| {
                let cells = line.split(',').map(|cell| match cell.parse::<f64>() {
                    Ok(value) if cell.contains('.') => format!("{}{factor}", -value),
                    _ => cell.to_owned(),
                });
                cells.collect::<Vec<_>>().join(",")
            });
            let absurd = absurd.collect::<Vec<_>>().join("\n");
            let job = copy(folder, &ideal, None);
            job.write("manual.csv", &absurd);
            let about = format!("{} by {factor}", folder.display());
            written(&["translate", &job.path()], &ALL, &about);
            // With so many doubts `check` takes longest; all formats are of one search.
            let format = ALL[(2 * number + other) % ALL.len()];
            written(&["check", &job.path()], &[format], &about);
        }
    }
}

/// Circuits that are refused just where an ammeter has been put in: the node behind the broken lead is
/// the one to be named, and is not.
#[test]
fn a_refusal_at_an_added_node_describes_it() {
    let base = "ground chassis\nPS1: 9V, plus=rail, minus=chassis\n\
                Q1: npn silicon hfe=100, emitter=chassis, base=rail, collector=c\nR1: 1k, rail to c\n";
    let floating = "ground chassis\nPS1: 250V, plus=rail, minus=chassis\n\
                 V1: 6AQ5 gas=0.3uA, 1=g, 2=k, 5=rail, 6=rail, 7=g\nC1: 1uF, g to chassis\n\
                 C2: 330uF, k to chassis\n";
    for netlist in [base, floating] {
        let job = practice("20k/V", netlist, &currents(netlist));
        let whole = written(&["translate", &job.path()], &ALL, netlist);
        assert!(whole.contains("ot computed: "), "{whole}");
        if netlist == base {
            let said: String = whole.split_whitespace().collect::<Vec<_>>().join(" ");
            assert!(said.contains(INSTEAD), "{whole}");
        }
    }
}
