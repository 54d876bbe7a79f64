//! The manual's set is another one than that on the bench.

use circuit::{Conditions, Job};
use diagnose::{suspects, with_fault, Fault, Hypothesis, SuspectOptions, Suspects};
use solver::solve;

use super::jobs::{holds, job};

fn ranked(job: &Job) -> Suspects {
    suspects(job, &SuspectOptions::default()).unwrap()
}

/// A feed of 1 MΩ ± 20 % with next to nothing behind it, read for the manual with 1 MΩ across it:
/// the printed 44.0 V are those of a feed a quarter above its value, inside the tolerance.
#[test]
fn a_tolerance_of_the_manuals_set_condemns_nothing_on_the_bench() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\nreference = \"g\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground g\nBT1: 100V 1%, plus=feed, minus=g\nR1: 1M 20%, feed to tap\n\
                   R2: 100M 1%, tap to g\n";
    let manual = "point,at,value,range\ntap,tap,44.0,50V\nfeed,feed,100,250V\n";
    // 100 V through 1 MΩ into 100 MΩ and 10 MΩ side by side: 90.09 V, as drawn.
    let readings = "point,reading,range\ntap,90.0,200V\nfeed,100.0,200V\n";
    let job = job(settings, netlist, manual, readings);
    let found = ranked(&job);
    let first = &found.hypotheses[0];
    assert_eq!(first.members[0].faults[0].0, Hypothesis::NothingWrong);
    assert!(first.probability > 0.5, "{}", first.probability);
}

/// A long-tailed pair whose common bias resistor is shorted: the grids conduct, and even a meter of
/// 10 MΩ pulls them down along a curve.
const PAIR: &str = "ground g\nPS1: 300V source=100R, plus=b, minus=g\nR1: 22k, b to pa\n\
    R2: 22k, b to pb\nR3: 820R, k to t\nR4: 12k, t to g\nR5: 1M, ga to t\nR6: 1M, gb to t\n\
    V1A: 6SN7, plate=pa, grid=ga, cathode=k\nV1B: 6SN7, plate=pb, grid=gb, cathode=k\n";

#[test]
fn a_conducting_grid_under_a_meter_is_followed_along_its_curve() {
    let settings = "[as-documented]\nmeter = \"10M\"\nreference = \"g\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let manual = "point,at,value,range\nga,ga,54.8,1000V\nt,t,72.3,1000V\nk,k,77.3,1000V\n";
    let blank = job(settings, PAIR, manual, "point,reading\nt,1\n");
    let conditions = Conditions::default();
    let short = Hypothesis::Part {
        part: blank.circuit.part_named("R3").unwrap(),
        fault: Fault::Shorted,
    };
    let faulty = with_fault(&blank.circuit, &conditions, &short, 1.0);
    let solution = solve(&faulty.circuit, &faulty.conditions).unwrap();
    let read = |entry: usize| {
        let port = blank.manual[entry].port.unwrap();
        solution.port_reading(port, 1e-7).volts
    };
    let readings = format!(
        "point,reading,range\nga,{:.1},200V\nt,{:.1},200V\nk,{:.1},200V\n",
        read(0),
        read(1),
        read(2)
    );
    let job = job(settings, PAIR, manual, &readings);
    let found = ranked(&job);
    let mut members = found.hypotheses.iter().flat_map(|suspect| &suspect.members);
    let own = members.find(|member| member.faults[0].0 == short).unwrap();
    // Three readings within some tenths of a volt of what the fault shows, each spread by a few
    // volts: −½ ln |S| − 1.5 ln 2π is some −8, and χ² takes a few more.
    assert!(own.log_likelihood > -25.0, "{}", own.log_likelihood);
    let among = found.hypotheses.iter().take(3);
    assert!(among
        .into_iter()
        .any(|one| holds(&job, one, "R3", Fault::Shorted)));
}

/// 100 V through two equal resistors; the tap is read too low by a resistor that has risen.
fn tap(readings: &str) -> Suspects {
    let settings = "[as-documented]\nmeter = \"10M\"\nreference = \"g\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground g\nPS1: 100V 2%, plus=in, minus=g\nR1: 10k 5%, in to tap\n\
                   R2: 10k 5%, tap to g\n";
    let manual = "point,at,value\nin,in,100\ntap,tap,50\n";
    ranked(&job(settings, netlist, manual, readings))
}

#[test]
fn a_reading_taken_again_confirms_itself() {
    let wrong = |found: &Suspects| -> f64 {
        let all = found.hypotheses.iter();
        let slips = all.filter(|one| one.members[0].faults[0].0.reading().is_some());
        slips.map(|one| one.probability).sum()
    };
    let once = tap("point,reading,range\nin,100.1,200V\ntap,42.0,200V\n");
    let twice = tap("point,reading,range\nin,100.1,200V\ntap,42.0,200V\ntap,42.1,200V\n");
    assert_eq!((once.readings.len(), twice.readings.len()), (2, 3));
    // Two slips that agree are a hundred times less likely than one.
    assert!(
        wrong(&twice) < 0.3 * wrong(&once),
        "{} {}",
        wrong(&once),
        wrong(&twice)
    );
}

#[test]
fn a_reading_after_a_repair_replaces_the_one_before() {
    let found = tap("point,reading,range\nin,100.1,200V\ntap,42.0,200V\ntap,50.1,200V\n");
    assert_eq!(found.readings.len(), 2);
    assert_eq!(found.unused.len(), 1);
}

#[test]
fn a_point_that_fails_beyond_doubt_is_not_in_order() {
    let found = tap("point,reading,range\nin,100.1,200V\ntap,37.0,200V\n");
    let first = &found.hypotheses[0].members[0];
    assert_ne!(first.faults[0].0, Hypothesis::NothingWrong);
}

/// 10 V through 9 MΩ and 1 MΩ. The manual's meter has 5 kΩ at the tap and leaves 6 mV of it, printed as 0.
fn tap_that_the_manual_did_not_see(tap: &str) -> Suspects {
    let settings = "[as-documented]\nmeter = \"1k/V\"\nreference = \"g\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    let netlist = "ground g\nBT1: 10V 1%, plus=in, minus=g\nR1: 9M 10%, in to tap\n\
                   R2: 1M 10%, tap to g\n";
    let manual = "point,at,value,range\nin,in,10.0,25V\ntap,tap,0,5V\n";
    let readings = format!("point,reading\nin,10.02\ntap,{tap}\n");
    ranked(&job(settings, netlist, manual, &readings))
}

/// By the divider's rule a healthy tap shows 1.00 V behind 0.90 MΩ, which is 0.917 V on 10 MΩ; with both
/// resistors at opposite ends of their tolerances and the battery at its own, 0.76 to 1.10 V.
#[test]
fn a_value_that_the_manuals_meter_could_not_see_excuses_no_reading() {
    let healthy = tap_that_the_manual_did_not_see("0.930");
    assert_eq!(
        healthy.hypotheses[0].members[0].faults[0].0,
        Hypothesis::NothingWrong
    );
    for tap in ["2.000", "0.300"] {
        let found = tap_that_the_manual_did_not_see(tap);
        let led_by = found.hypotheses[0].members[0].faults[0].0;
        assert_ne!(led_by, Hypothesis::NothingWrong, "{tap} V");
    }
}
