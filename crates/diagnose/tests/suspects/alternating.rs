//! Alternating volts suspect what no direct voltage shows. By hand: 6.3 V of a winding over 10 kΩ and 10 kΩ
//! give 3.15 V; a dead winding gives nothing, an upper resistor of 30 kΩ a quarter, 1.575 V.

use diagnose::{suspects, Fault, SuspectOptions, Suspects};

use super::jobs::job;

const SETTINGS: &str = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
                        reference = \"chassis\"\n[on-the-bench]\nmeter = \"10M\"\n";

const NETLIST: &str = "ground chassis\nPS1: 100V 2% source=1R, plus=b, minus=chassis\n\
                       R1: 10k 5%, b to p\nR2: 10k 5%, p to chassis\n\
                       G1: 6.3V ac 60Hz source=0.1R, h1 to chassis\n\
                       R3: 10k 5%, h1 to h2\nR4: 10k 5%, h2 to chassis\n";

const MANUAL: &str = "point,at,quantity,value\n1,b,,100\n2,p,,48\n3,h2,ac V,3.1\n4,h1,ac V,6.3\n";

fn found(readings: &str) -> Suspects {
    let text = format!("point,reading\n1,99.8\n2,49.9\n{readings}");
    let job = job(SETTINGS, NETLIST, MANUAL, &text);
    suspects(&job, &SuspectOptions::default()).unwrap()
}

fn of(found: &Suspects, part: usize, faults: &[Fault]) -> f64 {
    let members = found.hypotheses.iter().flat_map(|suspect| &suspect.members);
    members
        .filter(|member| {
            let mut each = member.faults.iter();
            each.any(|(own, _)| {
                own.part().is_some_and(|id| id.0 == part)
                    && own.fault().is_some_and(|fault| faults.contains(&fault))
            })
        })
        .map(|member| member.probability)
        .sum()
}

const WINDING: usize = 3;
const UPPER: usize = 4;

#[test]
fn a_dead_winding_is_found() {
    let dead = found("4,0.00\n3,0.00\n");
    assert_eq!(dead.alternating, [2, 3]);
    let share = of(&dead, WINDING, &[Fault::Dead]);
    assert!(share > 0.5, "{share}");
    // Without alternating volts it is no suspect.
    assert!(of(&found(""), WINDING, &[Fault::Dead]) == 0.0);
    let sound = found("4,6.28\n3,3.14\n");
    assert!(of(&sound, WINDING, &[Fault::Dead]) < 1e-4);
}

#[test]
fn a_resistor_that_only_alternating_volts_show() {
    let high = [Fault::DriftedHigh];
    let risen = found("4,6.29\n3,1.57\n");
    let share = of(&risen, UPPER, &high);
    assert!(share > 0.5, "{share}");
    // An open one leaves nothing at the lower end, and all of it at the upper one.
    let open = found("4,6.30\n3,0.00\n");
    let share = of(&open, UPPER, &[Fault::Open, Fault::DriftedHigh]);
    let shorted = of(&open, UPPER + 1, &[Fault::Shorted]);
    assert!(share + shorted > 0.8, "{share} {shorted}");
}
