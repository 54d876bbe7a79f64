//! The real program: streams, exit statuses, a closed pipe.

use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};

use crate::support::{root, sample, Scratch};

fn program() -> Command {
    let mut command = Command::new(env!("CARGO_BIN_EXE_fairvolt"));
    command.current_dir(root());
    command
}

fn status(arguments: &[&str]) -> i32 {
    let output = program().args(arguments).output().unwrap();
    output.status.code().unwrap()
}

#[test]
fn exit_statuses_are_as_documented() {
    assert_eq!(status(&["translate", "sample-data/lookout-intercom"]), 0);
    let scratch = Scratch::new();
    let good = scratch.write("good.csv", "point,reading\n1,306.9\n");
    assert_eq!(
        status(&["compare", "sample-data/lookout-intercom", "-r", &good]),
        0
    );
    let leaky = "sample-data/lookout-intercom/readings-leaky-coupler.csv";
    assert_eq!(
        status(&["compare", "sample-data/lookout-intercom", "-r", leaky]),
        1
    );
    assert_eq!(status(&["check", "sample-data/mistakes"]), 2);
    assert_eq!(status(&["translte"]), 2);
    assert_eq!(status(&["translate", "sample-data/no-such-job"]), 2);
    assert_eq!(status(&["--version"]), 0);
    let nowhere = "/no-such-folder/sheet.txt";
    assert_eq!(
        status(&["translate", &sample("call-bell-board"), "-o", nowhere]),
        4
    );
}

#[test]
fn results_go_to_standard_output_and_complaints_to_standard_error() {
    let output = program()
        .args(["check", "sample-data/mistakes"])
        .output()
        .unwrap();
    let error = String::from_utf8(output.stderr).unwrap();
    assert!(error.contains("circuit.netlist, line "));
    assert!(!error.contains('\u{1b}'), "colour in a pipe");
    let output = program().args(["meters"]).output().unwrap();
    assert!(output.stderr.is_empty());
    assert!(!output.stdout.is_empty() && !output.stdout.contains(&0x1b));
}

#[test]
fn a_reader_that_has_had_enough_is_no_fault() {
    let mut child = program()
        .args(["manual-page"])
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    let mut first = String::new();
    BufReader::new(child.stdout.take().unwrap())
        .read_line(&mut first)
        .unwrap();
    let output = child.wait_with_output().unwrap();
    assert!(!first.is_empty());
    assert_eq!(output.status.code(), Some(0));
    assert!(output.stderr.is_empty());
}

#[test]
fn the_folder_one_stands_in_is_the_default_job() {
    let scratch = Scratch::new();
    let folder = format!("{}/job", scratch.path());
    assert_eq!(status(&["new", &folder]), 0);
    let output = program()
        .arg("translate")
        .current_dir(&folder)
        .output()
        .unwrap();
    assert_eq!(output.status.code(), Some(0));
}
