//! What somebody types who uses fairvolt for the first time, and what it answers.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, Scratch};

/// A divider behind a battery.
const DIVIDER: &str =
    "ground c\nBT1: 9V source=2R, plus=b, minus=c\nR1: 1k, b to p\nR2: 2k, p to c\n";

fn said(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

#[test]
fn no_ammeter_is_ever_put_across_a_part() {
    let scratch = practice(
        "20k/V",
        DIVIDER,
        "point,at,quantity,value\n1,BT1,dc mA,3\n2,R1,dc mA,3\n3,R1,,3\n4,R2,,\n",
    );
    let job = scratch.path();
    let translated = fairvolt(&["translate", &job]).out;
    for words in ["through BT1", "through R1", "across R1", "across R2"] {
        assert!(translated.contains(words), "{words}: {translated}");
    }
    assert!(!translated.contains("across BT1"), "{translated}");
    let sheet = said(&fairvolt(&["worksheet", &job]).out);
    assert!(sheet.contains("open the lead of BT1 at b;"), "{sheet}");
    // Red to one pole of a battery and black to the other is right for volts alone.
    assert!(
        !sheet.contains("red to b, black to c; manual 3 mA"),
        "{sheet}"
    );
    let rows = fairvolt(&["worksheet", &job, "--format", "csv"]).out;
    let battery = rows
        .lines()
        .find(|row| row.contains("dc mA") && row.contains("BT1"))
        .unwrap();
    assert!(battery.contains("lead of BT1 at b, opened"), "{battery}");
}

#[test]
fn what_is_printed_at_a_rectifier_without_its_winding_stands() {
    // Nothing but the diode is drawn at the plate. What that lets through at rest made 510 V of 255 V.
    let scratch = practice(
        "1k/V",
        "ground c\nPS1: 280V source=500R, plus=raw, minus=c\nR1: 10k, raw to c\n\
         V5: 6X4, 1=hv1, 6=hv2, 7=raw\n",
        "point,at,quantity,value,range\n1,V5 pin 1,ac V,255,500V\n",
    );
    let document = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    let rows = document["quantities"].as_array().unwrap();
    let expected = rows[0]["bench"][0]["expected"].as_f64().unwrap();
    // No more than what the meters' scales differ by.
    assert!((expected - 255.0).abs() < 0.02 * 255.0, "{document}");
}

#[test]
fn a_zero_on_a_display_is_read_to_its_last_count() {
    let scratch = practice("1k/V", DIVIDER, "point,at,value\n1,c,0\n2,p,6\n");
    let readings = scratch.write("r.csv", "point,reading\n1,0\n2,5.99\n");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
    assert!(found.out.contains("2 in order"), "{}", found.out);
    // A pointer meter shows no counts: half a volt of rounding stays.
    let readings = scratch.write("r.csv", "point,reading,meter\n1,0,20k/V\n2,5.99,10M\n");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]);
    assert!(found.out.contains("TOO COARSE"), "{}", found.out);
}

#[test]
fn one_printed_limit_is_a_reading_of_the_manuals_meter() {
    // 1 MΩ under the 25 kΩ of 50k/V on 500 mV: 0.1 V there come from
    // 0.1 · (1 + 1 MΩ / 25 kΩ) = 4.1 V, of which 10 MΩ show 4.1 / (1 + 0.1) = 3.73 V.
    let scratch = practice(
        "50k/V",
        "ground c\nPS1: 180V source=1k, plus=b, minus=c\nR1: 100k, b to p\nR2: 2.2k, k to c\n\
         R3: 1M, g to c\nV1: 6C4, 1=p, 6=g, 7=k\n",
        "point,at,value,range\n1,g,< 0.1,500mV\n2,p,80,\n",
    );
    let readings = scratch.write("r.csv", "point,reading\n1,0.05\n");
    let document = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    let high = point(&document, "1")["bench"][0]["band"][1].as_f64();
    assert!((high.unwrap() - 3.73).abs() < 0.05, "{document}");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
}

#[test]
fn ohms_far_from_the_drawing_are_read_on_their_own_range() {
    // The line is drawn as a generator of half an ohm: with the plug out there is none.
    let scratch = practice(
        "20k/V",
        "ground c\nG1: 117V ac 60Hz source=0.5R, hot to c\nR1: 818R 5%, hot to c\n",
        "point,at,quantity,value\n1,hot,ohm,818\n",
    );
    let document = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    let bench = &document["quantities"][0]["bench"][0];
    let range = bench["range"].as_f64().unwrap();
    assert!(range >= 818.0, "{bench}");
    // A pointer ohmmeter is not good to 0.1 %.
    assert!(bench["uncertainty"].as_f64().unwrap() > 8.0, "{bench}");
}

#[test]
fn tubes_that_nothing_feeds_are_named_with_what_to_draw() {
    let netlist =
        "ground gnd\nT1: power transformer, high 160R 175R hv1 to gnd to hv2, rect 0.1R f1 to f2\n\
                   V3: 5Y3GT, 2=f1, 4=hv1, 6=hv2, 8=f2\nV1: 6C4, 1=p, 6=g, 7=k\nR1: 100k, f2 to p\n\
                   R2: 1M, g to gnd\nR3: 2k, k to gnd\n";
    let manual = "point,at,value\n1,p,80\n";
    let scratch = practice("20k/V", netlist, manual);
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(
        told.contains("no source of direct volts is drawn for V1"),
        "{told}"
    );
    assert!(
        told.contains("a rectifier is not followed through its cycle"),
        "{told}"
    );
    assert!(told.contains("plus=f2, minus=gnd"), "{told}");
    // Every point has the same bound, and it is said once.
    let notes = practice(
        "20k/V",
        netlist,
        "point,at,value\n1,p,80\n2,k,2.0\n3,f2,150\n",
    );
    let notes = said(&fairvolt(&["translate", &notes.path()]).out);
    assert_eq!(
        notes.matches("more than the drawn sources").count(),
        1,
        "{notes}"
    );
    let fed = practice(
        "20k/V",
        &format!("{netlist}PS1: 300V, plus=f2, minus=gnd\n"),
        manual,
    );
    let told = fairvolt(&["check", &fed.path()]).complained();
    assert!(!told.contains("no source"), "{told}");
}

#[test]
fn volts_at_a_pin_on_the_reference_are_doubted() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 180V source=1k, plus=b, minus=c\nR1: 100k, b to p\nR3: 1M, g to c\n\
         V1: 6C4, 1=p, 6=g, 7=c\n",
        "point,at,value\n1,p,80\n",
    );
    scratch.write("pin-chart.csv", "tube,1,6,7\nV1,80,0 (note 2),1.5\n");
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(told.contains("this is not zero, and the drawing has the pin on 'c', the reference"));
    scratch.write("pin-chart.csv", "tube,1,6,7\nV1,80,0 (note 2),0 (note 3)\n");
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(!told.contains("not zero"), "{told}");
}

#[test]
fn parts_are_called_what_parts_lists_call_them() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 180V, plus=b, minus=c\nL1: osc coil 0.4R 2R, c to k to tank\nR1: 1k, tank to b\n\
         L2: antenna coil 4R, k to a\nR2: 1k, a to c\nT1: IF transformer 1:1 12R 12R, primary b to x, secondary d to c\n\
         R3: 1k, x to c\nR4: volume control 500k at 40%, cw=d, wiper=w, ccw=c\nR5: 1M, w to c\n\
         LS1: 3.2R, d to c\n",
        "point,at,value\n1,b,180\n",
    );
    let told = fairvolt(&["check", &scratch.path()]);
    assert_eq!(told.err, "", "{}", told.err);
}

#[test]
fn slips_of_a_first_job_are_answered_with_what_to_write() {
    let scratch = practice(
        "20k/V",
        "ground gnd\nBT1: 9V source=2R, plus=b, minus=gnd\nR1: 1k, b to p\nR2: 2k, p to gnd\n\
         T1: transformer 5000:4, primary b to p, secondary s to gnd\nR3: 4R, s to gnd\n",
        "point,at,value,range,tolerance\n1,p,6,10%,\n2,R1,600Ω,,\n3,R1,5mA,,\n",
    );
    let told = fairvolt(&["check", &scratch.path()]).complained();
    for words in [
        "a percentage is no range",
        "a tolerance has a column of its own, 'tolerance'",
        "write `ohm` in the column 'quantity'",
        "write `dc mA` in the column 'quantity'",
        "5000:4 is doubtful as a ratio of turns",
        "of two impedances take the root: `35.4:1`",
        "such as `280R 0.6R`",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
    scratch.write(
        "job.toml",
        "[as-documented]\nmeter = \"20k/V\"\ntolerance = 20%\nreference = \"chassis\"\n[on-the-bench]\nmeter = \"10M\"\n",
    );
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(
        told.contains("text stands in quotes: `tolerance = \"20%\"`"),
        "{told}"
    );
    assert!(told.contains("the netlist's `ground` is 'gnd'"), "{told}");
}

#[test]
fn a_multiple_of_a_limit_near_zero_is_not_counted() {
    let scratch = Scratch::new();
    scratch.write(
        "job.toml",
        "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n",
    );
    scratch.write("circuit.netlist", DIVIDER);
    scratch.write(
        "manual.csv",
        "point,at,value,tolerance\n1,c,0,±0.1V\n2,p,6,±0.1V\n",
    );
    let readings = scratch.write("r.csv", "point,reading\n1,9.3\n2,9.3\n");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]).out;
    // Point 2 may show some 6 V: 9.3 V are one and a half times that.
    assert_eq!(found.matches("× limit").count(), 1, "{found}");
}

#[test]
fn no_current_is_no_milliamperes() {
    let scratch = practice("20k/V", DIVIDER, "point,at,quantity,value\n1,R1,dc mA,3\n");
    let readings = scratch.write("r.csv", "point,reading\n1,0\n");
    let found = fairvolt(&["compare", &scratch.path(), "-r", &readings]).out;
    assert!(found.contains("0 mA") && !found.contains("0 A"), "{found}");
}

#[test]
fn a_new_job_has_the_title_of_its_netlist() {
    // A title in the template stood on every page of a job whose netlist had one of its own.
    let scratch = Scratch::new();
    let job = format!("{}/attic", scratch.path());
    assert_eq!(fairvolt(&["new", &job]).exit, Exit::Done);
    let netlist = format!("{job}/circuit.netlist");
    let text = std::fs::read_to_string(&netlist).unwrap();
    let line = text
        .lines()
        .find(|line| line.starts_with("title "))
        .unwrap();
    std::fs::write(&netlist, text.replace(line, "title Attic radio")).unwrap();
    let shown = fairvolt(&["translate", &job]).out;
    assert!(shown.starts_with("Attic radio\n"), "{shown}");
}

#[test]
fn a_range_behind_a_probe_is_the_one_at_the_tip() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 900V source=1k, plus=c, minus=hv\nR1: 2M, hv to p\nR2: 2M, p to c\n",
        "point,at,value,meter,range\n1,p,-446,old,1000V\n2,p,-446,old,5kV\n3,hv,-900,,\n",
    );
    scratch.write(
        "meters.toml",
        "[old]\nsensitivity = \"20k/V\"\nranges = [\"250V\", \"1000V\"]\n\
         probe = \"80M in series, reading multiplied\"\naccuracy = \"3% of full scale\"\n",
    );
    // 20 MΩ and 80 MΩ are a fifth of the volts: 1000 V at the switch are 5 kV at the tip. The row
    // was taken as 20 MΩ without the probe, with a warning about another range.
    let told = fairvolt(&["check", &scratch.path()]);
    assert_eq!(told.exit, Exit::BadInput, "{}", told.out);
    let told = told.complained();
    assert!(told.contains("position of the switch of 'old'"), "{told}");
    assert!(told.contains("write `5 kV`"), "{told}");
    // By hand: 900 V behind 1 kΩ, halved by 2 MΩ and 2 MΩ, under 100 MΩ: −445.4 V.
    let carried = fairvolt(&["translate", &scratch.path(), "--all", "--format", "json"]);
    let document = json(&carried);
    let expected = point(&document, "2")["bench"][0]["expected"].as_f64();
    // What 10 MΩ show of it: 0.5 · 900 · 10 / 11 = 409 V, to the volt of the printed value.
    assert!((expected.unwrap() + 409.0).abs() < 2.0, "{expected:?}");
}

/// A bridge with its winding beside a supply that feeds something else.
const HEATERS: &str =
    "ground c\nPS1: 250V source=1k, plus=b, minus=c\nR1: 10k, b to c\n\
     G1: 9.5V ac 60Hz source=0.4R, h1 to h2\nSR1: bridge selenium 1 plate 600mA, ac1=h1, ac2=h2, plus=raw, minus=c\n\
     C1: 2000uF, raw to c\nR2: 2.2R, raw to heat\nR3: 21R, heat to c\n";

#[test]
fn a_rectifier_without_a_source_behind_it_is_named_beside_a_drawn_supply() {
    let manual = "point,at,value\n1,b,230\n2,heat,6.0\n";
    let scratch = practice("20k/V", HEATERS, manual);
    let told = said(&fairvolt(&["check", &scratch.path()]).complained());
    let words = "no source of direct volts is drawn behind SR1";
    assert_eq!(told.matches(words).count(), 1, "{told}");
    assert!(told.contains("plus=raw, minus=c"), "{told}");
    // With the source it stands right, whichever side of a resistor it is on.
    for node in ["raw", "heat"] {
        let fed = format!("{HEATERS}PS2: 6.5V source=1R, plus={node}, minus=c\n");
        let told = fairvolt(&["check", &practice("20k/V", &fed, manual).path()]);
        assert!(!told.err.contains("drawn behind"), "{}", told.err);
    }
    // A detector works at a signal, and a rail below the reference has its plus end there.
    let signal = HEATERS.replace("60Hz", "455kHz");
    let told = fairvolt(&["check", &practice("20k/V", &signal, manual).path()]);
    assert!(!told.err.contains("drawn behind"), "{}", told.err);
    let below = HEATERS.replace("plus=raw, minus=c", "plus=c, minus=raw");
    let told = said(&fairvolt(&["check", &practice("20k/V", &below, manual).path()]).complained());
    assert!(told.contains("plus=c, minus=raw"), "{told}");
}

#[test]
fn readings_from_before_a_repair_are_named() {
    let scratch = practice("20k/V", DIVIDER, "point,at,value\n1,b,9\n2,p,6\n");
    let dated = "point,reading,date\n1,9.0,2026-03-01\n2,8.9,2026-03-01\n2,6.0,2026-03-08\n";
    let readings = scratch.write("r.csv", dated);
    let found = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    let words = "Used although another point has changed since: 1; after a repair read them again.";
    assert!(found.contains(words), "{found}");
    // On the same day as the last reading, below the old one: nothing says that it is older.
    let readings = scratch.write("r.csv", "point,reading\n2,8.9\n1,9.0\n2,6.0\n");
    let found = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    assert!(!found.contains("has changed since"), "{found}");
    // Read twice alike: nothing has changed.
    let readings = scratch.write("r.csv", &dated.replace("8.9", "6.0"));
    let found = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    assert!(!found.contains("has changed since"), "{found}");
}

#[test]
fn an_overrange_between_the_limits_says_what_is_missing() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 1050V source=100k, plus=b, minus=c\nR1: 1M, b to c\n",
        "point,at,value,range\n1,b,950,1000V\n",
    );
    let readings = scratch.write("r.csv", "point,reading\n1,OL\n");
    let found = said(&fairvolt(&["compare", &scratch.path(), "-r", &readings]).out);
    assert!(found.contains("Not judged (1): 1."), "{found}");
    assert!(
        found.contains("OL says only that there is more than 1000 V"),
        "{found}"
    );
}

#[test]
fn a_summary_set_as_a_list_keeps_its_two_conditional_verdicts_apart() {
    let scratch = practice(
        "20k/V",
        DIVIDER,
        "point,at,value\nplus end of the battery,b,9\n2,p,6\n",
    );
    let readings = scratch.write(
        "r.csv",
        "point,reading,set,date\nplus end of the battery,9.0,A,2026-03-01\n",
    );
    let found = said(
        &fairvolt(&["compare", &scratch.path(), "-r", &readings, "--summary"])
            .out
            .replace('\u{a0}', " "),
    );
    for words in [
        "cond. pass 0",
        "cond. fail 0",
        "not decided 0",
        "worst point plus end of the battery",
    ] {
        assert!(found.contains(words), "{words}: {found}");
    }
}

#[test]
fn two_electrodes_of_one_device_name_it_once() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 9V source=2R, plus=b, minus=c\nR1: 100k, b to g\nR2: 1k, b to k\n\
         Q1: npn silicon hfe=100, emitter=c, base=g, collector=k\n\
         Q2: npn silicon hfe=100, emitter=c, base=g, collector=b\n",
        "point,at,against,value\n1,Q1 base,Q1 emitter,0.6\n2,Q1 base,Q2 emitter,0.6\n3,k,,1\n4,b,,9\n",
    );
    let shown = fairvolt(&["translate", &scratch.path()]).out;
    assert!(shown.contains("Q1 base to emitter"), "{shown}");
    assert!(shown.contains("Q1 base to Q2 emitter"), "{shown}");
    let sheet = said(&fairvolt(&["worksheet", &scratch.path()]).out);
    assert!(
        sheet.contains("red to Q1 base, black to Q1 emitter"),
        "{sheet}"
    );
}
