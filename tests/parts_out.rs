//! Readings with a lead lifted, a tube pulled or replaced: what the drawing then says, and whom they accuse.
//!
//! Expected volts and ohms are worked out by hand, by Ohm's law for resistors with a meter of 10 MΩ beside them.

use fairvolt::Exit;

use crate::support::{fairvolt, json, practice, said, sample, Scratch};

/// Two equal resistors side by side below one of the same value: 33.3 V, and 50 V if either is open.
const DIVIDER: &str = "ground c\n\
    PS1: 100V 1% source=1R, plus=a, minus=c\n\
    R1: 100k 5%, a to b\n\
    R2: 100k 5%, b to c\n\
    R3: 100k 5%, b to c\n\
    S1: open, b to c\n";

const DIVIDER_MANUAL: &str = "point,at,value,range,setting\n1,a,100,250V,\n2,b,33.2,100V,\n\
                              3,b,,100V,S1=closed\n";

/// A triode at 300 V through 110 kΩ in all.
const STAGE: &str = "ground c\n\
    PS1: 300V 5% source=500R, plus=raw, minus=c\n\
    R1: 10k 10%, raw to b\n\
    R2: 100k 10%, b to p\n\
    V1A: 6SN7, plate=p, grid=g, cathode=k\n\
    R3: 1M 10%, g to c\n\
    R4: 2.2k 10%, k to c\n\
    V1B: 6SN7, plate=b, grid=g, cathode=k2\n\
    R5: 22k 10%, k2 to c\n";

const STAGE_MANUAL: &str =
    "point,at,value,range\n1,raw,299,500V\n2,p,94,250V\n3,k,3.3,10V\n4,g,0,10V\n";

fn leader(job: &Scratch, readings: &str) -> (String, f64) {
    job.write("readings.csv", readings);
    let run = fairvolt(&["suspects", &job.path(), "--format", "json"]);
    let found = json(&run);
    let first = &found["hypotheses"][0];
    let part = first["part"].as_str().unwrap_or("none").to_owned();
    (part, first["probability"].as_f64().unwrap())
}

#[test]
fn the_drawing_says_what_to_expect_with_a_part_out_of_it() {
    let divider = practice("10M", DIVIDER, DIVIDER_MANUAL);
    divider.write(
        "readings.csv",
        "point,reading,at,setting,quantity\nl,49.7,b,R3=lifted,\no,100k,R3,R3=lifted,ohm\n\
         n,66.7k,b,R3=out,ohm\n",
    );
    let run = fairvolt(&["compare", &divider.path(), "--all"]);
    // 100 kΩ beside 10 MΩ are 99.01 kΩ: 100 V · 99.01/199.01 = 49.75 V.
    let told = said(&run.out);
    assert!(
        told.contains("with a lead of R3 lifted; by the drawing 49.7"),
        "{}",
        run.out
    );
    assert!(told.contains("R3 by itself, a lead lifted"), "{}", run.out);
    let document = json(&fairvolt(&["compare", &divider.path(), "--format", "json"]));
    let ohms = &document["quantities"][0];
    assert_eq!(
        (&ohms["at"], &ohms["setting"]),
        (&"R3".into(), &"With R3 by itself, a lead lifted.".into())
    );

    let stage = practice("10M", STAGE, STAGE_MANUAL);
    stage.write(
        "readings.csv",
        "point,reading,at,setting\nx,296,p,V1=pulled\ny,0,k2,V1B=out\n",
    );
    let run = fairvolt(&["compare", &stage.path()]);
    let told = said(&run.out);
    // No current but the meter's: 300 V · 10 MΩ/(10 MΩ + 110.5 kΩ) = 296.7 V, and a volt less by
    // the printed 299. A tube comes out whole.
    assert!(
        told.contains("with V1 out; by the drawing 296 "),
        "{}",
        run.out
    );
    assert!(told.contains("by the drawing 0.00"), "{}", run.out);
}

/// One resistor of a pair, lettered as its schematic has it: no section of a tube.
#[test]
fn a_lettered_part_with_two_ends_is_lifted_by_itself() {
    let netlist = DIVIDER.replace("R2:", "R2A:").replace("R3:", "R2B:");
    let job = practice("10M", &netlist, DIVIDER_MANUAL);
    job.write(
        "readings.csv",
        "point,reading,at,setting\nl,49.7,b,R2B=lifted\n",
    );
    let told = said(&fairvolt(&["compare", &job.path()]).out);
    assert!(
        told.contains("with a lead of R2B lifted; by the drawing 49.7"),
        "{told}"
    );
}

#[test]
fn a_reading_with_a_lead_lifted_tells_two_parts_side_by_side_apart() {
    let job = practice("10M", DIVIDER, DIVIDER_MANUAL);
    let rows = "point,reading,at,setting,quantity\n1,100.0,,,\n2,49.75,,,\n";
    let (_, alone) = leader(&job, rows);
    assert!(alone < 0.97, "R2 and R3 read the same: {alone}");
    // The open one lifted, nothing changes; the sound one lifted, b rises to 100 V · 10/10.1.
    for (more, part) in [
        ("x,49.75,b,R3=lifted,\n", "R3"),
        ("x,99.0,b,R3=lifted,\n", "R2"),
        ("x,99.8k,R3,R3=lifted,ohm\n", "R2"),
        ("x,OL,R3,R3=lifted,ohm\n", "R3"),
    ] {
        let (first, probability) = leader(&job, &format!("{rows}{more}"));
        assert_eq!(first, part, "{more}");
        // Nearly all of the rest is the same part, risen to megohms.
        assert!(probability > 0.6, "{more}: {probability}");
    }
}

#[test]
fn a_reading_with_another_tube_clears_or_convicts_the_first() {
    let job = practice("10M", STAGE, STAGE_MANUAL);
    // By hand: 0.68 mA make 1.50 V at the cathode and 68 V in R2; R1 drops 12 V for both sections. Sound, 1.5 mA.
    let rows = "point,reading,at,setting\n1,299.8,,\n2,220,,\n3,1.50,,\n4,0.00,,\n";
    let (before, probability) = leader(&job, rows);
    assert_eq!(before, "V1A");
    let mended = format!("{rows}x,93,p,V1=replaced\n");
    let (first, convicted) = leader(&job, &mended);
    assert_eq!(first, "V1A");
    assert!(
        convicted > probability - 0.02,
        "{probability} then {convicted}"
    );
    // A second tube that reads the same speaks for the part that both share.
    let (first, probability) = leader(&job, &format!("{rows}x,220,p,V1=replaced\n"));
    assert!(first != "V1A" || probability < 0.5, "{first} {probability}");
}

/// The last words of `suspects`, in one line.
fn next(job: &Scratch, readings: &str) -> String {
    job.write("readings.csv", readings);
    let told = said(&fairvolt(&["suspects", &job.path()]).out);
    let flat: Vec<&str> = told.split_whitespace().collect();
    let flat = flat.join(" ");
    flat.rsplit_once("Next: ").unwrap().1.to_owned()
}

#[test]
fn what_was_lifted_or_swapped_is_mended_and_not_tested_again() {
    let job = practice("10M", DIVIDER, DIVIDER_MANUAL);
    let rows = "point,reading,at,setting,quantity\n1,100.0,,,\n2,49.75,,,\n";
    let told = next(&job, &format!("{rows}x,OL,R3,R3=lifted,ohm\n"));
    assert!(
        told.starts_with(
            "with the power off fit a sound R3 (100 kΩ ± 5 %), then read the points again"
        ),
        "{told}"
    );
    // R3 is cleared, and R2 has not been measured.
    let told = next(&job, &format!("{rows}x,99.8k,R3,R3=lifted,ohm\n"));
    assert!(told.contains("lift one end of R2 and measure it"), "{told}");

    // No current: 300 V at both plates and nothing at the cathode.
    let job = practice("10M", STAGE, STAGE_MANUAL);
    let rows = "point,reading,at,setting\n1,300,,\n2,296,,\n3,0.00,,\n4,0.00,,\n";
    let told = next(&job, rows);
    assert!(told.contains("test V1 or try another 6SN7"), "{told}");
    let told = next(&job, &format!("{rows}x,93,p,V1=replaced\n"));
    assert!(told.starts_with("leave the good 6SN7 in as V1"), "{told}");
    // The set is no longer the one that was read: nothing tells its faults apart any more.
    let out = said(&fairvolt(&["suspects", &job.path()]).out);
    assert!(!out.contains("Where to probe next"), "{out}");
    let told = next(&job, &format!("{rows}x,296,p,V1=replaced\n"));
    assert!(!told.contains("leave the good"), "{told}");
}

/// A second tube reads the same as the first: whatever leads then, nobody is told to try a third.
#[test]
fn a_tube_that_was_replaced_is_not_tried_again() {
    let job = practice("10M", STAGE, STAGE_MANUAL);
    // By hand, 1.85 mA leave 94 V at the plate; 1.75 mA leave 105 V. With 0.64 mA of V1B, 275 V are at b.
    for (plate, cathode) in [("105", "3.1"), ("106", "3.0")] {
        let rows = format!(
            "point,reading,at,setting\n1,299,,\n2,{plate},,\n3,{cathode},,\n4,0.00,,\ny,14.2,k2,\nw,275,b,\n"
        );
        let told = next(&job, &rows);
        assert!(told.contains("test V1 or try another 6SN7"), "{told}");
        let told = next(&job, &format!("{rows}x,{plate},p,V1=replaced\n"));
        assert!(!told.to_lowercase().contains("swap v1"), "{told}");
        assert!(!told.contains("V1 or try"), "{told}");
    }
    // The tube leads all the same, sure or not: readings of another date are of the set with the good one.
    for (plate, cathode) in [("106", "3.0"), ("112", "2.9")] {
        let rows = format!(
            "point,reading,at,setting\n1,299,,\n2,{plate},,\n3,{cathode},,\n4,0.00,,\ny,14.2,k2,\nw,275,b,\n\
             x,{plate},p,V1=replaced\nz,{cathode},k,V1=replaced\n"
        );
        assert_eq!(leader(&job, &rows).0, "V1A");
        let told = next(&job, &rows);
        assert!(told.starts_with("leave the good 6SN7 in as V1"), "{told}");
    }
}

#[test]
fn no_place_is_to_be_read_with_the_part_of_an_earlier_step_out() {
    let netlist = "ground c\nPS1: 280V 4% source=400R, plus=raw, minus=c\nR1: 4.7k 10%, raw to b\n\
                   R2: 200k 10%, b to p1\nR3: 60k 10%, p1 to c\nC1: 0.02uF 400V, p1 to g2\n\
                   R4: 470k 10%, g2 to c\nR5: 100k 10%, b to p2\nV1: 6J5, 3=p2, 5=g2, 8=k2\n\
                   R6: 2.7k 10%, k2 to c\n";
    let manual = "point,at,value,range\n1,b,268,500V\n2,p2,105,250V\n3,k2,4.2,10V\n";
    let job = practice("10M", netlist, manual);
    // Most readings are without the tube; the grid has no row of its own.
    job.write(
        "readings.csv",
        "point,reading,at,setting\n2,50.6,,\n1,266,,\nx,268,p2,V1=out\ny,273,b,V1=out\n\
         z,280,raw,V1=out\n",
    );
    let found = json(&fairvolt(&["suspects", &job.path(), "--format", "json"]));
    let probes = found["next_probe"].as_array().unwrap();
    assert!(
        probes
            .iter()
            .any(|probe| probe["at"].as_str().unwrap().starts_with("g2")),
        "{found}"
    );
    for probe in probes {
        assert_eq!(probe["setting"], "", "{probe}");
    }
}

#[test]
fn a_part_is_to_blame_whichever_of_its_faults_it_has() {
    let job = practice("10M", STAGE, STAGE_MANUAL);
    job.write(
        "readings.csv",
        "point,reading\n1,300\n2,296\n3,0.00\n4,0.00\n",
    );
    let run = fairvolt(&["suspects", &job.path()]);
    let told = said(&run.out);
    assert!(
        told.contains("Whichever fault it is, V1 has it:"),
        "{}",
        run.out
    );
    // Which of them it is makes no difference to what is done next.
    assert!(!told.contains("no further reading tells"), "{}", run.out);
}

/// The relay does not pull in with its key closed: the tube, or the key.
#[test]
fn a_step_is_noted_with_the_controls_that_its_reading_asks_for() {
    let scratch = Scratch::new();
    let rows = "point,reading\n22,288\n27,286\n28,0.3\n19,68\n";
    let readings = scratch.write("readings.csv", rows);
    let job = sample("lookout-intercom");
    let run = fairvolt(&["suspects", &job, "-r", &readings, "--outside"]);
    let told = said(&run.out);
    let flat: Vec<&str> = told.split_whitespace().collect();
    let flat = flat.join(" ");
    assert!(
        flat.contains("Swap V2 with a good 12AU7, then switch on and read point 27"),
        "{told}"
    );
    assert!(flat.contains("`V2=replaced; S1=closed`"), "{told}");
}

#[test]
fn a_tube_is_pulled_once_for_all_that_is_read_without_it() {
    let manual = format!(
        "{STAGE_MANUAL}5,raw,300,500V,V1=out\n6,p,290,500V,V1=out\n7,b,296,500V,R2=lifted\n"
    );
    let manual = manual.replacen("range\n", "range,setting\n", 1);
    let job = practice("10M", STAGE, &manual);
    job.write(
        "readings.csv",
        "point,reading,at,setting\nx,2.9,k2,R2=lifted\n",
    );
    let told = said(&fairvolt(&["worksheet", &job.path()]).out);
    assert_eq!(told.matches("put V1 back").count(), 1, "{told}");
    assert_eq!(told.matches("connect R2 again").count(), 1, "{told}");
    assert!(
        told.contains("Last, power off for each change, with V1 out"),
        "{told}"
    );
    let found = json(&fairvolt(&["compare", &job.path(), "--format", "json"]));
    let settings: Vec<&str> = found["points"]
        .as_array()
        .unwrap()
        .iter()
        .map(|point| point["setting"].as_str().unwrap())
        .collect();
    let lifted = "With a lead of R2 lifted.";
    let v1_out = "With V1 out.";
    assert_eq!(settings, ["", "", "", "", v1_out, v1_out, lifted, lifted]);
}

#[test]
fn a_row_without_a_value_is_read_as_its_setting_says() {
    let job = practice("10M", DIVIDER, DIVIDER_MANUAL);
    // With the switch closed, b is the reference.
    let (first, _) = leader(&job, "point,reading\n1,100.0\n2,33.2\n3,0.0\n");
    assert_eq!(first, "none");
}

#[test]
fn what_cannot_be_taken_out_or_told_apart_is_refused_with_its_place() {
    let netlist = format!(
        "{STAGE}V2: 6J5, 3=b, 5=g, 8=k3\nR6: 10k, k3 to c\nR7: pot 10k, cw=k3, wiper=w, ccw=c\n\
                           heaters in series: V2 V3\nV3: 6J5, 3=b, 5=g, 8=k3\n"
    );
    let job = practice("10M", &netlist, STAGE_MANUAL);
    job.write(
        "readings.csv",
        "point,reading,at,setting\n1,299,,V1=out\na,1,k,V2=out\nb,1,k,R7=lifted\nc,1,,V1=out\n\
         d,1,k,PS1=lifted\ne,1,k,V1=out\ne,1,k,R4=lifted\n",
    );
    let run = fairvolt(&["compare", &job.path()]);
    assert_eq!(run.exit, Exit::BadInput);
    let told = run.complained();
    for words in [
        "the manual reads '1' with other settings",
        "every tube of its string of heaters is cold",
        "a potentiometer is not 'lifted'",
        "the place of this reading is not stated",
        "a supply is not 'lifted'",
        "the first reading has 'e' with other settings",
        "needs a label of its own",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
}
