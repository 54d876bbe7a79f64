use std::collections::HashSet;

use input::{read_job, JobSources, Sources};

use super::*;
use crate::suspects::modes::FAULT_MODES;

/// One part at least of every kind and of every class that the table of fault modes has.
const OF_EVERY_KIND: &str = "ground g
PS1: 250V source=100R, plus=a, minus=g
G1: 50mV ac 400Hz source=600R, gen to g
R1: 10k, a to b
R2: pot 100k at 40%, cw=b, wiper=w, ccw=g
R3: 1M, w to g
R4: 10k, gen to g
C1: 20uF, b to g
C2: 0.1uF, b to g
C3: 100pF, b to g
L1: 10H 300R, b to l
T1: transformer 10:1 300R 1R, primary l to p, secondary s to g
DS1: lamp 6.3V 150mA, s to g
S1: closed, s to g
V1A: 12AX7, plate=p, grid=w, cathode=k
V1B: 12AX7, plate=b, grid=w, cathode=k
R5: 1k, k to g
V3: 6C4 oscillating, plate=b, grid=w, cathode=k
V2: 5Y3GT, plate1=b, plate2=b, cathode=r
R6: 100k, r to g
CR1: silicon, anode=b, cathode=d
R7: 10k, d to g
SR1: selenium 2 plates, anode=b, cathode=d
VR1: zener 9.1V, anode=g, cathode=z
R8: 10k, b to z
DS2: neon 65V 0.3mA, n to g
R9: 1M, b to n
Q1: npn silicon hfe=100, collector=z, base=q, emitter=e
R10: 100k, z to q
R11: 1k, e to g
Q2: n-jfet idss=8mA vp=-6V, drain=z, gate=g, source=f
R12: 1k, f to g
";

fn circuit() -> Circuit {
    let mut sources = Sources::default();
    let settings = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,value\n1,a,250\n";
    let parts = JobSources {
        settings: Some(sources.add("job.toml", settings)),
        netlist: Some(sources.add("circuit.netlist", OF_EVERY_KIND)),
        manual: Some(sources.add("manual.csv", manual)),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    let job = read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics));
    job.circuit
}

/// A kind that is added has to be drawn here, whatever class it fails in.
#[test]
fn every_kind_of_part_is_drawn() {
    let (_, rest) = include_str!("../../../circuit/src/part.rs")
        .split_once("pub enum PartKind {")
        .unwrap();
    let (list, _) = rest.split_once("\n}").unwrap();
    let declared = list.lines().filter_map(|line| line.trim().split_once('('));
    let declared: HashSet<&str> = declared
        .map(|(name, _)| name)
        .filter(|name| name.chars().all(char::is_alphanumeric))
        .collect();
    let circuit = circuit();
    let parts = circuit.parts().iter();
    let shown: Vec<String> = parts.map(|part| format!("{:?}", part.kind)).collect();
    let drawn = shown.iter().filter_map(|shown| shown.split_once('('));
    let drawn: HashSet<&str> = drawn.map(|(name, _)| name).collect();
    assert_eq!(drawn, declared);
}

/// A fault that the table lacks would have no weight and would never be named.
#[test]
fn every_fault_of_every_kind_of_part_has_its_line_in_the_table() {
    let circuit = circuit();
    let mut met = HashSet::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let class = class(&part.kind);
        for hypothesis in faults_of(&circuit, PartId(index), part) {
            let fault = hypothesis.fault().unwrap();
            let line = mode_of(class, fault);
            assert!(line.is_some(), "{}: {class:?} {fault:?}", part.designator);
            met.insert((class, fault));
        }
    }
    // And no line that nothing can have.
    for line in FAULT_MODES {
        let pair = (line.class, line.fault);
        assert!(met.contains(&pair), "{pair:?} belongs to no part");
    }
}
