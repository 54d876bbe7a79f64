//! Test gear and audio sets: high volts behind a probe, bridges that heat, repairs half done.

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, said};

/// A divider behind a battery.
const DIVIDER: &str =
    "ground c\nBT1: 9V source=2R, plus=b, minus=c\nR1: 1k, b to p\nR2: 2k, p to c\n";

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
    assert!(
        told.contains("`PS9: 9.5V line, plus=raw, minus=c`"),
        "{told}"
    );
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

#[test]
fn a_control_whose_wiper_is_the_reference_is_left_where_it_stands() {
    let netlist =
        "ground c\nPS1: 30V source=1k, plus=b, minus=c\nR1: 10k, b to p\nR2: 10k, p to x\n\
                   R3: pot 2k at 50%, cw=x, wiper=c, ccw=y\nR4: 10k, y to q\nR5: 10k, q to b\n";
    let scratch = practice("20k/V", netlist, "point,at,value\n1,p,15\n");
    let readings = scratch.write("r.csv", "point,reading\n1,25\n");
    let told = said(&fairvolt(&["suspects", &scratch.path(), "-r", &readings]).out);
    assert!(told.contains("black to c"), "{told}");
    assert!(!told.contains("Set R3"), "{told}");
}

#[test]
fn a_rheostat_may_be_set_elsewhere() {
    // 1 kΩ of it are drawn; 15 · 2 / 3 V stand across 2 kΩ.
    let netlist = "ground c\nPS1: 15V, plus=b, minus=c\nR1: 1k 5%, b to p\n\
                   R3: pot 2k at 50%, cw=p, wiper=p, ccw=c\nR4: R5 5%, b to t\nR5: 100R 5%, t to c\n";
    let scratch = practice(
        "20k/V",
        netlist,
        "point,at,value\n1,b,15\n2,p,7.5\n3,R4,0.075\n",
    );
    let readings = scratch.write("r.csv", "point,reading\n1,15.0\n2,10.0\n3,0.0746\n");
    let job = scratch.path();
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings]).out);
    assert!(told.contains("is set to between"), "{told}");
    assert!(
        told.contains("see where R3 stands: it should be at 50 %"),
        "{told}"
    );
    let readings = scratch.write("r.csv", "point,reading\n1,15.0\n2,7.5\n3,0.15\n");
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings]).out);
    assert!(told.contains("R4 0.5 Ω"), "{told}");
    assert!(!told.contains("mΩ"), "{told}");
}

/// 1.6 kV behind 10 kΩ: a meter that ends at 1000 V has no business there, a probe has.
#[test]
fn no_meter_is_sent_above_its_highest_range() {
    let scratch = practice(
        "20k/V",
        "ground c\nPS1: 1600V source=10k, plus=hv, minus=c\nR1: 2M, hv to f\nR2: 2M, f to c\n",
        "point,at,value,range\n1,hv,1500,5kV\n2,f,700,1000V\n",
    );
    let job = scratch.path();
    // By hand 1600 V · 4 MΩ/4.01 MΩ = 1596 V without a meter.
    let words = "Point 1: above every range of 10M: do not connect it there.";
    let table = fairvolt(&["translate", &job, "-m", "10M"]).out;
    assert!(said(&table).contains(words), "{table}");
    let both = fairvolt(&["translate", &job, "-m", "10M", "-m", "11M"]).out;
    assert!(both.contains("10M over 1000 V"), "{both}");
    let sheet = said(&fairvolt(&["worksheet", &job, "-m", "10M"]).out);
    assert!(sheet.contains("do not connect it there"), "{sheet}");
    assert!(!sheet.contains("set to 1000 V; manual 1500 V"), "{sheet}");
    scratch.write(
        "meters.toml",
        "[probe]\ninput = \"10M\"\nranges = [\"20V\", \"200V\"]\naccuracy = \"3%\"\n\
         probe = \"990M in series, reading multiplied\"\n",
    );
    // The sheet names the meter that bears it, and that alone.
    let sheet = fairvolt(&["worksheet", &job, "-m", "10M", "-m", "probe"]).out;
    let point = sheet.split("\n1 !!").nth(1).unwrap().split("\n2 !!").next();
    let point = said(point.unwrap());
    assert!(point.contains("with probe on 2000 V"), "{point}");
    assert!(!point.contains("10M on"), "{point}");
    // Nor does advice: of two faults one leaves 1.6 kV at hv.
    let readings = scratch.write("readings.csv", "point,reading,meter\n2,0.0,10M\n");
    let told = said(&fairvolt(&["suspects", &job, "-r", &readings]).out);
    assert!(!told.contains("red to hv, black to c, 10M on"), "{told}");
}

#[test]
fn a_sound_capacitor_may_leak_into_a_printed_zero() {
    let netlist = |capacitor: &str| {
        format!(
            "ground c\nPS1: 300V source=1k, plus=b, minus=c\nR1: 100k, b to p\n\
             C1: {capacitor}, p to g\nR2: 470k, g to c\n"
        )
    };
    let limit = |capacitor: &str| {
        let scratch = practice(
            "11M",
            &netlist(capacitor),
            "point,at,value\n1,p,299\n2,g,0\n",
        );
        let job = scratch.path();
        let readings = scratch.write("r.csv", "point,reading\n1,299\n2,0.02\n");
        let compared = fairvolt(&["compare", &job, "-r", &readings]);
        let document = json(&fairvolt(&["translate", &job, "--format", "json"]));
        let side = &point(&document, "2")["bench"][0];
        (side["band"].clone(), compared.exit)
    };
    // Ohm's law: 300 V across 3 GΩ and 470 kΩ, 449 kΩ of it with 10 MΩ across, make 45 mV.
    let (band, exit) = limit("10nF");
    let high = band[1].as_f64().unwrap();
    assert!(high > 0.045 && high < 3.0 * 0.045, "{band}");
    assert_eq!(exit, Exit::Done);
    // One that states that it leaks less is taken at its word: 0.13 mV across 1 TΩ.
    let (band, exit) = limit("10nF leak=1000G");
    assert!(band[1].as_f64().unwrap() < 0.01, "{band}");
    assert_eq!(exit, Exit::Flagged);
}

/// A probe of 3 % of 1.5 kV cannot tell 144 V from 130 V; where it is needed it has its line.
#[test]
fn a_probe_for_kilovolts_is_not_offered_where_it_is_too_coarse() {
    let netlist = "ground c\nPS1: 288V, plus=b, minus=c\nR1: 10k 1%, b to p\nR2: 10k 1%, p to c\n\
                   PS2: 1600V source=100k, plus=c, minus=hv\nR3: 4.7M 5%, hv to c\n";
    let job = practice(
        "VTVM",
        netlist,
        "point,at,value,range\n1,p,144,150V\n2,hv,-1570,5000V\n",
    );
    let probe =
        "[probe]\ninput = \"11M\"\nranges = [\"15V\", \"50V\"]\naccuracy = \"3% of full scale\"\n\
                 probe = \"1089M in series, reading multiplied\"\n";
    job.write("meters.toml", probe);
    let settings = "[as-documented]\nmeter = \"VTVM\"\ntolerance = \"10%\"\n[on-the-bench]\nmeter = [\"10M\", \"probe\"]\n";
    job.write("job.toml", settings);
    let sheet = said(&fairvolt(&["worksheet", &job.path()]).out);
    for words in ["with 10M on 200 V", "with probe on 5000 V"] {
        assert!(sheet.contains(words), "{words}: {sheet}");
    }
    // Nor does a phrase end in a full stop before the next one.
    for words in ["or probe", "read either", ".;"] {
        assert!(!sheet.contains(words), "{words}: {sheet}");
    }
}
