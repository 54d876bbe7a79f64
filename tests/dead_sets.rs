//! Sets without any volts: a string of cold heaters, and how the power is taken away before work.

use fairvolt::Exit;

use crate::support::{fairvolt, json, practice, sample, Run, Scratch};

/// No volts anywhere: a cold tube draws nothing, and a cold rectifier gives nothing.
#[test]
fn a_dead_set_with_series_heaters_is_told_to_measure_them_with_the_plug_out() {
    let job = sample("signal-shed-set");
    let file = format!("{job}/readings-open-heater.csv");
    let run = fairvolt(&["suspects", &job, "-r", &file]);
    assert_eq!(run.exit, Exit::Flagged);
    assert!(run.out.lines().all(|line| line.chars().count() <= 80));
    let flat = |run: &Run| run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let out = flat(&run);
    // All tubes of the netlist's list, and the heater pins of their bases as tube manuals print them.
    for said in [
        "heater of V5, V4, V2, V1 or V3 open: the whole string is cold",
        "with the power off (plug out, capacitors discharged) pull the tubes of the string",
        "V5 pins 2 to 7, V4 pins 2 to 7, V2 pins 2 to 7, V1 pins 2 to 7 and V3 pins 7 to 8",
        "never with the power on: the whole line is across the open one",
    ] {
        assert!(out.contains(said), "{said}: {out}");
    }
    let found = json(&fairvolt(&[
        "suspects", &job, "-r", &file, "--format", "json",
    ]));
    let first = &found["hypotheses"][0];
    assert_eq!(first["part"], "V5, V4, V2, V1 or V3");
    assert_eq!(first["fault"], "heater open");
    // Each of its tubes is meant.
    let explained = flat(&fairvolt(&[
        "suspects",
        &job,
        "-r",
        &file,
        "--explain",
        "V2",
    ]));
    assert!(explained.contains("heater of V5, V4, V2, V1 or V3 open"));
    // Plates alone fit a dead supply as well: whether a tube is warm tells, and costs nothing.
    let scratch = Scratch::new();
    let plates = scratch.write(
        "plates.csv",
        "point,reading\nV1 pin 3,0.01\nV2 pin 6,0.01\nV4 pin 3,0.02\n",
    );
    let out = flat(&fairvolt(&["suspects", &job, "-r", &plates, "--outside"]));
    let (_, next) = out.split_once("Next: ").unwrap();
    assert!(next.starts_with("look whether V5, V4, V2, V1 or V3 glows or gets warm."));
}

#[test]
fn a_set_on_batteries_is_not_told_to_pull_a_plug() {
    let battery = sample("gate-post-preamplifier");
    let sheet = fairvolt(&["worksheet", &battery]).out;
    assert!(sheet.contains("power off, batteries out, capacitors discharged"));
    let table = fairvolt(&["translate", &battery]).out;
    assert!(table.contains("take the batteries out"));
    // The cautions of every sheet stay.
    for plug in ["plug out", "pull the plug"] {
        assert!(!sheet.contains(plug) && !table.contains(plug), "{plug}");
    }
    // A supply that is no battery may be fed by the line; a generator of so many volts is the line.
    let divider = "ground c\nR1: 220k, b to p\nR2: 100k, p to c\n";
    let row = "point,at,quantity,value\n1,p,ohm,69k\n";
    for (source, order) in [
        ("PS1: 250V source=1k, plus=b, minus=c", "pull the plug"),
        (
            "BT1: 250V source=1k, plus=b, minus=c",
            "take the batteries out",
        ),
        (
            "BT1: 250V source=1k, plus=b, minus=c\nG1: 117V ac 60Hz off=open, p to c",
            "pull the plug",
        ),
    ] {
        let job = practice("20k/V", &format!("{divider}{source}\n"), row);
        let table = fairvolt(&["translate", &job.path()]).out;
        assert!(table.contains(order), "{source}: {table}");
    }
}
