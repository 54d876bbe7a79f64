//! A control that stands elsewhere than is said. Readings are by hand, from Ohm's law.

use diagnose::{suspects, Fault, SuspectOptions};

use super::jobs::{holds, job};

const METERS: &str = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";

/// 40 V across 10 kΩ, the track and 2.2 kΩ.
const BIAS: &str = "ground chassis\nPS1: 40V 2%, plus=chassis, minus=neg\nR1: 10k 5%, neg to top\n\
    R2: pot 10k 10% at 30%, cw=top, wiper=bias, ccw=low\nR3: 2.2k 5%, low to chassis\n";
const ITS_MANUAL: &str = "point,at,value\n1,neg,-40.0\n2,top,-22.0\n3,bias,-9.4\n4,low,-4.0\n";

/// What the points show with the wiper at this share of the track: 40 V over 22.2 kΩ, of which the wiper has 2.2 kΩ
/// and its share of 10 kΩ below it. A meter of 10 MΩ takes a thousandth off at most.
fn readings(at: f64) -> String {
    let volts = |ohms: f64| -40.0 * ohms / 22.2e3;
    format!(
        "point,reading\n1,-40.0\n2,{:.2}\n3,{:.2}\n4,{:.2}\n",
        volts(12.2e3),
        volts(2.2e3 + at * 10e3),
        volts(2.2e3)
    )
}

#[test]
fn a_control_a_little_off_is_nothing_wrong() {
    for at in [0.27, 0.33] {
        let job = job(METERS, BIAS, ITS_MANUAL, &readings(at));
        let found = suspects(&job, &SuspectOptions::default()).unwrap();
        let first = found.hypotheses[0].members[0].faults[0].0;
        assert_eq!(first.name(), "nothing wrong", "{at}");
    }
}

#[test]
fn a_control_that_was_turned_leads_with_its_position() {
    for (at, fault) in [(0.1, Fault::SetLower), (0.75, Fault::SetHigher)] {
        let job = job(METERS, BIAS, ITS_MANUAL, &readings(at));
        let found = suspects(&job, &SuspectOptions::default()).unwrap();
        let first = &found.hypotheses[0];
        assert!(holds(&job, first, "R2", fault), "{at}: {first:?}");
        assert!(first.probability > 0.9, "{at}: {first:?}");
        let size = first.members[0].faults[0].1.unwrap();
        // The reading leaves the position open by 1 % of the track, the parts beside it by another.
        assert!((size.to - at).abs() < 0.02, "{at}: {size:?}");
    }
}

/// With the wiper on the clockwise end a lower position and a track of fewer ohms are the same resistance.
#[test]
fn a_rheostat_that_was_turned_reads_as_a_track_of_other_ohms() {
    let netlist =
        "ground chassis\nPS1: 100V 2%, plus=rail, minus=chassis\nR1: 10k 5%, rail to mid\n\
        R2: pot 20k 10% at 50%, cw=mid, wiper=mid, ccw=chassis\n";
    // 5 kΩ in place of 10 kΩ: 100 V · 5/15.
    let read = "point,reading\n1,100.0\n2,33.3\n";
    let job = job(
        METERS,
        netlist,
        "point,at,value\n1,rail,100.0\n2,mid,50.0\n",
        read,
    );
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let with = |fault| {
        let mut all = found.hypotheses.iter();
        all.position(|one| holds(&job, one, "R2", fault))
    };
    assert_eq!(with(Fault::SetLower), with(Fault::DriftedLow));
    assert!(with(Fault::SetLower).is_some());
}

/// An end is felt by the hand, and its lead is soldered to it.
#[test]
fn a_control_at_its_end_is_not_set_elsewhere() {
    let netlist = BIAS.replace("at 30%", "at 0%");
    let manual = "point,at,value\n1,neg,-40.0\n2,top,-22.0\n3,bias,-4.0\n";
    let job = job(METERS, &netlist, manual, "point,reading\n3,-6.0\n");
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let turned = |fault| {
        found
            .hypotheses
            .iter()
            .any(|one| holds(&job, one, "R2", fault))
    };
    assert!(!turned(Fault::SetHigher) && !turned(Fault::SetLower));
}
