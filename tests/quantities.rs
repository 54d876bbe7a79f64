//! Resistances, currents and alternating volts as a user meets them: what to measure with the power
//! off, columns for a spreadsheet, sockets.

use std::collections::HashMap;

use fairvolt::Exit;

use crate::support::{fairvolt, json, point, practice, sample, Scratch};

/// Rows of a CSV output by their heads.
fn rows(text: &str) -> Vec<HashMap<String, String>> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    reader.deserialize().map(Result::unwrap).collect()
}

fn at_point<'a>(rows: &'a [HashMap<String, String>], point: &str) -> &'a HashMap<String, String> {
    rows.iter().find(|row| row["point"] == point).unwrap()
}

fn number(row: &HashMap<String, String>, head: &str) -> f64 {
    row[head].parse().unwrap()
}

#[test]
fn what_volts_leave_open_an_ohmmeter_settles() {
    let job = sample("lookout-intercom");
    let file = format!("{job}/readings-leaky-coupler.csv");
    let shown = fairvolt(&["suspects", &job, "-r", &file]);
    assert_eq!(shown.exit, Exit::Flagged);
    assert!(shown.out.lines().all(|line| line.chars().count() <= 80));
    let text = shown.out.replace('\n', " ").replace("  ", " ");
    let text = text.replace("  ", " ");
    assert!(text.contains("Measure ohms across C6: red to plate2, black to grid3"));
    // The next step is the one that hurts nobody.
    assert!(text.contains("Next: power off, plug out, capacitors discharged: measure ohms"));
    assert!(text.contains("over 20 MΩ if R9 drifted high"), "{text}");
    let found = json(&fairvolt(&[
        "suspects", &job, "-r", &file, "--format", "json",
    ]));
    // Across R9 or across C6: either tells.
    let all = found["next_ohms"].as_array().unwrap();
    let across = |at: &str, against: &str| {
        let here = |one: &&serde_json::Value| one["at"] == at && one["against"] == against;
        all.iter().position(|one| here(&one)).unwrap()
    };
    assert!(across("grid3", "bias") < 2);
    let place = across("plate2", "grid3");
    assert!(place < 2);
    let next = &all[place];
    // Beside the leak of some 3 MΩ lies the way through both resistors of the coupler and the supplies;
    // without the leak that way is all there is, and with R9 gone it is none.
    let ohms = next["predictions"][0]["value"].as_f64().unwrap();
    let leak = found["hypotheses"][0]["size"]["to"].as_f64().unwrap();
    assert!(ohms > 1e5 && ohms < leak, "{ohms}");
    assert!(next["predictions"][1]["value"].is_null());
    assert!(next["gain_bits"].as_f64().unwrap() > 0.3);
}

#[test]
fn spreadsheets_have_every_quantity_in_columns() {
    let job = sample("gate-post-preamplifier");
    let translated = rows(&fairvolt(&["translate", &job, "--format", "csv"]).out);
    for (point, unit, low, high) in [
        ("13", "ohm", 5e3, 12e3),
        ("16", "ohm", 450.0, 700.0),
        ("18", "A", 0.8e-3, 1.4e-3),
        ("19", "V", 0.4, 1.2),
    ] {
        let row = at_point(&translated, point);
        assert_eq!(row["unit"], unit);
        // Within a third or so of what is printed.
        let expected = number(row, "expected");
        assert!(expected > low && expected < high, "{point} {expected}");
        assert!(number(row, "band low") < expected && expected < number(row, "band high"));
        assert!(number(row, "uncertainty") > 0.0);
        assert!(row["unloaded (V)"].is_empty());
    }
    let compared = rows(&fairvolt(&["compare", &job, "--format", "csv"]).out);
    let current = at_point(&compared, "18");
    assert_eq!(
        (current["unit"].as_str(), current["verdict"].as_str()),
        ("A", "pass")
    );
    assert!((number(current, "reading") - 1.07e-3).abs() < 1e-9);
    assert!(number(current, "band low") < number(current, "reading"));
    assert_eq!(at_point(&compared, "16")["unit"], "ohm");
}

/// The chart's row was read on 500 V; its heater on the lowest range of 1,000 ohms per volt that holds 6.3 V.
#[test]
fn a_heater_is_not_read_on_the_range_of_its_row_of_the_chart() {
    let job = sample("watch-room-receiver");
    let table = fairvolt(&["translate", &job]).out;
    let heater = table.lines().find(|line| line.starts_with("V1 pin 2"));
    let heater: Vec<&str> = heater.unwrap().split_whitespace().collect();
    assert_eq!(heater[3..7], ["6.3", "V", "(10", "V)"]);
    assert!(table.contains("A range in brackets is assumed"), "{table}");

    let found = json(&fairvolt(&["translate", &job, "--format", "json"]));
    let of = |label: &str| {
        let all = found["quantities"].as_array().unwrap();
        all.iter()
            .find(|one| one["point"] == label)
            .unwrap()
            .clone()
    };
    let heater = of("V1 pin 2");
    assert_eq!(heater["manual_meter"], "1k/V");
    assert_eq!(heater["manual_range"], 10.0);
    assert_eq!(heater["manual_range_assumed"], true);
    assert_eq!(of("V5 pin 4")["manual_range"], 500.0);
    // Its meter is good to some per cent of full scale: of 500 V that made 24 V, of 10 V a fiftieth.
    let expanded = heater["bench"][0]["uncertainty"].as_f64().unwrap();
    assert!(
        expanded > 24.0 / 100.0 && expanded < 24.0 / 25.0,
        "{expanded}"
    );

    let columns = rows(&fairvolt(&["translate", &job, "--format", "csv"]).out);
    let row = at_point(&columns, "V1 pin 2");
    let range = ["manual range", "range assumed"].map(|head| row[head].as_str());
    assert_eq!(range, ["10", "yes"]);
    let sheet = json(&fairvolt(&["worksheet", &job, "--format", "json"]));
    let point = point(&sheet, "V6 pin 1");
    assert_eq!(point["manual"]["range"], 10.0);
    assert_eq!(point["manual"]["range_assumed"], true);
}

/// The words of a sheet with single blanks between them.
fn sheet_words(line: &[&str]) -> String {
    let run = fairvolt(line);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    run.out.split_whitespace().collect::<Vec<_>>().join(" ")
}

/// Pins at one node share a row of the sheet; the note of a further row of the chart names its own pin.
#[test]
fn a_note_in_a_row_of_several_points_names_its_own() {
    let sheet = sheet_words(&["worksheet", &sample("watch-room-receiver")]);
    let also =
        "also V4 pin 2, V3 pin 7, V2 pin 2, V1 pin 2; manual 6.3 V ac, 1k/V (10 V); set to 20 V;";
    let (before, said) = sheet.split_once(also).unwrap();
    assert!(before.ends_with("V6 pin 1 6.29 ± 0.51 V 5.03 … 7.55 V [________] [________] "));
    let notes = " “in its own socket”; V1 pin 2 “* plates through the IF primaries; † at 1000 kc”";
    assert!(said.starts_with(notes), "{said}");
    // Both plates of the rectifier have the same row.
    assert!(said.contains("V5 pin 4 !! 290 ± 25 V"), "{said}");
    assert!(said.contains("the same at V5 pin 6;"), "{said}");
}

/// Where the probes go, how it is measured, and a box, for every quantity.
#[test]
fn a_sheet_has_a_row_with_boxes_for_ohms_currents_and_alternating_volts() {
    let sheet = sheet_words(&["worksheet", &sample("gate-post-preamplifier")]);
    let (_, told) = sheet
        .split_once("Resistances, currents, alternating volts")
        .unwrap();
    let at = |words: &str| {
        told.find(words)
            .unwrap_or_else(|| panic!("{words}: {told}"))
    };
    // Ohms first, with the power off; each heading stands before its points.
    let places = [
        "power off, batteries out, capacitors discharged and proved so",
        "13 Q1 base",
        "meter in series, never across the part",
        "18 through R7",
        "Alternating volts",
        "19 line",
    ];
    let places: Vec<usize> = places.into_iter().map(at).collect();
    assert!(places.is_sorted(), "{places:?}");
    // Said in the heading, so not once more at each point.
    assert_eq!(told.matches("power off").count(), 3, "{told}");
    // As typed in the sample's readings, and as compare judges them.
    at("[ 7.4 kΩ ] [________]");
    at("[ 0.71 V ] [________] TOO COARSE;");
    at("[ 3.4 kΩ ] [________] TOO COARSE;");
    // Its leads stood the other way round than the manual's: without that it would seem to fail.
    at("1.31 … 1.97 kΩ");
    at("3.4 kΩ is judged with the leads exchanged, limits 2.94 … 4.42 kΩ");
}

/// Heaters of one winding say the same in one row; a second meter that reads alike is named in it.
#[test]
fn rows_that_say_the_same_are_one_and_every_meter_is_named() {
    let heaters = sheet_words(&["worksheet", &sample("lookout-intercom")]);
    assert!(heaters.contains("the same at V2 pin 4, 5, V1 pin 4, 5;"));
    let sheet = fairvolt(&["worksheet", &sample("signal-shed-set")]).out;
    let (_, told) = sheet.split_once("Alternating volts\n").unwrap();
    let (told, _) = told.split_once("Not translated").unwrap();
    assert!(told.lines().all(|line| line.chars().count() <= 80));
    let told = told.split_whitespace().collect::<Vec<_>>().join(" ");
    let firsts = told.matches("; with 10M on").count();
    assert!(firsts >= 6, "{told}");
    let second = |lead: &str| told.matches(&format!(" {lead} 20k/V on ")).count();
    assert_eq!(second("or") + second("with"), firsts, "{told}");
}

/// A row whose key has to be turned says so, and how to set it back.
#[test]
fn the_setting_of_a_row_that_is_no_direct_volts_is_said() {
    let scratch = Scratch::new();
    std::fs::create_dir_all(format!("{}/set", scratch.path())).unwrap();
    scratch.write(
        "set/circuit.netlist",
        "ground chassis\nPS1: 9V, plus=bplus, minus=chassis\nR1: 10k, bplus to out\n\
         S1: open, out to low\nR2: 10k, low to chassis\nR3: 47k, out to chassis\n",
    );
    scratch.write(
        "set/manual.csv",
        "point,at,quantity,value,setting\n1,out,,7.4,\n2,out,ohm,4.5k,S1=closed\n",
    );
    scratch.write(
        "set/job.toml",
        "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n",
    );
    let sheet = sheet_words(&["worksheet", &format!("{}/set", scratch.path())]);
    assert!(
        sheet.contains("with S1 closed; then open S1 again;"),
        "{sheet}"
    );
}

#[test]
fn a_doubtful_reading_of_another_quantity_is_not_in_order() {
    let run = fairvolt(&["compare", &sample("gate-post-preamplifier")]);
    assert!(run.out.contains("2 doubtful, 17 in order"), "{}", run.out);
    assert!(
        run.out
            .contains("14  Q1 collector, power off, leads exchanged\n"),
        "{}",
        run.out
    );
    assert!(run.out.contains("19  line, alternating volts\n"));
    // Each cell has its own unit, and the head none.
    let mut lines = run.out.lines().skip_while(|line| !line.contains("limits"));
    assert_eq!(
        (lines.next().is_some(), lines.next()),
        (true, Some("")),
        "{}",
        run.out
    );
    let next = "Next: nothing; every point that can be judged was read, and none fails.";
    assert!(run.out.contains(next), "{}", run.out);
}

#[test]
fn a_current_is_explained_in_its_own_unit() {
    let job = sample("gate-post-preamplifier");
    let run = fairvolt(&["suspects", &job, "--explain", "R7"]);
    assert!(run.out.contains("mA"), "{}", run.out);
    let table = rows(&fairvolt(&["suspects", &job, "--explain", "R7", "--format", "csv"]).out);
    let current = at_point(&table, "18");
    assert_eq!(current["unit"], "A");
    // The sample's reading.
    assert!((number(current, "reading") - 1.07e-3).abs() < 1e-9);
    assert_eq!(at_point(&table, "3")["unit"], "V");
    let notes = fairvolt(&["suspects", &job]).out.replace("\n  ", " ");
    assert!(notes.contains("Counted beside the direct volts: currents (18); resistances"));
}

#[test]
fn a_set_in_order_by_its_ohms_is_in_order() {
    // Point 14 was read with the leads the other way round than the manual's; it passes, and no part is
    // blamed for it.
    let job = sample("gate-post-preamplifier");
    let found = json(&fairvolt(&["suspects", &job, "--format", "json"]));
    assert_eq!(found["hypotheses"][0]["fault"], "nothing wrong");
    assert!(found["hypotheses"][0]["probability"].as_f64().unwrap() > 0.5);
}

#[test]
fn sockets_tell_ohms_and_alternating_volts_as_carried_over() {
    let job = sample("gate-post-preamplifier");
    let run = fairvolt(&["worksheet", &job, "--sockets", "--format", "csv"]);
    let table = rows(&run.out);
    let base = at_point(&table, "13");
    assert_eq!(base["how"], "carried over");
    // Both figures are in the one unit behind them.
    let shows = &base["shows (V)"];
    assert!(shows.contains(" ± ") && shows.ends_with(" kΩ"), "{shows}");
    assert_eq!(shows.matches('Ω').count(), 1, "{shows}");
    // Its reading is held against the leads the other way round, and so is what stands beside it.
    let turned = at_point(&table, "14");
    assert_eq!(turned["conditions"], "power off, leads exchanged");
    assert!(base["limits (V)"].ends_with("kΩ"));
    assert_eq!(base["conditions"], "power off");
}

#[test]
fn ohms_alone_find_a_part_without_any_power() {
    let scratch = Scratch::new();
    let folder = scratch.path();
    for (name, text) in [
        (
            "job.toml",
            "title = \"Bleeders\"\n[as-documented]\nmeter = \"20k/V\"\nreference = \"chassis\"\n\
             [on-the-bench]\nmeter = \"10M\"\n",
        ),
        (
            "circuit.netlist",
            "ground chassis\nPS1: 100V source=1R off=open, plus=b, minus=chassis\n\
             R1: 10k 5%, b to mid\nR2: 10k 5%, mid to chassis\nR3: 100k 5%, b to chassis\n",
        ),
        (
            "manual.csv",
            "point,at,against,quantity,value\n1,b,,ohm,17k\n2,mid,,ohm,9k\n3,b,mid,ohm,9k\n",
        ),
        // R2 has risen to 30 kΩ: 40 kΩ ∥ 100 kΩ, 30 kΩ ∥ 110 kΩ, 10 kΩ ∥ 130 kΩ.
        ("readings.csv", "point,reading\n1,28.6k\n2,23.6k\n3,9.29k\n"),
    ] {
        std::fs::write(format!("{folder}/{name}"), text).unwrap();
    }
    let found = json(&fairvolt(&["suspects", &folder, "--format", "json"]));
    assert_eq!(found["readings_used"], 3);
    let first = &found["hypotheses"][0];
    assert_eq!(
        (&first["part"], &first["fault"]),
        (&"R2".into(), &"drifted high".into())
    );
    // The size is fitted to the ohms: within the 5 % of the parts.
    let to = first["size"]["to"].as_f64().unwrap();
    assert!((to / 30e3 - 1.0).abs() < 0.1, "{to}");
    let shown = fairvolt(&["suspects", &folder]).out;
    assert!(shown.contains("R2 10 kΩ"), "{shown}");
    assert!(
        shown.contains("lift one end of R2 and measure it (10 kΩ ± 5 %)"),
        "{shown}"
    );
}

/// The line is disconnected while ohms are read, and its half ohm is not across the heater string.
#[test]
fn a_string_of_heaters_is_read_with_the_plug_out() {
    let netlist = "ground b\nG1: 117V ac 60Hz source=0.5R off=open, hot to b\n\
        R1: 233R, hot to h1\nR2: 333R, h1 to h2\nR3: 252R, h2 to b\n";
    let manual = "point,at,value,quantity\n1,hot,818,ohm\n2,h1,85,ac V\n";
    let scratch = practice("20k/V", netlist, manual);
    let document = json(&fairvolt(&[
        "translate",
        &scratch.path(),
        "--format",
        "json",
    ]));
    let rows = document["quantities"].as_array().unwrap();
    // 233 + 333 + 252 Ω.
    let ohms = rows[0]["drawing"].as_f64().unwrap();
    assert!((ohms - 818.0).abs() < 1e-6, "{ohms}");
    // 117 V · 585/818 on a meter that hardly loads it: 0.6 % for the source and the meter's 5 kΩ/V.
    let volts = rows[1]["drawing"].as_f64().unwrap();
    assert!(
        (volts - 117.0 * 585.0 / 818.0).abs() < 0.006 * 83.7,
        "{volts}"
    );
}
