//! Rows of the sheet: places that the manual names twice, and supplies taken as read.

use crate::support::{fairvolt, json, point, practice, sample, Scratch};

/// Every name of the intercom's manual, from its table and its socket chart.
fn names_of_intercom(sheet: &serde_json::Value) -> Vec<String> {
    let points = sheet["points"].as_array().unwrap().iter();
    let names = points.flat_map(|point| {
        let also = point["also"].as_array().unwrap().iter();
        std::iter::once(&point["point"]).chain(also)
    });
    names
        .filter_map(serde_json::Value::as_str)
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_name_and_both_values_stand_on_every_kind_of_sheet() {
    let folder = sample("lookout-intercom");
    let json = fairvolt(&["worksheet", &folder, "--format", "json"]).out;
    let json: serde_json::Value = serde_json::from_str(&json).unwrap();
    let scratch = Scratch::new();
    let path = format!("{}/sheet.html", scratch.path());
    fairvolt(&["worksheet", &folder, "--format", "html", "-o", &path]);
    let plain = |format: &str| fairvolt(&["worksheet", &folder, "--format", format]).out;
    let kinds = [
        plain("table"),
        plain("markdown"),
        plain("csv"),
        std::fs::read_to_string(&path).unwrap(),
    ];
    for written in kinds {
        let written = written.replace('\u{a0}', " ");
        for name in names_of_intercom(&json) {
            // The pages write the beginning of several names once: `V4 pin 1, 5`.
            let end = name.rsplit_once(' ').map_or(name.as_str(), |(_, end)| end);
            let found = written.contains(&name) || written.contains(&format!(", {end}"));
            assert!(found, "{name}");
        }
        assert!(written.contains("270") && written.contains("275"));
    }
    let text = plain("table");
    assert_eq!(text.lines().find(|line| line.chars().count() > 80), None);
    // The plate of V3 is 280 V under both its names, so that it is said once.
    assert_eq!(text.matches("280 V").count(), 1, "{text}");
    let csv = plain("csv");
    assert!(
        csv.contains("V3 pin 3: manual says 280 V with 20k/V on (1000 V)"),
        "{csv}"
    );
}

/// As docs/worksheet.md says.
#[test]
fn the_sheet_of_the_intercom_takes_five_pages_with_its_sockets() {
    let scratch = Scratch::new();
    let none = scratch.write("none.csv", "point,reading\n");
    let path = format!("{}/sheet.pdf", scratch.path());
    let folder = sample("lookout-intercom");
    for (paper, most) in [("a4", 5), ("letter", 6)] {
        let line = [
            "worksheet",
            &folder,
            "-r",
            &none,
            "--format",
            "pdf",
            "--paper",
            paper,
            "-o",
            &path,
        ];
        assert_eq!(fairvolt(&line).err, "");
        let file = lopdf::Document::load(&path).unwrap();
        let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
        assert!(numbers.len() <= most, "{} on {paper}", numbers.len());
        let text = file.extract_text(&numbers).unwrap();
        // All four sockets are among them.
        assert_eq!(text.matches("-pin miniature").count(), 3);
        assert_eq!(text.matches(", octal").count(), 1);
    }
}

/// What the readings say, all cautions and the word that defers to those who decide stand together.
#[test]
fn page_one_is_the_answer_and_the_cautions() {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    let scratch = Scratch::new();
    let path = format!("{}/sheet.pdf", scratch.path());
    let line = [
        "worksheet",
        &folder,
        "-r",
        &readings,
        "--format",
        "pdf",
        "-o",
        &path,
    ];
    assert_eq!(fairvolt(&line).err, "");
    let file = lopdf::Document::load(&path).unwrap();
    let page = |number: u32| file.extract_text(&[number]).unwrap();
    for words in ["4 FAIL", "C6", "Old oil may hold PCB", "licensed"] {
        assert!(page(1).contains(words), "{words}");
    }
    assert!(page(2).contains("Supply rails"));
}

#[test]
fn a_place_that_the_manual_names_twice_is_one_row_with_both_names() {
    let folder = sample("lookout-intercom");
    let sheet = fairvolt(&["worksheet", &folder, "--format", "json"]).out;
    let sheet: serde_json::Value = serde_json::from_str(&sheet).unwrap();
    let points = sheet["points"].as_array().unwrap();
    let names = names_of_intercom(&sheet);
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
    // Its plate is pin 3, which the chart prints as read with another meter: one row tells both.
    let of = |name: &str| points.iter().find(|point| point["point"] == name).unwrap();
    let plate = &of("9")["again"][0];
    assert_eq!(plate["point"], "V3 pin 3");
    assert_eq!(plate["manual"]["meter"], "20k/V");
    // The plate of V2A: 270 V in the table, 275 V in the chart.
    let plate = of("20");
    assert_eq!(plate["manual"]["value"], 270.0);
    assert_eq!(plate["again"][0]["manual"]["value"], 275.0);
    // The cathode of V2B may show 1 V by the table and far less by the chart: two rows, together.
    let place = |name: &str| points.iter().position(|point| point["point"] == name);
    assert_eq!(place("V2 pin 3"), place("23").map(|place| place + 1));
}

#[test]
fn a_low_rail_does_not_fail_the_sheet_if_it_is_taken_as_read() {
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
    assert!(drawn.contains("\n2 FAIL\n"), "{drawn}");
    assert!(as_read.contains("\n1 FAIL, 1 in order\n"), "{as_read}");
    assert!(as_read.contains("Supplies as read on the bench"));
}

#[test]
fn many_readings_are_drawn_in_several_pictures_with_letters_of_one_size() {
    let scratch = Scratch::new();
    let folder = format!("{}/set", scratch.path());
    std::fs::create_dir_all(&folder).unwrap();
    let mut netlist = String::from("ground chassis\nPS1: 250V, plus=top, minus=chassis\n");
    let mut manual = String::from("point,at,value\n");
    let mut readings = String::from("point,reading\n");
    for n in 1..=45 {
        netlist.push_str(&format!(
            "R{n}: 220k 5%, top to n{n}\nR{}: 330k 5%, n{n} to chassis\n",
            n + 100
        ));
        manual.push_str(&format!("tap{n:02},n{n},149\n"));
        readings.push_str(&format!("tap{n:02},99.5\n"));
    }
    scratch.write("set/circuit.netlist", &netlist);
    scratch.write("set/manual.csv", &manual);
    scratch.write("set/readings.csv", &readings);
    let settings = "[as-documented]\nmeter = \"11M\"\ntolerance = \"20%\"\n\
                    [on-the-bench]\nmeter = \"10M\"\n";
    scratch.write("set/job.toml", settings);
    let path = format!("{}/sheet.html", scratch.path());
    let run = fairvolt(&["worksheet", &folder, "--format", "html", "-o", &path]);
    assert_eq!(run.err, "");
    let html = std::fs::read_to_string(&path).unwrap();
    let pictures: Vec<&str> = html
        .split("<svg")
        .skip(1)
        .filter_map(|rest| rest.split("</svg>").next())
        .filter(|picture| picture.contains("box: allowed"))
        .collect();
    // 45 readings that fail, at most 13 in a picture.
    assert_eq!(pictures.len(), 4);
    for picture in &pictures {
        assert!(picture.contains("45 fail") && picture.contains("of 4"));
        let sizes = picture.split("font-size=\"").skip(1);
        let sizes: Vec<&str> = sizes.filter_map(|rest| rest.split('"').next()).collect();
        assert!(
            sizes.iter().all(|size| ["11", "13"].contains(size)),
            "{sizes:?}"
        );
    }
    let drawn = pictures.join(" ");
    for n in 1..=45 {
        assert_eq!(
            drawn.matches(&format!(">tap{n:02} n{n}<")).count(),
            1,
            "tap{n:02}"
        );
    }
}

/// Limits and values with their uncertainty, as a text sheet shows them.
fn pairs(sheet: &str) -> Vec<String> {
    let words: Vec<&str> = sheet.split_whitespace().collect();
    let threes = words
        .windows(3)
        .filter(|three| matches!(three[1], "…" | "±"));
    threes.map(|three| three.join(" ")).collect()
}

#[test]
fn no_number_is_split_across_lines_on_either_paper() {
    let scratch = Scratch::new();
    let path = format!("{}/sheet.pdf", scratch.path());
    let folder = sample("lookout-intercom");
    let text = fairvolt(&["worksheet", &folder]).out;
    let points = text.split("\nPoints\n").nth(1).unwrap();
    let points = points.split("\nNot translated").next().unwrap();
    let wanted = pairs(points);
    assert!(wanted.len() > 50, "{wanted:?}");
    for paper in ["a4", "letter"] {
        let arguments = ["--format", "pdf", "--paper", paper, "-o", &path];
        let line: Vec<&str> = ["worksheet", folder.as_str()]
            .into_iter()
            .chain(arguments)
            .collect();
        assert_eq!(fairvolt(&line).err, "");
        let file = lopdf::Document::load(&path).unwrap();
        let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
        let copied = file.extract_text(&numbers).unwrap().replace('\u{a0}', " ");
        for pair in &wanted {
            assert!(
                copied.lines().any(|line| line.contains(pair.as_str())),
                "{pair} on {paper}"
            );
        }
    }
}

/// A chart without a value for a grid: the sheet expects there what `translate` does, with a box and a danger mark, and
/// no limits. The grid that is printed keeps its limits when the blank row has the same place.
#[test]
fn a_row_without_a_printed_value_has_a_line_on_the_sheet() {
    let netlist = "ground chassis\nPS1: 250V, plus=bplus, minus=chassis\n\
        R1: 100k, bplus to plate\nR2: 1.5k, cath to chassis\nR3: 1M, grid to chassis\n\
        V1A: 12AX7, plate=plate, grid=grid, cathode=cath\nC1: 0.02uF, plate to next\n\
        R4: 470k, next to chassis\n";
    let manual =
        "point,at,value,note\n1,plate,150,\n2,cath,1.2,\nV1 pin 7,V1 pin 7,N.R.,loads the stage\n\
        3,next,,\n4,plate,,a second time\n5,elsewhere,-,\n";
    let scratch = practice("20k/V", netlist, manual);
    let folder = scratch.path();
    let carried = json(&fairvolt(&["translate", &folder, "--format", "json"]));
    let sheet = json(&fairvolt(&["worksheet", &folder, "--format", "json"]));
    for label in ["V1 pin 7", "3"] {
        let mut predicted = carried["predicted"].as_array().unwrap().iter();
        let predicted = predicted.find(|own| own["point"] == label).unwrap();
        let line = point(&sheet, label);
        let volts = |value: &serde_json::Value| value.as_f64().unwrap();
        // The sheet rounds to the tenth of a volt that a prediction is shown to at the coarsest.
        let on_sheet = volts(&line["bench"][0]["expected"]);
        let exact = volts(&predicted["expected"]);
        assert!(
            (on_sheet - exact).abs() <= 0.05,
            "{label}: {on_sheet}, {exact}"
        );
        assert!(line["manual"]["value"].is_null());
        assert_eq!(line["bench"][0]["band"], serde_json::json!([null, null]));
    }
    // A shorted coupler puts the plate's volts on the next grid.
    assert_eq!(point(&sheet, "3")["danger"]["word"], "LETHAL");
    assert_eq!(point(&sheet, "1")["also"], serde_json::json!(["4"]));
    let text = fairvolt(&["worksheet", &folder]).out;
    assert!(
        text.contains("manual N.R.") && text.contains("manual (none)"),
        "{text}"
    );
    assert!(text.contains("4 “a second time”"), "{text}");
    assert!(text.contains("No value printed: V1 pin 7, 3, 4"), "{text}");
    let rows = fairvolt(&["translate", &folder, "--format", "csv"]).out;
    assert_eq!(rows.matches("No value is printed:").count(), 3, "{rows}");
    let pins = fairvolt(&["worksheet", &folder, "--sockets", "--format", "csv"]).out;
    let pin = pins.lines().find(|line| line.contains("V1 pin 7"));
    assert!(
        pin.is_some_and(|pin| pin.contains("carried over")),
        "{pins}"
    );
}
