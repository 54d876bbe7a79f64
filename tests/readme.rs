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
        } else if inside {
            let line = line.split(" # ").next().unwrap_or(line).trim();
            let line = line.replace("cargo run --", "fairvolt");
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
