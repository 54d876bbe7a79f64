//! Readings that no circuit shows, whatever is wrong with it: more volts than its sources have, and two
//! values at one place. By Kirchhoff's laws only the reading can be wrong.

use diagnose::{suspects, Hypothesis, SuspectOptions, Suspects};

use super::jobs::job;

/// 200 V through a divider, whose tap the manual has twice: against the chassis, and across R2.
fn divider(readings: &str) -> Suspects {
    let settings =
        "[as-documented]\nmeter = \"20k/V\"\nreference = \"chassis\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground chassis\nPS1: 200V 5% source=20R, plus=top, minus=chassis\n\
                   R1: 400k 10%, top to tap\nR2: 100k 10%, tap to low\n\
                   R3: 10k 10%, low to chassis\n";
    let manual = "point,at,value,range\ntop,top,200,250V\ntap,tap,42,50V\nagain,tap,42,50V\n\
                  low,low,3.8,5V\n";
    let job = job(settings, netlist, manual, readings);
    suspects(&job, &SuspectOptions::default()).unwrap()
}

fn leader(found: &Suspects) -> Hypothesis {
    found.hypotheses[0].members[0].faults[0].0
}

#[test]
fn two_values_at_one_place_are_a_wrong_reading() {
    let found = divider("point,reading\ntop,201\ntap,21.5\nagain,43.0\nlow,3.9\n");
    assert_eq!(leader(&found), Hypothesis::ReadingWrong { reading: 1 });
}

#[test]
fn more_volts_than_the_sources_have_are_a_wrong_reading() {
    // Few readings, so that nothing else speaks against something unknown.
    let found = divider("point,reading\ntop,201\ntap,430\n");
    assert_eq!(leader(&found), Hypothesis::ReadingWrong { reading: 1 });
}

/// What the sources can do, something unknown may do.
#[test]
fn several_readings_off_within_the_sources_may_be_anything() {
    let found = divider("point,reading\ntop,201\ntap,170\nagain,170.2\nlow,150\n");
    assert!(!matches!(leader(&found), Hypothesis::ReadingWrong { .. }));
}

/// Where no direct source is drawn nothing bounds a reading: volts there may come from a source that is not
/// drawn.
#[test]
fn volts_where_no_direct_source_is_drawn_may_be_anything() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\nreference = \"low\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground low\nG1: 5V ac 400Hz source=1k, a to low\nR1: 10k 10%, a to b\n\
                   R2: 10k 10%, b to low\n";
    let manual = "point,at,value,range\n1,a,0.0,10V\n2,b,0.0,10V\n";
    let readings = "point,reading\n1,-7.4\n2,0.0\n";
    let job = job(settings, netlist, manual, readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    assert_eq!(leader(&found), Hypothesis::NoneOfThese);
}

/// A follower off a divider, whose tap and cathode the manual has twice. The readings are those of the
/// campaign's own solver (`make_faults.py 9091`, c01) with 41 mΩ in the place of R3: everything from the tap on is
/// where no volts are put, and the points that are there twice agree. That is one fault, and no unknown one.
#[test]
fn readings_of_one_point_move_together_under_a_fault_too() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"10%\"\n\
                    reference = \"chassis\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground chassis\nPS1: 335V source=330R, plus=raw, minus=chassis\n\
                   L1: 8H 220R, raw to bplus\nC1: 20uF, bplus to chassis\n\
                   R1: 4.7k, bplus to decoupled\nC2: 8uF, decoupled to chassis\n\
                   R2: 470k, bplus to tap\nR3: 220k, tap to chassis\nR4: 2.2M, tap to grid\n\
                   R5: 22k, cath to chassis\nV1A: 12AT7, plate=bplus, grid=grid, cathode=cath\n";
    let manual = "point,at,against,value,range\n1,raw,,340,1000V\n2,bplus,,340,1000V\n\
                  3,decoupled,,340,1000V\n4,tap,,110,250V\n5,cath,,120,250V\n6,R5,,120,250V\n\
                  7,R3,,110,1000V\n";
    let readings = "point,reading\n1,349\n2,349\n3,347\n4,0.00005\n5,7.560\n6,7.560\n\
                    7,0.00005\n";
    let job = job(settings, netlist, manual, readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let at_the_tap = ["R2", "R3"].map(|part| job.circuit.part_named(part).unwrap());
    let Hypothesis::Part { part, .. } = leader(&found) else {
        panic!("{:?}", found.hypotheses[0].members[0].faults);
    };
    assert!(at_the_tap.contains(&part), "{part:?}");
}
