//! A chassis of so many stages that rails are kept and pivots are taken sparsely.
//!
//! Closed form: alike stages on one rail share its resistance, so each stands as one alone behind
//! as many times that. Independently derived: a meter is a resistor drawn.

#![expect(clippy::unwrap_used, reason = "a test stops at the first surprise")]

#[expect(dead_code, reason = "one type of tube is enough here")]
mod sketch;

use circuit::{Circuit, Conditions, Port};
use sketch::{high_mu, Sketch};
use solver::{solve, Load, Solution};

/// Enough for more than a hundred rows that tubes touch.
const STAGES: usize = 40;

/// Resistance in ohms behind which one stage stands alone.
const ALONE: f64 = 2e3;

/// So many stages with a meter of some ohms drawn on the first plate.
fn chassis(stages: usize, meter: Option<f64>) -> Circuit {
    let mut sketch = Sketch::new().supply("PS1", 280.0, "raw", "gnd").resistor(
        "R1",
        ALONE / stages as f64,
        "raw",
        "rail",
    );
    for stage in 0..stages {
        let of = |name: &str| format!("{name}{stage}");
        let [plate, grid, cathode, load] = ["plate", "grid", "cath", "dec"].map(of);
        sketch = sketch
            .resistor(&of("R1_"), 10e3, "rail", &load)
            .resistor(&of("R2_"), 100e3, &load, &plate)
            .resistor(&of("R3_"), 1.5e3, &cathode, "gnd")
            .resistor(&of("R4_"), 1e6, &grid, "gnd")
            .device(&of("V"), high_mu(), &[&plate, &grid, &cathode]);
    }
    match meter {
        Some(ohms) => sketch.resistor("RM", ohms, "plate0", "gnd").done(),
        None => sketch.done(),
    }
}

fn solved(circuit: &Circuit) -> Solution {
    solve(circuit, &Conditions::default()).unwrap()
}

#[test]
fn alike_stages_on_one_rail_stand_as_one_alone() {
    let (one, many) = (chassis(1, None), chassis(STAGES, None));
    let (alone, among) = (solved(&one), solved(&many));
    for name in ["rail", "plate", "cath", "grid"] {
        let [first, last] = [0, STAGES - 1].map(|stage| match name {
            "rail" => name.to_owned(),
            _ => format!("{name}{stage}"),
        });
        let want = alone.node_volts(one.node(&first).unwrap());
        let got = among.node_volts(many.node(&last).unwrap());
        // Both are met to 1e-11 of the supply.
        assert!((got - want).abs() < 1e-8, "{name}: {got} {want}");
    }
}

#[test]
fn a_meter_among_many_stages_is_a_resistor_drawn() {
    let plain = chassis(STAGES, None);
    let solution = solved(&plain);
    for ohms in [100e3, 1e6, 10e6] {
        let drawn = chassis(STAGES, Some(ohms));
        let want = solved(&drawn);
        let port = |name: &str| Port {
            plus: plain.node(name).unwrap(),
            minus: plain.node("gnd").unwrap(),
        };
        let load = Load {
            siemens: 1.0 / ohms,
            amperes: 0.0,
        };
        let metered = solution.metered(port("plate0"), load, None).unwrap();
        let volts = want.port_volts(port("plate0"));
        // Both are met to 1e-11 of the supply.
        assert!((metered.volts - volts).abs() < 1e-8, "{ohms}: {volts}");
        let seen = want.port(port("plate0")).ohms;
        // The tangent is met to 1e-9 of what the largest row answers.
        assert!((metered.ohms - seen).abs() < 1e-7 * seen, "{ohms}: {seen}");
    }
}
