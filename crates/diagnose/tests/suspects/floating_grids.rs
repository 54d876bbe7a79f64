//! Control grids that a fault leaves without a path for their current.

use circuit::Conditions;
use diagnose::{candidates, suspects, with_fault, AgeFactors, Fault, SuspectOptions};
use solver::solve;

use super::jobs::job;

const METERS: &str = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";

/// A follower that feeds the next grid directly: behind its open cathode resistor the node floats by the
/// next tube's ions, for a cathode takes no current out of it. With a resistor beside it does not float.
#[test]
fn a_node_of_a_cathode_and_a_grid_floats_by_ions() {
    let chain = |beside: &str| {
        let netlist = format!(
            "ground chassis\nPS1: 250V source=100R, plus=rail, minus=chassis\n\
             R1: 1M, rail to grid\nR2: 470k, grid to chassis\nR3: 47k, mid to chassis\n\
             V1A: 6SN7, plate=rail, grid=grid, cathode=mid\n\
             V1B: 6SN7, plate=rail, grid=mid, cathode=cath\nR4: 100k, cath to chassis\n{beside}"
        );
        job(
            METERS,
            &netlist,
            "point,at,value\n1,cath,80\n",
            "point,reading\n1,80\n",
        )
    };
    let open = |job: &circuit::Job| {
        let found = candidates(&job.circuit, &AgeFactors::default()).into_iter();
        let part = job.circuit.part_named("R3");
        let mut open = found
            .filter(|one| one.hypothesis.fault() == Some(Fault::Open))
            .filter(|one| one.hypothesis.part() == part);
        open.next().unwrap()
    };
    let floating = chain("");
    let fault = open(&floating);
    let sizes = fault.sizes.unwrap();
    assert!(sizes.least < 1e-9 && sizes.most > 1e-7);
    // Otherwise the size of an open part is a resistance.
    let grounded = open(&chain("R5: 1M, mid to chassis\n")).sizes.unwrap();
    assert!(grounded.least > 1e-3, "{grounded:?}");
    // The more ions, the higher the node, and the second cathode with it; solutions are good to nanovolts.
    let at = |amperes: f64| {
        let circuit = &floating.circuit;
        let faulty = with_fault(circuit, &Conditions::default(), &fault.hypothesis, amperes);
        let solved = solve(&faulty.circuit, &Conditions::default()).unwrap();
        solved.node_volts(circuit.node("cath").unwrap())
    };
    assert!(at(1e-9) + 1.0 < at(1e-7), "{} {}", at(1e-9), at(1e-7));
}

/// Grids behind the resistors of an AVC line float together once the line's own resistor is open; a resistor beside
/// it, or a transistor's base, holds the line.
#[test]
fn grids_behind_resistors_float_by_ions_together() {
    let line = |beside: &str| {
        let netlist = format!(
            "ground c\nPS1: 250V source=100R, plus=b, minus=c\nPS2: 8V, plus=c, minus=bias\n\
             V1: 6SK7, plate=b, screen=s, grid=g1, cathode=c\nR5: 27k, b to s\nR6: 47k, s to c\n\
             V2: 6SK7, plate=b, screen=s, grid=g2, cathode=c\nV3B: 6H6, anode=avc, cathode=c\n\
             R9: 1M, bias to avc\nC5: 0.05uF, avc to c\nR12: 470k, avc to g1\nL1: 10R, avc to tap\n\
             R13: 470k, tap to g2\n{beside}"
        );
        let read = "point,reading\n1,-8\n";
        job(METERS, &netlist, "point,at,value\n1,avc,-8\n", read)
    };
    let open = |job: &circuit::Job| {
        let mut found = candidates(&job.circuit, &AgeFactors::default()).into_iter();
        let part = job.circuit.part_named("R9");
        found
            .find(|one| {
                one.hypothesis.fault() == Some(Fault::Open) && one.hypothesis.part() == part
            })
            .unwrap()
    };
    for held in [
        "R1: 4.7M, tap to c\n",
        "Q1: npn silicon hfe=100, emitter=c, base=tap, collector=b\n",
    ] {
        assert!(open(&line(held)).sizes.unwrap().least > 1e-3, "{held}");
    }
    let floating = line("");
    let fault = open(&floating);
    assert!(fault.sizes.unwrap().least < 1e-9);
    let at = |amperes: f64| {
        let circuit = &floating.circuit;
        let faulty = with_fault(circuit, &Conditions::default(), &fault.hypothesis, amperes);
        let solved = solve(&faulty.circuit, &Conditions::default()).unwrap();
        solved.node_volts(circuit.node("avc").unwrap())
    };
    // By hand. A gigohm to −8 V takes the 0.2 nA of both tubes for 0.2 V.
    assert!((at(1e-10) + 7.8).abs() < 0.05, "{}", at(1e-10));
    // It takes 7.2 of 40 nA; each grid takes 16.4 nA, at −0.84 V: a leak of 10 MΩ settles at −0.7 V with 70 nA, and
    // 0.093 V are a factor of e.
    assert!((at(2e-8) + 0.84).abs() < 0.05, "{}", at(2e-8));
}

/// Ions leave the grid: one without its leak goes up, and its tube conducts. A cathode at zero and screen and plate
/// at the rail are a tube that carries nothing, not an open grid leak.
#[test]
fn a_floating_grid_cuts_no_tube_off() {
    let netlist = "ground c\nPS1: 250V source=400R, plus=b, minus=c\nR9: 6.8k 10%, b to c\n\
        V1: 6AQ5, plate=p, screen=s, grid=g, cathode=k\nR1: 47k 10%, g to c\n\
        R2: 330R 10%, k to c\nR3: 10k 10%, b to s\nL1: 40R, b to p\n";
    let manual = "point,at,value\nb,b,226\np,p,225\ns,s,204\nk,k,10.8\n";
    // By hand: 250 V behind 400 Ω into 6.8 kΩ alone.
    let read = "point,reading\nb,236\np,236\ns,236\nk,0.0\n";
    let job = job(METERS, netlist, manual, read);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let leak = job.circuit.part_named("R1");
    let groups = found.hypotheses.iter();
    let members = groups.flat_map(|group| &group.members);
    let of_leak = members.filter(|member| {
        let (hypothesis, _) = member.faults[0];
        hypothesis.part() == leak && hypothesis.fault() == Some(Fault::Open)
    });
    let open: f64 = of_leak.map(|member| member.probability).sum();
    // The cathode is up at 10 V, known to a tenth: 0 V lies ten standard deviations off, e⁻⁵⁰.
    assert!(open < 1e-6, "{open}");
}
