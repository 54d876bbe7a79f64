//! A flip-flop: of its two stable states the one that the manual shows is taken, and said.

use serde_json::Value;

use crate::support::{fairvolt, json, Scratch};

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

/// The document of a job whose manual prints these volts at both plates and one grid.
fn translated(p1: &str, p2: &str, g1: &str) -> Value {
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
        "title = \"Lookout call counter\"\n[as-documented]\nmeter = \"11M\"\ntolerance = \"20%\"\n\
         [on-the-bench]\nmeter = \"10M\"\n",
    );
    json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]))
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
