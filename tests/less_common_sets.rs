//! Sets with batteries, dry rectifiers and pointer meters, as a first-time user types them.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said};

/// 60 V behind 4.7 MΩ on 1 MΩ: 10.5 V behind 825 kΩ, and 5.8 V on 1 MΩ, the 50 V range of 20 kΩ/V.
const SCREEN: &str =
    "ground c\nBT1: 60V source=60R, plus=b, minus=c\nR1: 4.7M 5%, b to p\nR2: 1M 5%, p to c\n";

#[test]
fn a_meter_like_the_manuals_stays_on_the_manuals_range() {
    let manual = |range: &str| format!("point,at,value,range\n1,p,5.8,{range}\n");
    let scratch = practice("20k/V", SCREEN, &manual("50V"));
    let job = scratch.path();
    let (range, expected) = {
        let document = json(&fairvolt(&[
            "translate",
            &job,
            "-m",
            "20k/V",
            "--format",
            "json",
        ]));
        let side = &document["points"][0]["bench"][0];
        let of = |key: &str| side[key].as_f64().unwrap();
        (of("range"), of("expected"))
    };
    assert!((range - 50.0).abs() < 1e-9, "{range}");
    // The same meter on the same range reads what is printed, within its last digit.
    assert!((expected - 5.8).abs() < 0.05, "{expected}");
    // So does a reading of which no range is noted. On 10 V it would be a third of that.
    let readings = scratch.write("readings.csv", "point,reading,meter\n1,5.7,20k/V\n");
    let compared = fairvolt(&["compare", &job, "-r", &readings, "--all"]);
    assert!(compared.out.contains("(50 V)"), "{}", compared.out);
    assert_eq!(compared.exit, Exit::Done, "{}", compared.out);
    // What does not fit on it was read on another.
    scratch.write("manual.csv", &manual("10V"));
    let readings = scratch.write("readings.csv", "point,reading,meter\n1,30,20k/V\n");
    let compared = fairvolt(&["compare", &job, "-r", &readings, "--all"]);
    assert!(compared.out.contains("(50 V)"), "{}", compared.out);
}

/// A tube with its cathode on the chassis, and a filter capacitor.
const EARTHED: &str = "ground c\nPS1: 180V source=1k, plus=b, minus=c\nR1: 100k, b to p\n\
                       R3: 1M, g to c\nR4: 22k, b to c\nC1: 20uF, b to c\nV1: 6C4, 1=p, 6=g, 7=c\n";

#[test]
fn nothing_charges_and_nothing_is_expected_on_the_reference() {
    let scratch = practice("20k/V", EARTHED, "point,at,value\n1,b,180\n");
    scratch.write("pin-chart.csv", "tube,1,6,7\nV1,28,0,1.5\n");
    scratch.write("pin-chart-ohms.csv", "tube,1,6,7\nV1,122k,1M,0\n");
    let job = scratch.path();
    let told = said(&fairvolt(&["translate", &job]).out);
    assert!(
        told.contains("Not translated: V1 pin 7 (1.5 V); the drawing has both probes on one node"),
        "{told}"
    );
    assert!(!told.contains("V1 pin 7 1.5"), "{told}");
    assert!(!told.contains("a capacitor charges"), "{told}");
    scratch.write("pin-chart-ohms.csv", "tube,1,6,7\nV1,122k,1M,1.5k\n");
    let told = said(&fairvolt(&["translate", &job]).out);
    assert!(
        told.contains("Point V1 pin 7 ohms not computed: the drawing has both probes on one node"),
        "{told}"
    );
}

#[test]
fn the_state_of_a_dead_source_is_named() {
    let netlist = SCREEN.replace("source=60R", "source=60R off=banana");
    let scratch = practice("20k/V", &netlist, "point,at,value\n1,p,5.8\n");
    let told = fairvolt(&["check", &scratch.path()]).complained();
    assert!(
        told.contains("'banana' is no state of a dead source"),
        "{told}"
    );
    assert!(told.contains("write `open`, or its ohms: `47k`"), "{told}");
}

#[test]
fn two_faults_at_once_are_suggested_where_no_single_one_fits() {
    let netlist = "ground c\nBT1: 60V source=1R, plus=b, minus=c\nR1: 10k 5%, b to p\n\
                   R2: 10k 5%, p to c\nR3: 10k 5%, b to q\nR4: 10k 5%, q to c\n";
    let scratch = practice("10M", netlist, "point,at,value\n1,b,60\n2,p,30\n3,q,30\n");
    // Both dividers are wrong.
    let readings = scratch.write("readings.csv", "point,reading\n1,60.0\n2,20.0\n3,40.0\n");
    let job = scratch.path();
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings]).out);
    assert!(
        told.contains("then try two faults at once with --pairs"),
        "{told}"
    );
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings, "--pairs"]).out);
    assert!(!told.contains("--pairs,"), "{told}");
}

#[test]
fn a_glow_tube_on_little_current_stays_lit_and_is_named() {
    let scratch = practice(
        "11M",
        "ground c\nPS1: 400V, plus=b, minus=c\nR1: 100k 5%, b to r\nVR1: 0A2, 5=r, 2=c\n",
        "point,at,value\n1,r,150\n2,b,400\n",
    );
    let document = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    let expected = document["points"][0]["bench"][0]["expected"].as_f64();
    // 150 V at 17.5 mA less 15 mA through 80 Ω: 148.8 V; the printed value is good to 3 % of its range.
    assert!((expected.unwrap() - 149.4).abs() < 1.5, "{document}");
    let told = said(&fairvolt(&["check", &scratch.path()]).out);
    assert!(
        told.contains("VR1 gets 2.5 mA as drawn, and regulates well only from 5.0 mA on."),
        "{told}"
    );
}

#[test]
fn what_fails_by_the_manual_and_fits_a_set_in_order_is_named() {
    // Two resistors of 20 %: 50 V scatter by 4 V, and the manual allows one.
    let scratch = practice(
        "11M",
        "ground c\nBT1: 100V source=1R, plus=b, minus=c\nR1: 100k 20%, b to p\nR2: 100k 20%, p to c\n",
        "point,at,value,tolerance\n1,p,50,±1V\n2,b,100,\n",
    );
    let readings = scratch.write("readings.csv", "point,reading\n1,57.0\n2,100.0\n");
    let told = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    let words = "Outside the manual's limits, but no further than sound parts of this drawing \
                 scatter: 1.";
    assert!(told.contains(words), "{told}");
    let readings = scratch.write("readings.csv", "point,reading\n1,50.1\n2,100.0\n");
    let told = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    assert!(!told.contains("Outside the manual's limits"), "{told}");
}

/// 900 V across a corona regulator behind 12 MΩ, and a tip of 10 MΩ behind it.
const CORONA: &str = "ground c\nPS1: 1050V source=2M, plus=raw, minus=c\nR2: 10M 10%, raw to hv\n\
                      VR1: zener 900V 2%, anode=c, cathode=hv\nR3: 10M 10%, hv to anode\nR4: 1M, s to c\n\
                      C1: 100pF, anode to s\n";

#[test]
fn a_regulator_goes_out_under_a_meter_that_takes_its_current() {
    let manual = "point,at,value,meter,range\n1,raw,1000,1G,1500V\n2,hv,900,1G,1500V\n";
    let scratch = practice("11M", CORONA, manual);
    let job = scratch.path();
    let document = json(&fairvolt(&["translate", &job, "--format", "json"]));
    let bench = &point(&document, "2")["bench"][0];
    let of = |key: &str| bench[key].as_f64().unwrap();
    // 10 MΩ behind 12 MΩ of 1050 V: 1050 · 10 / 22 = 477 V, less what 1000 V printed for 1025 V
    // say of the supply. It was 1000 V ± 21000 V.
    assert!(
        (of("expected") - 477.0).abs() < of("uncertainty"),
        "{bench}"
    );
    assert!(of("uncertainty") < 80.0, "{bench}");
    // Such a reading blames no part. It was 38 σ off, and the regulator almost certainly open.
    let readings = scratch.write("r.csv", "point,reading\n1,865\n2,470\n");
    let found = fairvolt(&["suspects", &job, "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
}

#[test]
fn a_chart_may_print_two_volts_of_its_battery() {
    let netlist = "ground c\nBT1: 9V source=2R, plus=b, minus=c\nR1: 1k, b to p\nR2: 2k, p to c\n";
    let manual = "point,at,value,setting\n1,p,6,\n1w,p,4,BT1=6V\n";
    let scratch = practice("20k/V", netlist, manual);
    let job = scratch.path();
    let document = json(&fairvolt(&["translate", &job, "--format", "json"]));
    for (label, volts) in [("1", 9.0), ("1w", 6.0)] {
        let model = point(&document, label)["model"]["unloaded"].as_f64();
        let want = volts * 2000.0 / 3002.0;
        assert!((model.unwrap() - want).abs() < 1e-9, "{label}");
    }
    let sheet = fairvolt(&["worksheet", &job]).out;
    assert!(sheet.contains("with BT1 at 6 V"), "{sheet}");
    // A rail that was read is that of the rows which do not set it.
    scratch.write(
        "manual.csv",
        "point,at,value,setting\n0,b,9,\n0w,b,6,BT1=6V\n1,p,6,\n1w,p,4,BT1=6V\n",
    );
    let readings = scratch.write("r.csv", "point,reading\n0,8.1\n1,5.4\n0w,5.9\n1w,4.0\n");
    let arguments = [
        "compare",
        &job,
        "-r",
        &readings,
        "--rails-as-read",
        "--format",
        "json",
    ];
    let document = json(&fairvolt(&arguments));
    for (label, want) in [("1", 8.1 * 2.0 / 3.0), ("1w", 4.0)] {
        let expected = point(&document, label)["reading"]["expected"].as_f64();
        assert!(
            (expected.unwrap() - want).abs() < 0.05,
            "{label}: {expected:?}"
        );
    }
    scratch.write("manual.csv", manual);
    let readings = scratch.write("r.csv", "point,reading\n1,6.0\n1w,4.0\n");
    let found = fairvolt(&["suspects", &job, "-r", &readings]);
    assert_eq!(found.exit, Exit::Done, "{}", found.out);
    // The higher volts decide how a point is marked.
    scratch.write(
        "manual.csv",
        "point,at,value,setting\n1,b,9,\n1w,b,60,BT1=60V\n",
    );
    let sheet = fairvolt(&["worksheet", &job]).out;
    let mark = |line: &str| line.contains("up to 6") && line.contains("manual 9 V");
    assert!(sheet.lines().any(mark), "{sheet}");
    scratch.write("manual.csv", "point,at,value,setting\n1,b,9,BT1=-9V\n");
    let told = fairvolt(&["check", &job]).complained();
    assert!(told.contains("the netlist gives it 9 V"), "{told}");
}

/// The grid of an oscillator that is drawn as an amplifier: how far the printed value pulls the drawing says
/// nothing of how sets scatter.
#[test]
fn limits_of_a_doubted_value_go_with_the_value() {
    for printed in ["-2.1", "-3", "-4.2", "-4.5", "-8", "-12"] {
        let scratch = practice(
            "20k/V",
            "ground c\nPS1: 250V source=1k, plus=b, minus=c\nR1: 22k, b to p\nR2: 47k, g to c\n\
             V1: 6C4, 1=p, 6=g, 7=c\n",
            &format!("point,at,value\n1,p,90\n2,g,{printed}\n"),
        );
        let job = scratch.path();
        let document = json(&fairvolt(&["translate", &job, "--format", "json"]));
        let point = point(&document, "2");
        assert_eq!(point["manual"]["standing"], "doubted", "{point}");
        let side = &point["bench"][0];
        let expected = side["expected"].as_f64().unwrap();
        // 20 % of the manual on either side: what the drawn grid scatters by, some tenths of a volt, is less.
        for (limit, share) in side["band"].as_array().unwrap().iter().zip([1.2, 0.8]) {
            let limit = limit.as_f64().unwrap();
            assert!((limit - share * expected).abs() < 1e-9, "{side}");
        }
    }
}

#[test]
fn a_set_read_with_a_signal_is_asked_about_it() {
    let netlist = "ground c\nPS1: 220V source=500R, plus=b, minus=c\nR1: 2.2k, b to p1\nR2: 33k, b to s1\n\
                   V1: 6BA6, 1=avc1, 2=k1, 3=c, 4=c, 5=p1, 6=s1, 7=k1\nR3: 100R, k1 to c\nR4: 1M, avc1 to avc\n\
                   R5: 2.2M, avc to det\nR6: 470k, det to c\nD1: 1N34A, anode=det, cathode=if\nL1: 10R, if to c\n\
                   V2: 6BA6, 1=avc2, 2=k2, 3=c, 4=c, 5=p2, 6=s2, 7=k2\nR7: 1M, avc2 to avc\nR8: 68R, k2 to c\n\
                   R9: 2.2k, b to p2\nR10: 33k, b to s2\n";
    let manual = "point,at,value\n1,p1,200\n2,s1,95\n3,k1,1.1\n4,avc,-0.1\n5,det,-0.1\n6,p2,195\n7,s2,85\n8,k2,0.9\n";
    let scratch = practice("20k/V", netlist, manual);
    // A strong station: 6 V of control volts, both tubes nearly cut off.
    let with = "point,reading\n1,213\n2,190\n3,0.25\n4,-5.5\n5,-6.1\n6,212\n7,185\n8,0.2\n";
    let readings = scratch.write("r.csv", with);
    let job = scratch.path();
    let asked = |job: &str| said(&fairvolt(&["suspects", job, "-r", &readings]).out);
    let words = "Points 4, 5: more negative than that allows";
    assert!(!asked(&job).contains(words), "{}", asked(&job));
    let settings = scratch.read("job.toml").replace(
        "[on-the-bench]",
        "conditions = \"No signal, volume at maximum\"\n[on-the-bench]",
    );
    scratch.write("job.toml", &settings);
    let told = asked(&job);
    assert!(told.contains("none of these"), "{told}");
    assert!(told.contains(words), "{told}");
    // One tube without emission is no signal.
    let readings = scratch.write(
        "r.csv",
        "point,reading\n1,218\n2,218\n3,0\n4,0\n5,0\n6,196\n7,88\n8,0.9\n",
    );
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings]).out);
    assert!(!told.contains("signal makes"), "{told}");
}
