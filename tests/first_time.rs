//! What somebody types who uses fairvolt for the first time, and what it answers.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said, Scratch};

/// A divider behind a battery.
const DIVIDER: &str =
    "ground c\nBT1: 9V source=2R, plus=b, minus=c\nR1: 1k, b to p\nR2: 2k, p to c\n";

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
    // Heaters on a winding of their own are no tubes to be fed there.
    let heated = netlist.replace("7=k", "3=h1, 4=h2, 7=k");
    let winding = "T2: transformer 9R 0.1R, primary l1 to l2, secondary h1 to h2\n\
                   T3: transformer 9R 1R, primary l1 to l2, secondary h1 to h2\nR9: 1R, h1 to h2\n\
                   R10: 1R, h1 to h2\nground l2\nground h2\nPS1: 300V, plus=f2, minus=gnd\n";
    let heated = practice("20k/V", &format!("{heated}{winding}"), manual);
    let told = fairvolt(&["check", &heated.path()]).complained();
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

/// The driver stage of a portable set, its volume control before it.
const PORTABLE: &str = "ground common\nBT1: 9V source=2R, plus=common, minus=neg\n\
     R1: 120k 10%, neg to det\nR11: volume control 5k at 50%, cw=det, wiper=arm, ccw=common\n\
     C3: 10uF 6V, arm to b4\nR12: 22k 10%, neg to b4\nR13: 4.7k 10%, b4 to common\n\
     R14: 470R 10%, e4 to common\nR15: 200R, c4 to neg\n\
     Q4: pnp germanium hfe=80 icbo=4uA, emitter=e4, base=b4, collector=c4\n";

const OF_PORTABLE: &str = "point,at,value\n1,neg,-9.0\n2,e4,-1.21\n3,c4,-8.5\n";

#[test]
fn a_set_without_tubes_is_not_told_of_plates() {
    let scratch = practice("20k/V", PORTABLE, OF_PORTABLE);
    // The emitter at a quarter of its volts: the base gets too little, or something holds it down.
    let readings = scratch.write("r.csv", "point,reading\n1,-8.97\n2,-0.33\n3,-8.84\n");
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    assert!(found.contains("Lift leads and change parts with the power off only (batteries out,"));
    assert!(
        !found.contains("plate reddens") && !found.contains("Pull tubes"),
        "{found}"
    );
    let checked = said(&fairvolt(&["check", &scratch.path()]).out);
    let spread = "alone. The spread of the parts and the real supply";
    assert!(checked.contains(spread), "{checked}");
    // A sound tube in the same set, and the words are back.
    let with_tube = format!("{PORTABLE}V1: 6C4, 1=neg, 6=common, 7=k\nR2: 1k, k to common\n");
    let scratch = practice("20k/V", &with_tube, OF_PORTABLE);
    let readings = scratch.write("r.csv", "point,reading\n1,-8.97\n2,-0.33\n3,-8.84\n");
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    assert!(
        found.contains("Pull tubes and lift leads with the power off only"),
        "{found}"
    );
    assert!(
        found.contains("if a plate reddens or something smokes"),
        "{found}"
    );
}

#[test]
fn cautions_are_left_out_only_where_few_volts_of_batteries_are_all() {
    let left_out = "Batteries of few volts and no tubes are all that is drawn";
    let cautions = |netlist: &str, manual: &str, settings: &str| {
        let scratch = practice("20k/V", netlist, manual);
        let own = scratch.read("job.toml");
        scratch.write("job.toml", &format!("{settings}{own}"));
        let sheet = fairvolt(&["worksheet", &scratch.path(), "--format", "json"]);
        let listed = json(&sheet)["cautions"].as_array().unwrap().clone();
        let words: Vec<String> = listed.iter().map(|one| one.to_string()).collect();
        words
    };
    let few = cautions(PORTABLE, OF_PORTABLE, "");
    assert!(few.last().unwrap().contains(left_out), "{few:?}");
    for of_others in [
        "Unplug",
        "Picture tubes hold",
        "live high voltage",
        "isolation transformer",
    ] {
        assert!(
            !few.iter().any(|words| words.contains(of_others)),
            "{of_others}"
        );
    }
    // What may bring more than the thresholds, or is not known not to, has all twelve.
    let supply = PORTABLE.replace("BT1: 9V source=2R", "PS1: 9V source=2R");
    let four = format!("{PORTABLE}BT2: 45V, plus=x, minus=common\nR9: 10k, x to common\n");
    let line = format!("{PORTABLE}G1: 50mV ac 400Hz source=600R, det to common\n");
    let tube = format!("{PORTABLE}V1: 6C4, 1=neg, 6=common, 7=k\nR2: 1k, k to common\n");
    let neon = format!("{PORTABLE}R2: 1M, neg to n\nDS1: neon 65V 0.3mA, n to common\n");
    let printed = format!("{OF_PORTABLE}4,CRT anode,8000\n");
    let undrawn = format!("{OF_PORTABLE}4,inverter,5\n");
    for (netlist, manual, settings) in [
        (supply.as_str(), OF_PORTABLE, ""),
        (&four, OF_PORTABLE, ""),
        (&line, OF_PORTABLE, ""),
        (&tube, OF_PORTABLE, ""),
        (&neon, OF_PORTABLE, ""),
        (PORTABLE, &printed, ""),
        (PORTABLE, &undrawn, ""),
        (PORTABLE, OF_PORTABLE, "hot-chassis = true\n"),
    ] {
        let all = cautions(netlist, manual, settings);
        assert_eq!(all.len(), 12, "{netlist}{manual}{settings}: {all:?}");
        assert!(all[0].contains("Unplug"), "{all:?}");
    }
}

#[test]
fn a_probe_at_a_wiper_says_where_its_control_has_to_stand() {
    // Half of the volts of `det` at half of the track, all of them at its end: a reading at the one,
    // held against the prediction for the other, blamed a sound capacitor.
    let scratch = practice("20k/V", PORTABLE, OF_PORTABLE);
    let readings = scratch.write("r.csv", "point,reading\n1,-8.97\n2,-0.33\n3,-8.84\n");
    let line = ["suspects", &scratch.path(), "-r", &readings, "--outside"];
    let found = said(&fairvolt(&line).out);
    let (_, probe) = found.split_once("Red to arm, black to common").unwrap();
    let (probe, _) = probe.split_once("expect").unwrap();
    assert!(probe.contains("Set R11 at 50 %"), "{found}");
    // The end of the track is no wiper.
    let (_, end) = found.split_once("Red to det").unwrap();
    let (end, _) = end.split_once("expect").unwrap();
    assert!(!end.contains("R11"), "{end}");
}

#[test]
fn a_misspelt_second_reference_is_one_error() {
    let netlist = format!("{DIVIDER}grond d\nR3: 1k, p to d\n");
    let scratch = practice("20k/V", &netlist, "point,at,value\n1,p,6\n");
    let told = said(&fairvolt(&["check", &scratch.path()]).complained());
    assert!(told.contains("did you mean 'ground'?"), "{told}");
    assert!(!told.contains("the reference of one piece"), "{told}");
    // Spelt right it is the second reference of that piece.
    let netlist = netlist.replace("grond", "ground");
    let scratch = practice("20k/V", &netlist, "point,at,value\n1,p,6\n");
    let told = said(&fairvolt(&["check", &scratch.path()]).complained());
    assert!(told.contains("the reference of one piece"), "{told}");
}

#[test]
fn a_corona_tube_is_sent_to_a_zener_diode() {
    let netlist = format!("{DIVIDER}V1: corona 900V, p to c\n");
    let scratch = practice("20k/V", &netlist, "point,at,value\n1,p,6\n");
    let told = said(&fairvolt(&["check", &scratch.path()]).complained());
    assert!(told.contains("`VR1: zener 900V`"), "{told}");
    assert!(!told.contains("devices.toml"), "{told}");
    // And so it is drawn.
    let netlist = format!("{DIVIDER}VR1: zener 900V, anode=c, cathode=p\n");
    let scratch = practice("20k/V", &netlist, "point,at,value\n1,p,6\n");
    assert_eq!(fairvolt(&["check", &scratch.path()]).exit, Exit::Done);
}

#[test]
fn a_printed_limit_of_ohms_is_shown_as_one() {
    let scratch = practice(
        "20k/V",
        "ground c\nR1: 100k, a to c\nR2: 220R, b to c\n",
        "point,at,quantity,value\n1,a,ohms,>50k\n2,b,ohms,<300\n",
    );
    let job = scratch.path();
    let sheet = said(&fairvolt(&["worksheet", &job]).out);
    let checked = said(&fairvolt(&["check", &job]).out);
    for words in ["over 50 kΩ", "under 300 Ω"] {
        assert!(sheet.contains(&format!("manual {words}")), "{sheet}");
        assert!(checked.contains(words), "{checked}");
    }
}

#[test]
fn a_voltage_is_not_taken_at_a_row_of_ohms() {
    let netlist = "ground c\nPS1: 250V 2% source=10R, plus=b, minus=c\nR1: 10k 5%, b to x\n\
                   R2: 20k 5%, x to y\nR3: 30k 5%, y to c\nR4: 10k 5%, b to z\nR5: 30k 5%, z to c\n";
    let manual = "point,at,quantity,value\n1,b,,250\n2,x,,125\n3,y,,125\n4,z,,187\n5,y,ohm,15k\n";
    let scratch = practice("20k/V", netlist, manual);
    let told = said(&fairvolt(&["check", &scratch.path()]).out);
    assert!(told.contains("taken at y (point 3);"), "{told}");
}

#[test]
fn ranges_of_which_the_same_is_said_share_a_line() {
    let told = fairvolt(&["imitate", "11M"]).out;
    let words = "1.5 V, 5 V, 15 V, 50 V, 150 V, 500 V, 1500 V: 10M loads more there already";
    assert!(said(&told).contains(words), "{told}");
}

#[test]
fn no_oscillation_is_drawn_for_a_grid_that_the_meter_all_but_shorted() {
    let set = |leak: &str, volts: &str| {
        let netlist = format!(
            "ground c\nPS1: 250V source=500R, plus=b, minus=c\nV1: 6C4, 1=p, 6=g, 7=c\n\
             R1: 47k 10%, b to p\nR2: {leak} 10%, g to c\n"
        );
        let manual = format!("point,at,value\n1,b,250\n2,g,{volts}\n3,p,105\n");
        let scratch = practice("20k/V", &netlist, &manual);
        said(&fairvolt(&["check", &scratch.path()]).out).contains("between the grid leak and c")
    };
    // 10 MΩ under the 50 kΩ of 20,000 ohms per volt on 2.5 V: 200 times the printed volts.
    assert!(!set("10M", "-1.8"));
    assert!(set("47k", "-1.8"));
}
