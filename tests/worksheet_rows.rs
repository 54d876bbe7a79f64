//! Rows of the sheet: places that the manual names twice, and supplies taken as read.

use crate::support::{fairvolt, sample, Scratch};

#[test]
fn a_place_that_the_manual_names_twice_is_one_row_with_both_names() {
    let folder = sample("lookout-intercom");
    let sheet = fairvolt(&["worksheet", &folder, "--format", "json"]).out;
    let sheet: serde_json::Value = serde_json::from_str(&sheet).unwrap();
    let points = sheet["points"].as_array().unwrap();
    let names: Vec<&str> = points
        .iter()
        .flat_map(|point| {
            let also = point["also"].as_array().unwrap().iter();
            std::iter::once(&point["point"]).chain(also)
        })
        .filter_map(serde_json::Value::as_str)
        .collect();
    // The table and the socket chart together: none is lost, none stands twice.
    let check = fairvolt(&["translate", &folder, "--format", "json"]).out;
    let check: serde_json::Value = serde_json::from_str(&check).unwrap();
    let all = check["points"].as_array().unwrap().len()
        + check["not_translated"].as_array().map_or(0, Vec::len);
    assert_eq!(names.len(), all);
    assert!(points.len() + 8 < all, "{} of {all}", points.len());
    // The cathode of V3 is its pin 8; both say 0.35 V.
    let cathode = points.iter().find(|point| point["point"] == "12").unwrap();
    assert_eq!(cathode["also"][0], "V3 pin 8");
    // Its plate is pin 3, which the chart prints as read with another meter: two rows, together.
    let place = |name: &str| points.iter().position(|point| point["point"] == name);
    assert_eq!(place("V3 pin 3"), place("9").map(|place| place + 1));
}

#[test]
fn a_low_rail_does_not_condemn_the_sheet_if_it_is_taken_as_read() {
    let scratch = Scratch::new();
    std::fs::create_dir_all(format!("{}/set", scratch.path())).unwrap();
    let netlist = "ground chassis\nPS1: 250V 5% source=100R, plus=top, minus=chassis\n\
                   R1: 220k 5%, top to a\nR2: 330k 5%, a to chassis\n";
    scratch.write("set/circuit.netlist", netlist);
    scratch.write(
        "set/manual.csv",
        "point,at,value\nrail,top,250\ntap,a,149\n",
    );
    scratch.write("set/readings.csv", "point,reading\nrail,180.0\ntap,107.4\n");
    let settings = "[as-documented]\nmeter = \"11M\"\ntolerance = \"10%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    scratch.write("set/job.toml", settings);
    let folder = format!("{}/set", scratch.path());
    let drawn = fairvolt(&["worksheet", &folder]).out;
    let as_read = fairvolt(&["worksheet", &folder, "--rails-as-read"]).out;
    let verdict = |sheet: &str| {
        let after = sheet.split("red to a,").nth(1).unwrap().to_owned();
        after.split("remarks").next().unwrap().to_owned()
    };
    assert!(verdict(&drawn).contains("FAIL"), "{drawn}");
    assert!(verdict(&as_read).contains("pass"), "{as_read}");
    assert!(as_read.contains("Supplies as read on the bench"));
}
