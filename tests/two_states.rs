//! A flip-flop: of its two stable states the one that the manual shows is taken, and said.

use serde_json::Value;

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said, Scratch};

const NETLIST: &str = "\
ground chassis
PS1: 250V, plus=bplus, minus=chassis
PS2: 100V, plus=chassis, minus=neg
R1: 47k, bplus to p1
R2: 47k, bplus to p2
R3: 470k, p1 to g2
R4: 470k, p2 to g1
R5: 390k, g1 to neg
R6: 390k, g2 to neg
V1A: 12AX7, plate=p1, grid=g1, cathode=chassis
V1B: 12AX7, plate=p2, grid=g2, cathode=chassis
";

#[test]
fn both_states_are_told_of_once() {
    let scratch = written(["226", "93", "-12.5"], "10M");
    let told = said(&fairvolt(&["translate", &scratch.path()]).out);
    assert_eq!(told.matches("two stable states").count(), 1, "{told}");
    let other = "In the other: 1 at 92.8 V, 2 at 227 V, 3 at 0.43 V. A set may start in either.";
    assert!(told.replace('\u{a0}', " ").contains(other), "{told}");
}

/// The document of a job whose manual prints these volts at both plates and one grid.
fn translated(p1: &str, p2: &str, g1: &str) -> Value {
    let scratch = written([p1, p2, g1], "10M");
    let path = scratch.path();
    json(&fairvolt(&["translate", &path, "--format", "json"]))
}

/// The job's folder, with this meter on the bench.
fn written([p1, p2, g1]: [&str; 3], bench: &str) -> Scratch {
    let scratch = Scratch::new();
    let write = |name: &str, text: &str| {
        std::fs::write(std::path::Path::new(&scratch.path()).join(name), text).unwrap();
    };
    write("circuit.netlist", NETLIST);
    write(
        "manual.csv",
        &format!("point,at,value\n1,p1,{p1}\n2,p2,{p2}\n3,g1,{g1}\n"),
    );
    write(
        "job.toml",
        &format!(
            "title = \"Lookout call counter\"\n[as-documented]\nmeter = \"11M\"\n\
             tolerance = \"20%\"\n[on-the-bench]\nmeter = \"{bench}\"\n"
        ),
    );
    scratch
}

/// Independently derived: all states of this circuit by another script, at 50 digits
/// (`crates/solver/tests/vectors/bistable.toml`, "high-mu flip-flop"): 227.31 and 92.84 V. The
/// meters' loads and the catalogue's rounding leave some volts.
#[test]
fn the_state_that_the_manual_shows_is_taken() {
    for (printed, want) in [
        (["226", "93", "-12.5"], [227.3, 92.8, -12.6]),
        (["93", "226", "0.4"], [92.8, 227.3, 0.43]),
    ] {
        let document = translated(printed[0], printed[1], printed[2]);
        for (point, want) in document["points"].as_array().unwrap().iter().zip(want) {
            let model = point["model"]["unloaded"].as_f64().unwrap();
            assert!((model - want).abs() < 1.0, "{point}");
            let kinds = point["remarks"].as_array().unwrap().iter();
            let told: Vec<&Value> = kinds.filter(|r| r["kind"] == "two_states").collect();
            assert_eq!(told.len(), 1, "{point}");
        }
        let first = &document["points"][0];
        let other = first["remarks"][0]["expected"].as_f64().unwrap();
        assert!((other - want[1]).abs() < 1.0, "{first}");
    }
}

/// 130 V at the plate of the tube that is cut off: the circuit has to jump on the way there. Two
/// answers are given, that of the printed value and that of the drawn state's tangent.
///
/// Closed form of the second: the plate sees R1 and R3 side by side, for the other grid holds its
/// end of R3 by its own current, so R = 47·470/517 = 42.727 kΩ; 11 MΩ before and 50 kΩ now, thus
/// 130·(1 + R/11M)/(1 + R/50k) = 70.36 V. The grid's own few hundred ohms leave less than 0.1 V.
#[test]
fn beyond_a_jump_both_answers_are_told() {
    let scratch = written(["130", "93", "-12.5"], "1k/V");
    let path = scratch.path();
    let document = json(&fairvolt(&["translate", &path, "--format", "json"]));
    let point = &document["points"][0];
    let remarks = point["remarks"].as_array().unwrap().iter();
    let told: Vec<&Value> = remarks.filter(|r| r["kind"] == "beyond_jump").collect();
    assert_eq!(told.len(), 1, "{point}");
    let by_tangent = told[0]["expected"].as_f64().unwrap();
    assert!((by_tangent - 70.36).abs() < 0.1, "{point}");
    assert_eq!(point["bench"][0]["input_ohms"].as_f64(), Some(50e3));
    let by_value = point["bench"][0]["expected"].as_f64().unwrap();
    // The tube conducts there, so the same meter takes far more of it.
    assert!(by_value < 40.0, "{point}");
    // And both stand in what people read: one in the row, one in the remark.
    let page = fairvolt(&["translate", &path]).out;
    let row = page.lines().find(|line| line.starts_with("1      p1"));
    let shown = format!(" {by_value:.0} ");
    assert!(row.is_some_and(|row| row.contains(&shown)), "{page}");
    assert!(
        page.split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
            .contains("expect 70.4 V"),
        "{page}"
    );
    // The other points are near the drawn state.
    for point in &document["points"].as_array().unwrap()[1..] {
        let remarks = point["remarks"].as_array().unwrap();
        assert!(
            remarks.iter().all(|r| r["kind"] != "beyond_jump"),
            "{point}"
        );
    }
}

/// What 10 MΩ show of the states above: 42.7 kΩ at the plates take 0.4 %, 213 kΩ at the grid that is cut off 2.1 %,
/// and the few hundred ohms of the other grid nothing.
const CUT_OFF: &str = "point,reading\n1,226.4\n2,92.6\n3,-12.35\n";
const CONDUCTS: &str = "point,reading\n1,92.6\n2,226.4\n3,0.43\n";

#[test]
fn no_part_of_a_sound_flip_flop_is_suspected() {
    let (cut_off, conducts) = (["226", "93", "-12.5"], ["93", "226", "0.4"]);
    for (printed, readings, other) in [
        (cut_off, CUT_OFF, false),
        (conducts, CONDUCTS, false),
        (cut_off, CONDUCTS, true),
        (conducts, CUT_OFF, true),
    ] {
        let scratch = written(printed, "10M");
        let readings = scratch.write("r.csv", readings);
        let found = fairvolt(&["suspects", &scratch.path(), "-r", &readings]);
        assert_eq!(found.exit, Exit::Done, "{}", found.out);
        let told = said(&found.out);
        assert!(told.contains("The readings are in order"), "{told}");
        let says = told.contains("in the other of its two stable states");
        assert_eq!(says, other, "{told}");
    }
}

#[test]
fn a_chart_may_print_both_states() {
    let chart = |one: &str, other: &str| {
        format!(
            "point,at,value,setting\n1,p1,226,{one}\n2,p2,93,{one}\n3,g1,-12.5,{one}\n\
             1b,p1,93,{other}\n2b,p2,226,{other}\n3b,g1,0.4,{other}\n"
        )
    };
    let scratch = practice("11M", NETLIST, &chart("V1A=off", "V1A=on"));
    let job = scratch.path();
    let document = json(&fairvolt(&["translate", &job, "--format", "json"]));
    for (label, want) in [("1", 227.3), ("2", 92.8), ("1b", 92.8), ("2b", 227.3)] {
        let point = point(&document, label);
        let model = point["model"]["unloaded"].as_f64().unwrap();
        assert!((model - want).abs() < 1.0, "{point}");
        // What is printed names its state, and nothing is left to say.
        let remarks = point["remarks"].as_array().unwrap();
        assert!(remarks.iter().all(|r| r["kind"] != "two_states"), "{point}");
    }
    let told = said(&fairvolt(&["translate", &job]).out);
    assert!(told.contains("Read with V1A cut off: 1, 2, 3."), "{told}");
    let sheet = fairvolt(&["worksheet", &job]).out;
    assert!(sheet.contains("with V1A conducting"), "{sheet}");
    let readings = "point,reading\n1,226.4\n2,92.6\n3,-12.35\n1b,92.6\n2b,226.4\n3b,0.43\n";
    let readings = scratch.write("r.csv", readings);
    let found = fairvolt(&["suspects", &job, "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
    // An amplifier has one state, and a tube is not pulled by this.
    let netlist = "ground c\nPS1: 180V, plus=b, minus=c\nR1: 100k, b to p\nR2: 2.2k, k to c\nR3: 1M, g to c\n\
                   V1: 6C4, 1=p, 6=g, 7=k\n";
    let scratch = practice("20k/V", netlist, "point,at,value,setting\n1,p,180,V1=off\n");
    let told = said(&fairvolt(&["translate", &scratch.path()]).out);
    assert!(
        told.contains("the circuit has one stable state only"),
        "{told}"
    );
    // Without it, half of the chart contradicts the other half, and the way out is named.
    let scratch = practice("11M", NETLIST, &chart("", ""));
    let told = said(&fairvolt(&["check", &scratch.path()]).out);
    assert!(told.contains("such as `V1A=off` under 'setting'"), "{told}");
}

/// A Schmitt trigger whose input stands between the two volts at which it turns over. Newton's method from zero
/// volts ends in a stable state, from which nothing leads to the other.
#[test]
fn the_other_state_of_a_trigger_is_found_too() {
    let netlist = "ground c\nPS1: 250V, plus=b, minus=c\nR1: 47k, b to p1\nR2: 47k, b to p2\nR3: 220k, p1 to g2\n\
                   R4: 220k, g2 to c\nR5: 12k, k to c\nR6: 150k, b to g1\nR7: 44k, g1 to c\n\
                   V1A: 12AU7, plate=p1, grid=g1, cathode=k\nV1B: 12AU7, plate=p2, grid=g2, cathode=k\n";
    let nodes = [
        ("p1", 155, 83),
        ("p2", 93, 213),
        ("k", 61, 51),
        ("g1", 56, 52),
        ("g2", 61, 42),
    ];
    let states = |[off, on]: [&str; 2]| {
        let rows = nodes.map(|(node, in_off, in_on)| {
            format!("{node}-off,{node},{in_off},{off}\n{node}-on,{node},{in_on},{on}\n")
        });
        let manual = format!("point,at,value,setting\n{}", rows.concat());
        let scratch = practice("11M", netlist, &manual);
        let path = scratch.path();
        let document = json(&fairvolt(&["translate", &path, "--format", "json"]));
        ["off", "on"].map(|state| {
            nodes.map(|(node, ..)| {
                let point = point(&document, &format!("{node}-{state}"));
                let remarks = point["remarks"].as_array().unwrap();
                assert!(remarks.iter().all(|r| r["kind"] != "one_state"), "{point}");
                point["model"]["unloaded"].as_f64().unwrap()
            })
        })
    };
    let found = states(["V1A=off", "V1A=on"]);
    // What comes from the supply through R1, R2 and R6 leaves through R4, R5 and R7.
    for [p1, p2, k, g1, g2] in found {
        let comes = (250.0 - p1) / 47e3 + (250.0 - p2) / 47e3 + (250.0 - g1) / 150e3;
        let leaves = g2 / 220e3 + k / 12e3 + g1 / 44e3;
        // A millivolt at R5 is what rounding and the last step could leave at most.
        assert!((comes - leaves).abs() < 1e-3 / 12e3, "{found:?}");
    }
    assert!(found[0][0] > found[1][0] + 50.0, "{found:?}");
    let again = states(["V1B=on", "V1B=off"]);
    for (one, other) in found.iter().flatten().zip(again.iter().flatten()) {
        assert!((one - other).abs() < 1e-6, "{found:?} {again:?}");
    }
}
