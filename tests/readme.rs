//! Every `fairvolt` command that the README shows, run on the samples as shown.

use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, root, Scratch};

/// Command lines in the README's code blocks, comments left off.
fn commands() -> Vec<Vec<String>> {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let mut inside = false;
    let mut found = Vec::new();
    for line in text.lines() {
        if line.starts_with("```") {
            inside = !inside;
        } else if inside || line.starts_with("    cargo run ") {
            let line = line.split(" # ").next().unwrap_or(line).trim();
            let line = line.replace("cargo run --no-default-features --", "fairvolt");
            if let Some(rest) = line.strip_prefix("fairvolt ") {
                found.push(rest.split_whitespace().map(str::to_owned).collect());
            }
        }
    }
    found
}

#[test]
fn every_command_of_the_readme_runs() {
    let commands = commands();
    assert!(commands.len() >= 6, "{commands:?}");
    // The first command, which also builds fairvolt.
    assert_eq!(commands[0][0], "compare", "{commands:?}");
    let scratch = Scratch::new();
    for words in commands {
        // Samples are found from the root; what is made goes to a scratch folder, in which the
        // commands that follow find it again.
        let placed: Vec<String> = words
            .iter()
            .enumerate()
            .map(|(index, word)| match word.as_str() {
                word if word.starts_with("sample-data/") => root().join(word).display().to_string(),
                word if index > 0 && !word.starts_with('-') && is_path(&words, index) => {
                    format!("{}/{word}", scratch.path())
                }
                word => word.to_owned(),
            })
            .collect();
        let run = fairvolt(&placed);
        let expected_failure = words.iter().any(|word| word.ends_with("mistakes"));
        let fits = match run.exit {
            Exit::Done | Exit::Flagged => !expected_failure,
            Exit::BadInput => expected_failure,
            Exit::Unsolved | Exit::NotWritten => false,
        };
        assert!(
            fits,
            "fairvolt {}: {:?}\n{}",
            words.join(" "),
            run.exit,
            run.err
        );
    }
}

/// Whether a word is a folder or file of the reader's own: the job, or what follows `-o`.
fn is_path(words: &[String], index: usize) -> bool {
    // These take readings and meters, such as 22V,20k/V,25V.
    if matches!(words[0].as_str(), "unload" | "imitate") {
        return false;
    }
    let takes_word = |option: &str| {
        matches!(
            option,
            "--format" | "-m" | "--meter" | "--explain" | "--trials" | "--seed" | "--probes"
        )
    };
    // The point of `curve JOB POINT`.
    if index == 2 && words[0] == "curve" {
        return false;
    }
    match words[index - 1].as_str() {
        "-o" | "--output" => true,
        before if takes_word(before) => false,
        "completions" | "devices" => false,
        _ => true,
    }
}

/// What the README's commands on the set with a leaky coupler say today, and what the healthy set's
/// table does.
fn todays_outputs() -> String {
    let job = root()
        .join("sample-data/lookout-intercom")
        .display()
        .to_string();
    let leaky = format!("{job}/readings-leaky-coupler.csv");
    let run = |arguments: &[&str]| fairvolt(arguments).out;
    [
        run(&["compare", &job, "-r", &leaky]),
        run(&["suspects", &job, "-r", &leaky]),
        run(&["translate", &job, "--all"]),
        run(&["worksheet", &job]),
    ]
    .join("\n")
}

#[test]
fn every_output_that_the_readme_shows_is_today_s() {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let outputs = todays_outputs();
    let blocks: Vec<&str> = text.split("```text\n").skip(1).collect();
    assert!(blocks.len() >= 2);
    for block in blocks {
        let block = block.split("```").next().unwrap();
        for paragraph in block.trim().split("\n\n") {
            assert!(outputs.contains(paragraph), "not said today:\n{paragraph}");
        }
    }
    let picture = text
        .split("](")
        .find(|rest| rest.starts_with("docs/pictures/"));
    let picture = picture.unwrap().split(')').next().unwrap();
    assert!(root().join(picture).is_file(), "{picture}");
}

#[test]
fn one_screen_of_text_stands_before_the_first_output() {
    let text = fs::read_to_string(root().join("README.md")).unwrap();
    let before = text.split("```text").next().unwrap();
    // A screen of 80 columns has 24 rows by custom.
    assert!(before.lines().count() <= 24);
}

/// Figures with a unit in prose: not in code, not in tables of code.
fn figures(text: &str) -> Vec<String> {
    let mut prose = String::new();
    let mut fenced = false;
    for line in text.lines() {
        match line.starts_with("```") {
            true => fenced = !fenced,
            false if fenced || line.starts_with("    ") => {}
            // What stands between single backticks is code.
            false => {
                let pieces = line.split('`').step_by(2);
                prose.push_str(&pieces.collect::<Vec<_>>().join(" "));
                prose.push('\n');
            }
        }
    }
    let words: Vec<&str> = prose.split_whitespace().collect();
    let number = |word: &str| {
        let digits = word.trim_start_matches(['−', '(', '±']);
        digits.starts_with(|c: char| c.is_ascii_digit())
            && digits.chars().all(|c| c.is_ascii_digit() || c == '.')
    };
    let pairs = words.windows(2).filter(|pair| number(pair[0]));
    let units = ["V", "%", "MΩ", "kΩ", "µF", "mA", "columns"];
    let of_unit = pairs.filter_map(|pair| {
        let unit = pair[1].trim_end_matches(['.', ',', ';', ':', ')']);
        let figure = format!("{} {unit}", pair[0].trim_start_matches(['(', '±']));
        units.contains(&unit).then_some(figure)
    });
    of_unit.collect()
}

/// Figures that no output holds, each with what they are.
const STATED: [(&str, &str); 5] = [
    ("95 %", "coverage of every expanded uncertainty"),
    ("10 MΩ", "input of the class 10M"),
    ("5 %", "share below which a probe is left out"),
    ("1 µF", "least capacitor that makes a filter section"),
    ("80 columns", "width of a text that goes to no terminal"),
];

#[test]
fn every_figure_in_prose_is_said_by_the_program() {
    let outputs: String = todays_outputs()
        .split_whitespace()
        .collect::<Vec<_>>()
        .join(" ");
    let mut found = 0;
    for page in ["README.md", "docs/glossary.md", "docs/worksheet.md"] {
        let text = fs::read_to_string(root().join(page)).unwrap();
        for figure in figures(&text) {
            found += 1;
            let number = figure.split(' ').next().unwrap();
            let said = outputs.split([' ', '(']).any(|word| word == number);
            let stated = STATED.iter().any(|(known, _)| *known == figure);
            assert!(said || stated, "{page}: {figure}");
        }
    }
    assert!(found >= 5, "{found}");
}
