//! Manuals of known meters: what was used is found again.
//!
//! Independently derived: each reading is `V·Rm/(Rm + R)`, worked out here, on the range that a
//! technician ends on coming down from the highest.

use std::fmt::Write;

use super::jobs::job;
use circuit::{meter_by_name, Meter};
use reconcile::{alike, decisive, meter_classes};

/// Series resistances of nine points fed from one supply of 250 V, and one read at the supply.
const OHMS: [f64; 10] = [
    0.0, 47e3, 100e3, 220e3, 330e3, 470e3, 680e3, 1e6, 2.2e6, 4.7e6,
];

fn netlist() -> String {
    let mut text = "ground gnd\nPS1: 250V 2%, plus=p0, minus=gnd\n".to_owned();
    for (k, ohms) in OHMS.iter().enumerate().skip(1) {
        writeln!(
            text,
            "R{k}: {ohms} 5%, p0 to p{k}\nC{k}: 1nF leak=50G, p{k} to gnd"
        )
        .unwrap();
    }
    text
}

/// What a meter shows behind a resistance, coming down from its highest range.
fn shown(meter: &Meter, ohms: f64) -> f64 {
    let on = |range| {
        let input = meter.input_ohms(range);
        250.0 * input / (input + ohms)
    };
    let mut volts = on(*meter.ranges.last().unwrap());
    for range in meter.ranges.iter().rev().skip(1) {
        if range.holds(volts) {
            volts = on(*range);
        }
    }
    volts
}

fn manual(meter: &Meter) -> String {
    let mut text = "point,at,value\n".to_owned();
    for (k, ohms) in OHMS.iter().enumerate() {
        // Three figures, as manuals print.
        let volts = shown(meter, *ohms);
        let decimals = if volts >= 100.0 { 0 } else { 1 };
        writeln!(text, "{k},p{k},{volts:.decimals$}").unwrap();
    }
    text
}

#[test]
fn the_meter_of_a_manual_is_found_again() {
    let vary: Vec<usize> = (0..OHMS.len()).collect();
    for name in ["1k/V", "20k/V", "11M", "10M"] {
        let meter = meter_by_name(name).unwrap();
        // Whatever the job believes beforehand is of no weight.
        let job = job(&netlist(), &manual(&meter), "5k/V");
        let inferred = meter_classes(&job, &vary).unwrap();
        let electronic = ["11M", "10M"].contains(&name);
        // All is read on one range, where 50 kΩ/V is 12.5 MΩ: a common error of 3 % is as much as such a
        // load differs from 10 or 11 MΩ by, so there the table need not decide. Other loads are far off.
        let first = &inferred.likelihoods[0];
        assert!(
            first.meter == meter || alike(&first.meter, &meter),
            "{name}: {first:?}"
        );
        let in_question = inferred.likelihoods.iter().filter(|class| {
            let near = class.log_likelihood > first.log_likelihood - 20f64.ln();
            near && class.meter != meter && !alike(&class.meter, &meter)
        });
        let in_question: Vec<&str> = in_question.map(|class| class.meter.name.as_str()).collect();
        let as_much: &[&str] = if electronic { &["50k/V"] } else { &[] };
        assert!(
            in_question.iter().all(|class| as_much.contains(class)),
            "{name}: {in_question:?}"
        );
        let decided = decisive(&inferred.likelihoods);
        assert_eq!(decided.is_some(), in_question.is_empty(), "{name}");
        // 10 and 11 megohm are told apart by no table: both or neither.
        if let Some(decided) = decided {
            assert_eq!(decided.alike.len(), usize::from(electronic), "{name}");
        }
        assert!(inferred.without.is_empty(), "{name}");
    }
}

#[test]
fn points_of_low_resistance_tell_nothing() {
    // Three points behind 1 kΩ: no class loads them by 2 % but the coarsest.
    let netlist = "ground gnd\nPS1: 250V 2%, plus=p0, minus=gnd\nR1: 1k 5%, p0 to p1\n\
                   R2: 1k 5%, p1 to gnd\n";
    let manual = "point,at,value\n1,p0,250\n2,p1,125\n";
    let job = job(netlist, manual, "20k/V");
    let inferred = meter_classes(&job, &[0, 1]).unwrap();
    assert!(decisive(&inferred.likelihoods).is_none());
}
