//! One changed conductance by formula against the circuit solved anew.

use circuit::{Alteration, Circuit, Conditions, PartKind, Port};
use diagnose::{suspects, Fault, SuspectOptions};
use solver::{solve, Altered, PortReading};

use super::jobs::{holds, job};

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

fn ohms(circuit: &Circuit, designator: &str) -> f64 {
    let id = circuit.part_named(designator).unwrap();
    match &circuit.part(id).kind {
        PartKind::Resistor(resistor) => resistor.ohms,
        _ => panic!("{designator} is no resistor"),
    }
}

fn with(circuit: &Circuit, designator: &str, ohms: f64) -> Alteration {
    let mut alteration = Alteration::none(&Conditions::default());
    let id = circuit.part_named(designator).unwrap();
    if let PartKind::Resistor(own) = &mut alteration.part_mut(circuit, id).kind {
        own.ohms = ohms;
    }
    alteration
}

/// Volts and ohms that a meter of no load sees.
fn open(altered: &Altered<'_>, port: Port) -> PortReading {
    altered.port_reading(port, 0.0).unwrap()
}

#[test]
fn a_resistor_open_gives_the_published_figures() {
    let circuit = ladder();
    let conditions = Conditions::default();
    let solution = solve(&circuit, &conditions).unwrap();
    let base = solution.alterable(&circuit, &conditions);
    // So many ohms that the sixth decimal does not see them.
    let altered = base.altered(&with(&circuit, "R4", 1e15)).unwrap();
    let want = [205.495111, 197.669862, 195.087530];
    for (port, want) in ports(&circuit).into_iter().zip(want) {
        let got = open(&altered, port).volts;
        // Figures of six decimals.
        assert!((got - want).abs() < 6e-7, "{got} {want}");
    }
}

#[test]
fn any_resistor_at_any_value_as_solved_anew() {
    let circuit = ladder();
    let conditions = Conditions::default();
    let solution = solve(&circuit, &conditions).unwrap();
    let base = solution.alterable(&circuit, &conditions);
    for designator in ["R1", "R2", "R3", "R4", "R5", "R6", "R7"] {
        let ohms = ohms(&circuit, designator);
        for factor in [1e-4, 0.3, 1.5, 4.0, 1e3] {
            let alteration = with(&circuit, designator, factor * ohms);
            let altered = base.altered(&alteration).unwrap();
            let anew = solve(&circuit.altered(&alteration), &conditions).unwrap();
            for probe in ports(&circuit) {
                let (got, want) = (open(&altered, probe), anew.port(probe));
                // 1e-9 of the supply, and of the largest resistance here.
                assert!((got.volts - want.open_volts).abs() < 250e-9);
                assert!(
                    (got.ohms - want.ohms).abs() < 1e6 * 1e-9,
                    "{designator} {factor}"
                );
            }
        }
    }
}

/// A block between two resistors is found by what it drops (Schultz, Grob's Basic Electronics, ex.
/// 6-3, p. 197, in a public companion): 10.8 V on 120 Ω make 0.09 A, and 9 V at that are 100 Ω.
#[test]
fn a_resistance_is_found_from_two_readings() {
    // The rest of the loop is left open by the book: 180 Ω make it 36 V. Drawn, the block has 180 Ω.
    let netlist = "ground n0\nPS1: 36V 1%, plus=n1, minus=n0\nR1: 120 1%, n1 to a\n\
                   R2: 180 1%, a to b\nR3: 180 1%, b to n0\n";
    let settings = "[as-documented]\nmeter = \"11M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,against,value\nr1,n1,a,9.00\nblock,a,b,13.5\nrest,b,n0,13.5\n";
    let readings = "point,reading\nr1,10.80\nblock,9.00\nrest,16.20\n";
    let job = job(settings, netlist, manual, readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let first = &found.hypotheses[0].members[0];
    let (hypothesis, size) = first.faults[0];
    assert_eq!(hypothesis.part(), job.circuit.part_named("R2"));
    assert_eq!(hypothesis.fault(), Some(Fault::DriftedLow));
    // Parts and supply of 1 %: the size is known to some 2 %.
    assert!((size.unwrap().to - 100.0).abs() < 3.0, "{size:?}");
}

/// What the manual leaves open of a circuit at work says nothing of one that gets no volts. By the
/// shares of MIL-HDBK-338B a fixed resistor opens ten times as often as it shorts (as transcribed, see
/// docs/method.md), and both readings are what either fault makes of them: no volts beyond R1.
#[test]
fn where_no_volts_arrive_the_open_feed_leads() {
    let settings = "[as-documented]\nmeter = \"1k/V\"\ntolerance = \"10%\"\nreference = \"n0\"\n\
        [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground n0\nPS1: 280V 3%, plus=top, minus=n0\nR1: 100k 10%, top to n1\n\
        R2: 150k 10%, n1 to n0\nR3: 22k 10%, n1 to n2\nR4: 330k 10%, n2 to n0\n";
    let manual = "point,at,value,range\n1,top,280,500V\n2,n1,95,250V\n3,n2,80,250V\n";
    let job = job(
        settings,
        netlist,
        manual,
        "point,reading\n1,279\n2,0.00\n3,0.00\n",
    );
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    assert!(
        holds(&job, &found.hypotheses[0], "R1", Fault::Open),
        "{:?}",
        found.hypotheses[0]
    );
    let shorted = found.hypotheses.iter();
    let shorted = shorted.filter(|one| holds(&job, one, "R2", Fault::Shorted));
    let shorted: f64 = shorted.map(|one| one.probability).sum();
    // Both explain the readings, the shorted one being the rarer fault by far.
    assert!(found.hypotheses[0].probability > 2.0 * shorted, "{shorted}");
}

/// A divider whose feed is open shows nothing, and so does a grid on the line before, but for the millivolts that a
/// coupler leaks into its megohm. Millivolts are not known to the last digit of a fine meter: what both places show is
/// the same, and an open resistor is the commoner accident.
#[test]
fn a_grid_at_zero_is_no_better_known_than_a_dead_place() {
    let settings = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground c\nPS1: 290V 5% source=100R, plus=b, minus=c\nR1: 470k 10%, b to he\n\
        R2: 100k 10%, he to c\nV1: 6C4, plate=b, grid=g, cathode=k\nR3: 1M 10%, g to c\n\
        R4: 1.5k 10%, k to c\nC1: 0.05uF 400V, k to g\n";
    let manual = "point,at,value\nb,b,289\nk,k,12.5\ng,g,0\nhe,he,50.4\n";
    let read = "point,reading\nb,289\nk,12.5\ng,0.0000\nhe,0.0000\n";
    let job = job(settings, netlist, manual, read);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let first = &found.hypotheses[0];
    assert!(holds(&job, first, "R1", Fault::Open), "{first:?}");
}
