//! A reading of resistance settles what volts cannot. By hand: two bleeders of 10 kΩ hang side by side
//! on a supply that nothing moves, so that no volts tell whether one of them is open; with the power
//! off both read 5 kΩ, one alone 10 kΩ.

use diagnose::{suspects, Fault, SuspectOptions, Suspects};

use crate::jobs::job;

const SETTINGS: &str = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
                        reference = \"chassis\"\n[on-the-bench]\nmeter = \"10M\"\n";

const NETLIST: &str = "ground chassis\nPS1: 100V 2% source=1R, plus=b, minus=chassis\n\
                       R1: 10k 5%, b to chassis\nR2: 10k 5%, b to chassis\n\
                       R3: 100k 5%, b to out\nR4: 100k 5%, out to chassis\n";

const MANUAL: &str = "point,at,quantity,value\n1,b,,100\n2,out,,44\n3,b,ohm,4.9k\n";

fn found(readings: &str) -> Suspects {
    let job = job(SETTINGS, NETLIST, MANUAL, readings);
    suspects(&job, &SuspectOptions::default()).unwrap()
}

/// Probability of a bleeder that is open or has risen.
fn bleeders(found: &Suspects) -> f64 {
    let members = found.hypotheses.iter().flat_map(|suspect| &suspect.members);
    members
        .filter(|member| {
            member.faults.iter().any(|(hypothesis, _)| {
                let bleeder = hypothesis
                    .part
                    .is_some_and(|part| part.0 == 1 || part.0 == 2);
                bleeder && matches!(hypothesis.fault, Fault::Open | Fault::DriftedHigh)
            })
        })
        .map(|member| member.probability)
        .sum()
}

#[test]
fn an_open_bleeder_is_found_by_its_resistance() {
    let volts = "point,reading\n1,99.8\n2,49.7\n";
    let by_volts = found(volts);
    assert!(by_volts.ohms.is_empty() && bleeders(&by_volts) < 0.3);
    // 10 kΩ beside 200 kΩ: 9.52 kΩ.
    let with_ohms = found(&format!("{volts}3,9.52k\n"));
    assert_eq!(with_ohms.ohms, [2]);
    assert!(bleeders(&with_ohms) > 0.95, "{}", bleeders(&with_ohms));
    // And in order: 10 kΩ, 10 kΩ and 200 kΩ side by side, 4.88 kΩ, speaks against it.
    let in_order = found(&format!("{volts}3,4.88k\n"));
    assert!(bleeders(&in_order) < bleeders(&by_volts));
    assert!(bleeders(&in_order) < 0.02, "{}", bleeders(&in_order));
}
