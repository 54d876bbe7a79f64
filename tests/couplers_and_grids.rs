//! A cathode follower with a large coupler, a grid that nothing holds, limits on both sides of zero.
//! What the manual and the bench read is of a nodal analysis outside the program, with device laws of its own.

use crate::support::{fairvolt, json, practice, said, Scratch};

/// What leads the ranking, and the probability of all faults of a part.
fn ranked(job: &Scratch, readings: &str, part: &str) -> (String, f64) {
    let file = job.write("readings.csv", readings);
    let run = fairvolt(&["suspects", &job.path(), "-r", &file, "--format", "json"]);
    let found = json(&run);
    let groups = found["hypotheses"].as_array().unwrap();
    let own = groups.iter().filter(|one| one["part"] == part);
    let sum = own.map(|one| one["probability"].as_f64().unwrap()).sum();
    (groups[0]["words"].as_str().unwrap().to_owned(), sum)
}

fn follower(coupler: &str) -> Scratch {
    let netlist = format!(
        "ground c\nPS1: 250V source=1k, plus=b, minus=c\nR1: 470k 10%, b to g\nR2: 470k 10%, g to c\n\
         V1A: 12AU7, plate=b, grid=g, cathode=k\nR3: 47k 10%, k to c\nC1: {coupler}, k to out\n\
         R4: 220k 10%, out to c\nR5: 470k 10%, out to g2\nV1B: 12AU7, plate=p2, grid=g2, cathode=k2\n\
         R6: 1.2k 10%, k2 to c\nR7: 47k 10%, b to p2\n"
    );
    let manual = "point,at,value,range\nb,b,236,300V\nk,k,123,300V\nout,out,0,3V\np2,p2,105,300V\n\
                  k2,k2,3.07,10V\ng2,g2,0,3V\n";
    practice("1k/V", &netlist, manual)
}

/// A coupler of 1 µF for 400 V is no electrolytic. It was taken to leak 25 µA when sound, so that a set in order was
/// accused of a shorted grid resistor; and a leak of 2 MΩ was none that it could have. Of an electrolytic one it is fifty
/// times what a sound one lets through, 100 s by its capacitance.
#[test]
fn a_large_coupler_of_paper_is_not_taken_for_an_electrolytic() {
    let sound = "point,reading\nb,253\nk,134.9\nout,-0.0000\np2,117.2\nk2,3.50\ng2,-0.0000\n";
    let leaky = "point,reading\nb,252\nk,134.3\nout,10.47\np2,69.8\nk2,4.72\ng2,4.43\n";
    for coupler in ["1uF 400V", "1uF paper", "2uF 200V", "1uF electrolytic"] {
        let job = follower(coupler);
        assert_eq!(ranked(&job, sound, "C1").0, "nothing wrong", "{coupler}");
        let (first, probability) = ranked(&job, leaky, "C1");
        assert!(first.starts_with("C1"), "{first}");
        assert!(probability > 0.9, "{probability}");
    }
}

/// Without a meter such a grid has no volts: it was said to lack 18 kV.
#[test]
fn a_grid_that_only_a_meter_holds_lacks_no_volts() {
    let netlist = "ground c\nPS1: 250V source=1k, plus=b, minus=c\nV1: 6J5, plate=p, grid=g, cathode=k\n\
                   R1: 47k 10%, b to p\nR2: 1k 10%, k to c\nC1: 0.01uF 400V, in to g\nR3: 100k 10%, in to c\n";
    let manual = "point,at,value,range\np,p,120,250V\nk,k,2.6,10V\ng,g,0,2.5V\nb,b,245,250V\n";
    let job = practice("20k/V", netlist, manual);
    let run = fairvolt(&["check", &job.path(), "--format", "json"]);
    let found = json(&run);
    let points = found["points"].as_array().unwrap();
    let lacks = |label: &str| {
        let own = points.iter().find(|own| own["point"] == label);
        own.unwrap()["unexplained"].clone()
    };
    assert!(lacks("g").is_null() && lacks("k").is_number());
    let complained = fairvolt(&["check", &job.path()]).complained();
    assert!(
        complained.contains("reaches the grid of V1"),
        "{complained}"
    );
}

/// Half a volt below zero is between these limits, and so is half a millivolt.
#[test]
fn a_reading_between_limits_of_both_signs_is_not_taken_for_millivolts() {
    let netlist =
        "ground c\nBT1: 9V source=1R, plus=b, minus=c\nR1: 10k 5%, b to x\nR2: 10k 5%, x to c\n\
                   R3: 10k 5%, b to y\nR4: 10k 5%, y to c\n";
    let manual = "point,at,against,value,tolerance\nx,x,,4.5,\nd,x,y,0,±0.2V\n";
    let job = practice("10M", netlist, manual);
    let file = job.write("readings.csv", "point,reading\nx,4.50\nd,-0.845\n");
    let out = said(&fairvolt(&["compare", &job.path(), "-r", &file]).out);
    assert!(out.contains("FAIL (1)"), "{out}");
    assert!(!out.contains("millivolts"), "{out}");
}
