//! One changed conductance by formula against the circuit solved anew.

use circuit::{Circuit, Conditions, PartKind, Port};
use solver::solve;

use crate::jobs::job;

/// 250 V into a ladder of seven resistors, with values worked independently.
const LADDER: &str = "ground n0\nPS1: 250V, plus=n1, minus=n0\nR1: 10k, n1 to n2\n\
    R2: 47k, n2 to n0\nR3: 100k, n2 to n3\nR4: 220k, n3 to n0\nR5: 33k, n3 to n4\n\
    R6: 1M, n4 to n0\nR7: 470k, n1 to n4\n";

fn ladder() -> Circuit {
    let settings = "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,value\n1,n2,200\n";
    job(settings, LADDER, manual, "point,reading\n1,200\n").circuit
}

fn ports(circuit: &Circuit) -> Vec<Port> {
    let minus = circuit.node("n0").unwrap();
    let names = ["n2", "n3", "n4"].iter();
    let at = |name: &&str| Port {
        plus: circuit.node(name).unwrap(),
        minus,
    };
    names.map(at).collect()
}

fn ends(circuit: &Circuit, designator: &str) -> (usize, Port, f64) {
    let id = circuit.part_named(designator).unwrap();
    let part = circuit.part(id);
    let PartKind::Resistor(resistor) = &part.kind else {
        panic!("{designator} is no resistor");
    };
    let port = Port {
        plus: part.nodes[0],
        minus: part.nodes[1],
    };
    (id.0, port, resistor.ohms)
}

#[test]
fn a_resistor_open_gives_the_published_figures() {
    let circuit = ladder();
    let solution = solve(&circuit, &Conditions::default()).unwrap();
    let (_, port, ohms) = ends(&circuit, "R4");
    let changed = solution.changed(port, -1.0 / ohms).unwrap().unwrap();
    let want = [205.495111, 197.669862, 195.087530];
    for (port, want) in ports(&circuit).into_iter().zip(want) {
        let got = changed.port(port).unwrap().open_volts;
        // Figures of six decimals.
        assert!((got - want).abs() < 6e-7, "{got} {want}");
    }
}

#[test]
fn any_resistor_at_any_value_as_solved_anew() {
    let circuit = ladder();
    let solution = solve(&circuit, &Conditions::default()).unwrap();
    for designator in ["R1", "R2", "R3", "R4", "R5", "R6", "R7"] {
        let (place, port, ohms) = ends(&circuit, designator);
        for factor in [1e-4, 0.3, 1.5, 4.0, 1e3] {
            let changed = solution.changed(port, 1.0 / (factor * ohms) - 1.0 / ohms);
            let changed = changed.unwrap().unwrap();
            let mut builder = circuit::CircuitBuilder::new();
            for node in circuit.nodes() {
                let id = builder.node(&node.name);
                if node.is_reference {
                    builder.reference(id);
                }
            }
            for (index, part) in circuit.parts().iter().enumerate() {
                let mut part = part.clone();
                if let (true, PartKind::Resistor(own)) = (index == place, &mut part.kind) {
                    own.ohms = factor * ohms;
                }
                builder.part(part);
            }
            let anew = solve(&builder.finish(), &Conditions::default()).unwrap();
            for probe in ports(&circuit) {
                let (got, want) = (changed.port(probe).unwrap(), anew.port(probe).unwrap());
                // 1e-9 of the supply, and of the largest resistance here.
                assert!((got.open_volts - want.open_volts).abs() < 250e-9);
                assert!(
                    (got.ohms - want.ohms).abs() < 1e6 * 1e-9,
                    "{designator} {factor}"
                );
            }
        }
    }
}
