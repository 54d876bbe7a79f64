//! Sets without any volts: a string of cold heaters, and how the power is taken away before work.

use fairvolt::Exit;

use crate::support::{fairvolt, json, practice, said, sample, Run, Scratch};

/// No volts anywhere: a cold tube draws nothing, and a cold rectifier gives nothing.
#[test]
fn a_dead_set_with_series_heaters_is_told_to_measure_them_with_the_plug_out() {
    let job = sample("signal-shed-set");
    let file = format!("{job}/readings-open-heater.csv");
    let run = fairvolt(&["suspects", &job, "-r", &file]);
    assert_eq!(run.exit, Exit::Flagged);
    assert!(run.out.lines().all(|line| line.chars().count() <= 80));
    let flat = |run: &Run| run.out.split_whitespace().collect::<Vec<_>>().join(" ");
    let out = flat(&run);
    // All tubes of the netlist's list, and the heater pins of their bases as tube manuals print them.
    for said in [
        "heater of V5, V4, V2, V1 or V3 open: the whole string is cold",
        "with the power off (plug out, capacitors discharged) pull the tubes of the string",
        "V5 pins 2 to 7, V4 pins 2 to 7, V2 pins 2 to 7, V1 pins 2 to 7 and V3 pins 7 to 8",
        "never with the power on: the whole line is across the open one",
    ] {
        assert!(out.contains(said), "{said}: {out}");
    }
    // A blown fuse leaves all tubes cold as well.
    assert!(
        out.contains("fuse, switch, cord or string of heaters"),
        "{out}"
    );
    let found = json(&fairvolt(&[
        "suspects", &job, "-r", &file, "--format", "json",
    ]));
    let first = &found["hypotheses"][0];
    assert_eq!(first["part"], "V5, V4, V2, V1 or V3");
    assert_eq!(first["fault"], "heater open");
    // Each of its tubes is meant.
    let explained = flat(&fairvolt(&[
        "suspects",
        &job,
        "-r",
        &file,
        "--explain",
        "V2",
    ]));
    assert!(explained.contains("heater of V5, V4, V2, V1 or V3 open"));
    // Plates alone fit a dead supply as well: whether a tube is warm tells, and costs nothing.
    let scratch = Scratch::new();
    let plates = scratch.write(
        "plates.csv",
        "point,reading\nV1 pin 3,0.01\nV2 pin 6,0.01\nV4 pin 3,0.02\n",
    );
    let out = flat(&fairvolt(&["suspects", &job, "-r", &plates, "--outside"]));
    let (_, next) = out.split_once("Next: ").unwrap();
    assert!(next.starts_with("look whether V5, V4, V2, V1 or V3 glows or gets warm."));
}

#[test]
fn a_set_on_batteries_is_not_told_to_pull_a_plug() {
    let battery = sample("gate-post-preamplifier");
    let sheet = fairvolt(&["worksheet", &battery]).out;
    assert!(sheet.contains("power off, batteries out, capacitors discharged"));
    let table = fairvolt(&["translate", &battery]).out;
    assert!(table.contains("take the batteries out"));
    // The cautions of every sheet stay.
    for plug in ["plug out", "pull the plug"] {
        assert!(!sheet.contains(plug) && !table.contains(plug), "{plug}");
    }
    // A supply that is no battery may be fed by the line; a generator of so many volts is the line.
    let divider = "ground c\nR1: 220k, b to p\nR2: 100k, p to c\n";
    let row = "point,at,quantity,value\n1,p,ohm,69k\n";
    for (source, order) in [
        ("PS1: 250V source=1k, plus=b, minus=c", "pull the plug"),
        (
            "BT1: 250V source=1k, plus=b, minus=c",
            "take the batteries out",
        ),
        (
            "BT1: 250V source=1k, plus=b, minus=c\nG1: 117V ac 60Hz off=open, p to c",
            "pull the plug",
        ),
    ] {
        let job = practice("20k/V", &format!("{divider}{source}\n"), row);
        let table = fairvolt(&["translate", &job.path()]).out;
        assert!(table.contains(order), "{source}: {table}");
    }
}

/// A set on the line with three supplies, of which every point reads nothing.
#[test]
fn a_set_that_nothing_feeds_is_told_to_look_at_fuse_switch_and_cord() {
    let job = practice(
        "20k/V",
        "ground c\nPS1: 280V source=400R line, plus=b, minus=c\nPS2: 40V source=2k line, plus=c, minus=n\n\
         PS3: 6.3V source=0.1R line, plus=h, minus=c\nDS1: lamp 6.3V 150mA, h to c\nR1: 22k, b to p\n\
         R2: 47k, p to c\nR3: 100k, n to c\n",
        "point,at,value\n1,b,275\n2,p,185\n3,n,-38\n4,h,6.2\n",
    );
    let suspects = |readings: &str, format: &str| {
        let file = job.write("readings.csv", &format!("point,reading\n{readings}"));
        fairvolt(&["suspects", &job.path(), "-r", &file, "--format", format])
    };
    let dead = "1,0.0\n2,0.0\n3,0.0\n4,0.0\n";
    let told = said(&suspects(dead, "table").out);
    for words in [
        "nothing from PS1, PS2 and PS3: the set is not fed (fuse, switch, cord, plug or primary)",
        "(plug out, capacitors discharged) look at the fuse and, with the switch on, measure the ohms",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    let leads = |readings: &str| {
        let first = json(&suspects(readings, "json"))["hypotheses"][0].clone();
        (first["part"].clone(), first["fault"].clone())
    };
    assert_eq!(leads(dead), ("PS1, PS2 and PS3".into(), "not fed".into()));
    // With one point read another supply's rail tells, and nothing has to be swapped for that.
    let one = suspects("1,0.0\n", "table").out;
    assert!(said(&one).contains("0.0 V if set not fed"), "{one}");
    assert!(!one.contains("What to swap or lift"), "{one}");
    // Where one supply still gives its volts, the others are no common matter.
    let (part, _) = leads("1,0.0\n2,0.0\n3,-38.6\n4,6.25\n");
    assert_eq!(part, "PS1");
}

/// A diode's plate shows its contact potential while it is hot, −0.5 V behind megohms, and nothing once it is
/// cold: that tells a dead rectifier from a blown fuse. Volts by hand: none in a cold set.
#[test]
fn a_dead_rectifier_leaves_the_tubes_warm_and_a_blown_fuse_does_not() {
    let job = practice(
        "11M",
        "ground c\nPS1: 200V source=400R, plus=b, minus=c\nR1: 10k, b to p\n\
         V1A: 12AV6, plate=p, grid=g, cathode=c\nV1B: 12AV6, plate=d, cathode=c\n\
         R2: 10M, g to c\nR3: 1M, d to c\n",
        "point,at,value\n1,b,190\n2,p,185\n3,d,-0.5\n4,g,-0.6\n",
    );
    let leads = |readings: &str| {
        let file = job.write("readings.csv", &format!("point,reading\n{readings}"));
        let told = fairvolt(&["suspects", &job.path(), "-r", &file, "--format", "json"]);
        json(&told)["hypotheses"][0]["fault"].clone()
    };
    assert_eq!(leads("1,0.0\n2,0.0\n3,0.000\n4,0.000\n"), "not fed");
    assert_eq!(leads("1,0.0\n2,0.0\n3,-0.48\n4,-0.55\n"), "dead");
}

/// A vibrator set: the drawing ends at the vibrator, and `fed from` says what is before it.
const MOBILE: &str =
    "ground c\nBT1: 12.6V source=0.1R, plus=acc, minus=c\nF1: fuse closed, acc to a12\n\
                      DS1: lamp 12V 100mA, a12 to c\nPS1: 250V source=600R, plus=b, minus=c\n\
                      fed from a12: PS1\nR1: 22k, b to p\nR2: 47k, p to c\n";

#[test]
fn a_supply_goes_dead_with_the_place_that_feeds_it() {
    let job = practice(
        "20k/V",
        MOBILE,
        "point,at,value\n1,b,245\n2,p,165\n3,a12,12.4\n4,acc,12.5\n",
    );
    let suspects = |readings: &str| {
        let file = job.write("readings.csv", &format!("point,reading\n{readings}"));
        let run = fairvolt(&["suspects", &job.path(), "-r", &file]);
        said(&run.out)
    };
    // Nothing else is drawn between b and a12, so no fault but the fuse's joins what both show.
    let blown = suspects("1,0.0\n2,0.0\n3,0.0\n4,12.6\n");
    assert!(
        blown.contains("to 1): F1 fuse, acc to a12: blown"),
        "{blown}"
    );
    assert!(blown.contains("a blown one had a reason"), "{blown}");
    let flat = suspects("1,0.0\n2,0.0\n3,0.0\n4,0.0\n");
    assert!(
        flat.contains("BT1 12.6 V, acc to c: gives nothing"),
        "{flat}"
    );
    // A vibrator that does not work leaves its feed as it is.
    let vibrator = suspects("1,0.0\n2,0.0\n3,12.4\n4,12.5\n");
    assert!(
        vibrator.contains("PS1 250 V, b to c: gives nothing"),
        "{vibrator}"
    );
}

/// A battery behind a switch: 9 V, 100 Ω and 200 Ω. With 30 Ω in the switch, by hand: 9 V · 300/331 = 8.16 V
/// behind it and 9 V · 200/331 = 5.44 V at the divider; 8.97 V are left at the battery.
#[test]
fn a_switch_with_a_resistance_is_a_dirty_contact() {
    let job = practice(
        "20k/V",
        "ground c\nBT1: 9V source=1R, plus=b, minus=c\nS1: closed, b to s\nR1: 100 5%, s to p\n\
         R2: 200 5%, p to c\n",
        "point,at,value\n1,b,9\n2,s,9\n3,p,6\n",
    );
    let suspects = |readings: &str| {
        let file = job.write("readings.csv", &format!("point,reading\n{readings}"));
        fairvolt(&["suspects", &job.path(), "-r", &file])
    };
    let told = said(&suspects("1,8.97\n2,8.16\n3,5.44\n").out);
    let first = "S1 switch, b to s: dirty contact: about 30 Ω (";
    assert!(told.contains(&format!("1): {first}")), "{told}");
    // Nothing at all behind it is more than dirt, as a rule.
    let open = said(&suspects("1,9.0\n2,0.0\n3,0.0\n").out);
    assert!(open.contains("S1 switch, b to s: does not close"), "{open}");
}
