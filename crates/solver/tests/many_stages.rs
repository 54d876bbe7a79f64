//! A chassis of so many stages that rails are kept and pivots are taken sparsely.
//!
//! Closed form: alike stages on one rail share its resistance, so each stands as one alone behind
//! as many times that. Independently derived: a meter is a resistor drawn.

use crate::sketch::{high_mu, Sketch};
use circuit::{Alteration, Circuit, Conditions, PartKind, Port};
use solver::{solve, Load, Solution};

/// Enough for more than a hundred rows that tubes touch.
const STAGES: usize = 40;

/// Resistance in ohms behind which one stage stands alone.
const ALONE: f64 = 2e3;

/// The rail of so many stages.
fn rail(stages: usize) -> Sketch {
    let supply = Sketch::new().supply("PS1", 280.0, "raw", "gnd");
    supply.resistor("R1", ALONE / stages as f64, "raw", "rail")
}

/// So many stages with a meter of some ohms drawn on the first plate.
fn chassis(stages: usize, meter: Option<f64>) -> Circuit {
    let mut sketch = rail(stages);
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

/// Stages that leak into each other, with a meter and a current into the first port drawn or not.
fn coupled(drawn: Option<(&str, f64)>) -> Circuit {
    let mut sketch = rail(STAGES);
    for stage in 0..STAGES {
        let of = |name: &str| format!("{name}{stage}");
        let [plate, grid, cathode, load] = ["plate", "grid", "cath", "dec"].map(of);
        let next = format!("grid{}", (stage + 1) % STAGES);
        sketch = sketch
            .resistor(&of("R1_"), 10e3 + 100.0 * stage as f64, "rail", &load)
            .resistor(&of("R2_"), 100e3, &load, &plate)
            .resistor(&of("R3_"), 1.5e3, &cathode, "gnd")
            .resistor(&of("R4_"), 1e6, &grid, "gnd")
            .resistor(&of("R5_"), 400e6, &plate, &next)
            .device(&of("V"), high_mu(), &[&plate, &grid, &cathode]);
    }
    match drawn {
        Some((node, ohms)) => sketch.resistor("RM", ohms, node, "gnd").done(),
        None => sketch.done(),
    }
}

/// Most stages are left on their tangents when a meter is put on one; here every one of them is solved
/// for with the meter drawn. Light meters leave all others quiet, heavy ones move the rail.
#[test]
fn stages_that_are_left_alone_would_have_changed_nothing() {
    let plain = coupled(None);
    let solution = solved(&plain);
    let conditions = Conditions::default();
    for node in ["plate7", "grid7", "cath7", "dec7", "rail"] {
        for ohms in [20e3, 250e3, 5e6, 10e6] {
            let port = Port {
                plus: plain.node(node).unwrap(),
                minus: plain.node("gnd").unwrap(),
            };
            let load = Load {
                siemens: 1.0 / ohms,
                amperes: 0.0,
            };
            let metered = solution.metered(port, load, None).unwrap();
            let drawn = coupled(Some((node, ohms)));
            let want = solved(&drawn);
            let volts = want.port_volts(port);
            // Both are met to 1e-11 of the supply.
            assert!(
                (metered.volts - volts).abs() < 1e-8,
                "{node} {ohms}: {volts}"
            );
            let seen = want.port(port).ohms;
            // Quiet devices are allowed 1e-6 of it by bounds that add up what cancels for the most part.
            assert!(
                (metered.ohms - seen).abs() < 1e-7 * seen,
                "{node} {ohms}: {seen}"
            );
            // Derivatives in volts for one standard deviation of each number; the meter drawn is one number more.
            let sensitivities = solution.sensitivities(&plain, &conditions, &metered);
            let open = want.unloaded(port);
            let wanted = want.sensitivities(&drawn, &conditions, &open);
            let size = |value: f64, id: &solver::ParameterId| value * size_of(&plain, id);
            let own = wanted
                .iter()
                .filter(|sensitivity| sensitivity.id.part.0 < plain.parts().len());
            let own: Vec<_> = own.collect();
            assert_eq!(own.len(), sensitivities.values.len());
            let most = own
                .iter()
                .map(|sensitivity| size(sensitivity.value, &sensitivity.id).abs());
            let most = most.fold(0.0, f64::max);
            for (got, want) in sensitivities.iter().zip(own) {
                assert_eq!(got.id, want.id);
                let miss = size(got.value - want.value, &got.id).abs();
                // A quiet device's slopes are right to 1e-3 of themselves, by bounds that add up what cancels
                // for the most part; next to nothing is measured beside the largest.
                let enough = 1e-4 * size(want.value, &got.id).abs() + 1e-9 * most;
                assert!(miss < enough, "{node} {ohms} {got:?} {want:?}");
            }
        }
    }
}

/// A changed part or two exchanged sections hardly reach the other stages, which stay on their tangents; beside it
/// the circuit that is drawn so, where every device is solved for.
#[test]
fn stages_that_an_alteration_hardly_reaches_would_have_changed_little() {
    let plain = coupled(None);
    let conditions = Conditions::default();
    let base = solved(&plain).alterable(&plain, &conditions);
    let ports: Vec<Port> = [
        "plate7", "grid7", "cath8", "plate8", "plate20", "dec30", "rail",
    ]
    .iter()
    .map(|node| Port {
        plus: plain.node(node).unwrap(),
        minus: plain.node("gnd").unwrap(),
    })
    .collect();
    let changed = |designator: &str, ohms: f64| {
        let mut alteration = Alteration::none(&conditions);
        let id = plain.part_named(designator).unwrap();
        let part = alteration.part_mut(&plain, id);
        let PartKind::Resistor(resistor) = &mut part.kind else {
            panic!("{designator} is no resistor");
        };
        resistor.ohms = ohms;
        alteration
    };
    let mut exchanged = Alteration::none(&conditions);
    let [one, other] = ["V7", "V20"].map(|name| plain.part_named(name).unwrap());
    let plates = [one, other].map(|id| plain.part(id).nodes[0]);
    exchanged.part_mut(&plain, one).nodes[0] = plates[1];
    exchanged.part_mut(&plain, other).nodes[0] = plates[0];
    let alterations = [
        changed("R2_7", 47e3),
        changed("R2_7", 1e9),
        changed("R3_7", 150.0),
        changed("R4_7", 1e9),
        changed("R1", 3.0 * ALONE / STAGES as f64),
        changed("R5_7", 1e6),
        exchanged,
    ];
    for alteration in &alterations {
        let quick = base.altered(alteration).unwrap();
        let drawn = plain.altered(alteration);
        let want = solved(&drawn);
        for port in &ports {
            let seen = quick.port_reading(*port, 1e-7).unwrap();
            let wanted = want.port_reading(*port, 1e-7);
            let moved = (wanted.volts - base.solution().port_reading(*port, 1e-7).volts).abs();
            // Forty quiet devices may each keep a thousandth of what moves them, and a microvolt; their bounds
            // add up what cancels for the most part.
            let miss = (seen.volts - wanted.volts).abs();
            assert!(miss <= 1e-3 * moved + 1e-5, "{miss} {moved} {wanted:?}");
            let ohms = (seen.ohms - wanted.ohms).abs();
            assert!(ohms <= 1e-3 * wanted.ohms, "{seen:?} {wanted:?}");
        }
    }
}

/// One standard deviation of a number in its own unit.
fn size_of(circuit: &Circuit, id: &solver::ParameterId) -> f64 {
    let spread = circuit::spread_of(circuit.part(id.part), id.parameter);
    spread.standard()
}
