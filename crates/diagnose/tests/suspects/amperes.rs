//! A reading of a current is weighed together with the volts. By hand: two bleeders of 10 kΩ on 100 V take
//! 10 mA each, whatever the other does.

use diagnose::{suspects, AmbiguityGroup, Fault, Hypothesis, SuspectOptions, Suspects};

use super::jobs::job;

const SETTINGS: &str = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
                        reference = \"chassis\"\n[on-the-bench]\nmeter = \"10M\"\n";

const BLEEDERS: &str = "ground chassis\nPS1: 100V 2% source=1R, plus=b, minus=chassis\n\
                        R1: 10k 5%, b to chassis\nR2: 10k 5%, b to chassis\n\
                        R3: 100k 5%, b to out\nR4: 100k 5%, out to chassis\n";

const MANUAL: &str = "point,at,quantity,value\n1,b,,100\n2,out,,44\n3,R1,dc mA,10\n";

fn found(netlist: &str, manual: &str, readings: &str) -> Suspects {
    let job = job(SETTINGS, netlist, manual, readings);
    suspects(&job, &SuspectOptions::default()).unwrap()
}

fn of(found: &Suspects, wanted: impl Fn(usize, Fault) -> bool) -> f64 {
    let members = found.hypotheses.iter().flat_map(|suspect| &suspect.members);
    members
        .filter(|member| {
            let mut faults = member.faults.iter();
            faults.any(|(own, _)| match (own.part(), own.fault()) {
                (Some(part), Some(fault)) => wanted(part.0, fault),
                _ => false,
            })
        })
        .map(|member| member.probability)
        .sum()
}

#[test]
fn a_current_tells_which_of_two_bleeders_has_risen() {
    let volts = "point,reading\n1,99.8\n2,49.7\n";
    let r1 = |part: usize, _| part == 1;
    let by_volts = found(BLEEDERS, MANUAL, volts);
    assert!(of(&by_volts, r1) < 0.2, "{}", of(&by_volts, r1));
    // 15 kΩ takes 6.65 mA.
    let risen = found(BLEEDERS, MANUAL, &format!("{volts}3,6.65\n"));
    assert_eq!(risen.readings.len(), 3);
    assert!(risen.unused.is_empty());
    let high = of(&risen, |part, fault| {
        part == 1 && fault == Fault::DriftedHigh
    });
    assert!(high > 0.9, "{high}");
    // No current at all: the part is open.
    let open = found(BLEEDERS, MANUAL, &format!("{volts}3,0.00\n"));
    let broken = of(&open, |part, fault| part == 1 && fault == Fault::Open);
    let also_high = of(&open, |part, fault| {
        part == 1 && fault == Fault::DriftedHigh
    });
    assert!(broken + also_high > 0.9, "{broken} {also_high}");
    // In order the current clears it.
    let in_order = found(BLEEDERS, MANUAL, &format!("{volts}3,9.97\n"));
    assert!(of(&in_order, r1) < of(&by_volts, r1));
}

#[test]
fn predictions_of_currents_are_in_amperes() {
    let risen = found(BLEEDERS, MANUAL, "point,reading\n1,99.8\n3,6.65\n");
    let first: &AmbiguityGroup = &risen.hypotheses[0];
    let place = risen.readings.iter().position(|used| used.reading == 1);
    let place = place.unwrap();
    // Three digits of the reading.
    assert!((risen.readings[place].shown.unwrap() - 6.65e-3).abs() < 1e-9);
    assert!((first.predicted[place] - 6.65e-3).abs() < 3.0 * first.sigma[place]);
    assert!(first.sigma[place] < 0.5e-3, "{}", first.sigma[place]);
}

#[test]
fn one_cause_that_moves_volts_and_current_counts_once() {
    // 5 kΩ ±10 % from 100 V into 5 kΩ of ±0.1 %: the current is the volts over 5 kΩ, whatever the
    // upper resistor is. A set whose volts lie 1.5 standard deviations off is no less likely for a
    // current that says the same once more.
    let netlist = "ground chassis\nPS1: 100V 0.1% source=1R, plus=b, minus=chassis\n\
                   R1: 5k 10%, b to out\nR2: 5k 0.1%, out to chassis\n";
    let manual = "point,at,quantity,value\n1,out,,50\n2,b,,100\n3,R2,dc mA,10\n";
    let in_order = |found: &Suspects| {
        let all = found.hypotheses.iter();
        let own = all.filter(|one| {
            let mut members = one.members.iter();
            members.any(|m| m.faults[0].0 == Hypothesis::NothingWrong)
        });
        own.map(|one| one.chi_squared).next().unwrap()
    };
    let volts = "point,reading\n1,48.0\n2,100.0\n";
    let one = in_order(&found(netlist, manual, volts));
    let both = in_order(&found(netlist, manual, &format!("{volts}3,9.60\n")));
    assert!(one > 0.5, "{one}");
    // Each by itself would make it twice as large.
    assert!(both < 1.5 * one, "{one} {both}");
}
