//! Heaters in series: one is open, and the whole string is cold.
//!
//! The readings are what physics says of a cold string, not what the program predicts: a cold tube
//! draws nothing, so its plate is at the plate supply and its cathode and grids at nothing; where the
//! rectifier is in the string too, there is no plate supply, and everything is at nothing.

use circuit::{Conditions, Job};
use diagnose::{
    candidates, suspects, with_fault, AgeFactors, Fault, Hazards, Hypothesis, PartStep,
    SuspectOptions,
};
use solver::solve;
use translate::translate;

use super::jobs::{charted, job, sample};

const METERS: &str = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";

/// Two triode stages behind a rectifier that is no tube, so that it stays when the string is cold; a line cord heats
/// them.
const STAGES: &str = "ground common
G1: 117V ac 60Hz off=open, line to common
R20: cord 300R, line to h
C9: 0.05uF, h to common
PS1: 130V source=100R, plus=bplus, minus=common
V1: 12SQ7, 2=g1, 3=common, 6=p1, 7=h
R1: 220k, bplus to p1
R2: 10M, g1 to common
V2: 12SJ7, 3=common, 4=g2, 5=common, 6=s2, 8=p2
R3: 220k, bplus to p2
R4: 1M, bplus to s2
R5: 10M, g2 to common
";
const THEIR_MANUAL: &str =
    "point,at,quantity,value\n1,p1,,60\n2,p2,,60\n3,bplus,,130\n4,h,ac V,25\n";
const STRING: &str = "heaters in series: R20 V1 V2\n";

fn stages(statement: &str, readings: &str) -> Job {
    job(
        METERS,
        &format!("{STAGES}{statement}"),
        THEIR_MANUAL,
        readings,
    )
}

fn of_string(job: &Job) -> Hypothesis {
    let all = candidates(&job.circuit, &AgeFactors::default());
    let mut open = all
        .iter()
        .filter(|one| one.hypothesis.open_heater_of(&job.circuit).is_some());
    let found = open.next().expect("one hypothesis a string");
    assert!(open.next().is_none());
    found.hypothesis
}

#[test]
fn a_set_without_any_volts_has_an_open_heater_in_its_string() {
    let job = charted("signal-shed-set", "readings-open-heater.csv");
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let first = &found.hypotheses[0];
    assert_eq!(first.members[0].faults[0].0, of_string(&job));
    // A supply that gives nothing leaves the tubes warm, and warm tubes bias their grids by some tenths
    // of a volt, which the readings lack.
    assert!(first.probability > 0.9, "{}", first.probability);
    assert!(first.unexplained.is_empty(), "{:?}", first.unexplained);
    // No single tube's swap mends a string.
    let is_swap = |step: PartStep| matches!(step, PartStep::Swap(_) | PartStep::Exchange(..));
    assert!(found.next_parts.iter().all(|next| !is_swap(next.step)));
}

#[test]
fn with_another_rectifier_the_plates_of_a_cold_string_are_at_the_supply() {
    // 130 V at both plates, for 220 kΩ carry no current but the meter's: 130 V · 10/10.22 = 127.2 V.
    let cold = stages(STRING, "point,reading\n1,127.2\n2,127.2\n3,130.0\n");
    let found = suspects(&cold, &SuspectOptions::default()).unwrap();
    let first = &found.hypotheses[0];
    assert_eq!(first.members[0].faults[0].0, of_string(&cold));
    // The cord's resistor reads the same.
    let cord = Hypothesis::Part {
        part: cold.circuit.part_named("R20").unwrap(),
        fault: Fault::Open,
    };
    let mut members = first.members.iter();
    assert!(members.any(|member| member.faults[0].0 == cord));
    // Without the statement nothing but two faults at once explains two dead tubes.
    let unsaid = stages("", "point,reading\n1,127.2\n2,127.2\n3,130.0\n");
    let found = suspects(&unsaid, &SuspectOptions::default()).unwrap();
    let leader = found.hypotheses[0].members[0].faults[0].0;
    assert!(leader.part().is_none(), "{leader:?}");
}

/// Each tube has 38 · 0.10 for its heater; products and sums of two digits.
#[test]
fn a_string_is_open_as_often_as_all_its_heaters_together() {
    for (job, tubes) in [
        (stages(STRING, "point,reading\n"), 2.0),
        (sample("signal-shed-set"), 5.0),
    ] {
        let all = candidates(&job.circuit, &AgeFactors::default());
        let open: Vec<_> = all
            .iter()
            .filter(|one| one.hypothesis.fault() == Some(Fault::HeaterOpen))
            .collect();
        let [one] = open[..] else {
            panic!("{} open heaters", open.len());
        };
        assert!((one.weight - 3.8 * tubes).abs() < 1e-9, "{}", one.weight);
        let string = one.hypothesis.open_heater_of(&job.circuit).unwrap();
        for id in string.sections() {
            assert!(one.hypothesis.is_about(&job.circuit, id));
        }
    }
}

/// Nothing feeds an oscillator without a supply or without emission, so its grid has no volts of its
/// own: what a warm grid takes by itself is below a volt, and runs at ten and more.
#[test]
fn no_oscillator_runs_without_a_supply() {
    let job = sample("signal-shed-set");
    let conditions = Conditions::default();
    let osc = job.circuit.node("osc").unwrap();
    let running = solve(&job.circuit, &conditions).unwrap().node_volts(osc);
    assert!(running < -5.0, "{running}");
    let part = |name: &str| job.circuit.part_named(name).unwrap();
    let of = |name: &str, fault: Fault| Hypothesis::Part {
        part: part(name),
        fault,
    };
    let stops = [
        of_string(&job),
        of("PS1", Fault::Dead),
        of("C1A", Fault::Shorted),
        of("C1B", Fault::Shorted),
        of("R1", Fault::Open),
        of("V1", Fault::NoEmission),
    ];
    for fault in stops {
        let faulty = with_fault(&job.circuit, &conditions, &fault, 1.0);
        let volts = solve(&faulty.circuit, &faulty.conditions).unwrap();
        let volts = volts.node_volts(osc);
        assert!(volts.abs() < 1.0, "{fault:?}: {volts}");
    }
    // What leaves it its supply leaves it running.
    for fault in [of("V2", Fault::NoEmission), of("R7", Fault::Open)] {
        let faulty = with_fault(&job.circuit, &conditions, &fault, 1.0);
        let volts = solve(&faulty.circuit, &faulty.conditions).unwrap();
        assert!(volts.node_volts(osc) < -5.0, "{fault:?}");
    }
}

/// A tube with an anode for its oscillator runs on that, whatever its screen has.
#[test]
fn an_oscillator_with_an_anode_of_its_own_runs_on_it() {
    let converter = "ground c\nPS1: 250V source=100R, plus=b, minus=c\nR1: 22k, b to screen\n\
        C1: 0.1uF, screen to c\nR2: 22k, b to osca\nR3: 47k, osc to k\nR4: 220R, k to c\nR5: 1M, sig to c\n\
        R6: 1k, b to plate\nR7: 100k, osca to c\nV1: 6A8, 3=plate, 4=screen, 5=osc, 6=osca, 8=k, cap=sig\n";
    let manual = "point,at,value\n1,b,250\n";
    let job = job(METERS, converter, manual, "point,reading\n1,250\n");
    let conditions = Conditions::default();
    let across = |fault: Option<(&str, Fault)>| {
        let circuit = match fault {
            Some((name, fault)) => {
                let part = job.circuit.part_named(name).unwrap();
                with_fault(
                    &job.circuit,
                    &conditions,
                    &Hypothesis::Part { part, fault },
                    1.0,
                )
                .circuit
            }
            None => job.circuit.clone(),
        };
        let solved = solve(&circuit, &conditions).unwrap();
        let [grid, cathode] = ["osc", "k"].map(|name| circuit.node(name).unwrap());
        solved.node_volts(grid) - solved.node_volts(cathode)
    };
    let running = across(None);
    assert!(running < -5.0, "{running}");
    for kept in [("R1", Fault::Open), ("C1", Fault::Shorted)] {
        let volts = across(Some(kept));
        assert!(volts < -5.0, "{kept:?}: {volts}");
    }
    for stopped in [
        ("R2", Fault::Open),
        ("PS1", Fault::Dead),
        ("R7", Fault::Shorted),
    ] {
        let volts = across(Some(stopped));
        assert!(volts.abs() < 1.0, "{stopped:?}: {volts}");
    }
}

#[test]
fn the_statement_lowers_no_mark_and_a_drawn_heater_pin_reaches_the_line() {
    let marks = |job: &Job| {
        let hazards = Hazards::of(&translate(job).unwrap());
        let marks = job.row_ids().map(|id| hazards.at(id));
        marks.collect::<Vec<_>>()
    };
    // The sample's own statement is all that its copy lacks.
    let folder = concat!(
        env!("CARGO_MANIFEST_DIR"),
        "/../../sample-data/signal-shed-set/"
    );
    let text = |name: &str| std::fs::read_to_string(format!("{folder}{name}")).unwrap();
    let netlist = text("circuit.netlist");
    let without: String = netlist
        .lines()
        .filter(|line| !line.starts_with("heaters in series"))
        .map(|line| format!("{line}\n"))
        .collect();
    assert!(without.len() < netlist.len());
    let places = [
        "raw", "bplus", "plate1", "osc", "cath1", "plate2", "grid2", "plate3", "grid4", "cath4",
    ];
    let rows = places.map(|place| format!("{place},{place},1\n")).concat();
    let manual = format!("point,at,value\n{rows}");
    let of = |netlist: &str| job(&text("job.toml"), netlist, &manual, "point,reading\n");
    let (with, without) = (marks(&of(&netlist)), marks(&of(&without)));
    assert_eq!(with.len(), without.len());
    for (with, without) in with.iter().zip(&without) {
        assert!(with.volts >= without.volts && with.danger >= without.danger);
    }
    // A pilot lamp's node on a heater, with neither a generator nor a cord drawn: 117 V of line and a tenth.
    let lit = "ground common\nPS1: 130V source=100R, plus=bplus, minus=common\n\
        V1: 12SQ7, 2=g1, 3=common, 6=p1, 7=h\nR1: 220k, bplus to p1\nR2: 10M, g1 to common\n\
        DS1: lamp 6.3V 150mA, h to common\nV2: 12SJ7, 3=common, 4=g2, 5=common, 6=bplus, 8=bplus\n\
        R5: 10M, g2 to common\n";
    let line =
        "[as-documented]\nmeter = \"10M\"\nline = \"117V\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,quantity,value\n1,h,ac V,6.3\n2,p1,,60\n";
    let at_heater = |statement: &str| {
        let job = job(
            line,
            &format!("{lit}{statement}"),
            manual,
            "point,reading\n",
        );
        marks(&job)[0].volts
    };
    let got = at_heater("heaters in series: V1 V2\n");
    assert!((got - 1.1 * 117.0).abs() < 1e-9, "{got}");
    assert!(at_heater("") < 20.0);
}
