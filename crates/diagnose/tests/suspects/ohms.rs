//! A reading of resistance settles what volts cannot. By hand: two bleeders of 10 kΩ hang side by side
//! on a supply that nothing moves, so that no volts tell whether one of them is open; with the power
//! off both read 5 kΩ, one alone 10 kΩ.

use diagnose::{suspects, Fault, SuspectOptions, Suspects};

use super::jobs::job;

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
                    .part()
                    .is_some_and(|part| part.0 == 1 || part.0 == 2);
                bleeder && matches!(hypothesis.fault(), Some(Fault::Open | Fault::DriftedHigh))
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

#[test]
fn an_ohmmeter_is_named_with_what_each_fault_would_show() {
    // The supply of 1 kΩ gives 83.0 V to both bleeders and the divider; 90.5 V if one is open, or if
    // it has risen to 109 V itself. With the power off both in order read 10 kΩ ∥ 10 kΩ ∥ 200 kΩ = 4.878 kΩ,
    // one alone 10 kΩ ∥ 200 kΩ = 9.524 kΩ, whichever has gone: that tells supply from bleeder, but not
    // one bleeder from the other.
    let netlist = NETLIST.replace("source=1R", "source=1k");
    let manual = "point,at,quantity,value\n1,b,,83\n2,out,,37\n";
    let job = job(
        SETTINGS,
        &netlist,
        manual,
        "point,reading\n1,90.5\n2,45.0\n",
    );
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let next = found.next_ohms.first().unwrap();
    let told = |part: usize, faults: &[Fault]| {
        let own = next.predictions.iter().find(|one| {
            let member = &found.hypotheses[one.suspect].members[one.member];
            let mut each = member.faults.iter();
            each.any(|(own, _)| {
                own.part().is_some_and(|id| id.0 == part)
                    && own.fault().is_some_and(|fault| faults.contains(&fault))
            })
        });
        own.map(|one| one.ohms)
    };
    let one_left = 1e3 * 10.0 * 200.0 / 210.0;
    let both = 1e3 * 5.0 * 200.0 / 205.0;
    for bleeder in [1, 2] {
        // The broken connection of 1 GΩ takes 10 ppm of it.
        let ohms = told(bleeder, &[Fault::Open]).unwrap();
        assert!((ohms / one_left - 1.0).abs() < 2e-5, "{ohms}");
    }
    let supply = told(0, &[Fault::VoltsHigh]).unwrap();
    assert!((supply / both - 1.0).abs() < 1e-6, "{supply}");
    assert!(next.gain_bits > 0.1, "{}", next.gain_bits);
    // What was read is not named again.
    let manual = format!("{manual}3,b,ohm,4.9k\n");
    let readings = "point,reading\n1,90.5\n2,45.0\n3,9.5k\n";
    let job = super::jobs::job(SETTINGS, &netlist, &manual, readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let again = found.next_ohms.iter().find(|one| one.port == next.port);
    assert!(again.is_none(), "{again:?}");
}
