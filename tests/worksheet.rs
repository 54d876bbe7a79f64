//! The sheet on paper: HTML and PDF, many sets, the chart for the manual.

use std::path::Path;

use fairvolt::Exit;

use crate::support::{fairvolt, sample, Scratch};

/// A name with signs that every format has to write in its own way.
const AWKWARD: &str = "R<7>&|µΔΩ";

/// A job with one divider a point, `points` of them, whose labels are given.
pub fn job(scratch: &Scratch, labels: &[String], extra: &str) -> String {
    let folder = format!("{}/set", scratch.path());
    std::fs::create_dir_all(&folder).unwrap();
    let mut netlist = String::from("ground chassis\nPS1: 250V, plus=bplus, minus=chassis\n");
    let mut manual = String::from("point,at,value,range\n");
    for (index, label) in labels.iter().enumerate() {
        let number = index + 1;
        netlist.push_str(&format!(
            "R{number}: 220k 10%, bplus to n{number}\nR{}: 330k 10%, n{number} to chassis\n",
            1000 + number
        ));
        manual.push_str(&format!("\"{label}\",n{number},140,250V\n"));
    }
    scratch.write("set/circuit.netlist", &netlist);
    scratch.write("set/manual.csv", &manual);
    scratch.write(
        "set/job.toml",
        &format!(
            "title = \"Set <4> & co | {AWKWARD}\"\n{extra}\n[as-documented]\nmeter = \"20k/V\"\n\
             tolerance = \"20%\"\n[on-the-bench]\nmeter = \"10M\"\n"
        ),
    );
    folder
}

pub fn numbered(count: usize) -> Vec<String> {
    (1..=count).map(|n| format!("point{n:03}")).collect()
}

/// The file that a worksheet is written to.
pub fn file(scratch: &Scratch, name: &str, arguments: &[&str]) -> Vec<u8> {
    let path = format!("{}/{name}", scratch.path());
    let line: Vec<&str> = ["worksheet"]
        .iter()
        .chain(arguments)
        .chain(&["-o", path.as_str()])
        .copied()
        .collect();
    let run = fairvolt(&line);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    std::fs::read(Path::new(&path)).unwrap()
}

/// The text of a PDF as another reader copies it out, and the number of its pages.
pub fn copied(bytes: &[u8]) -> (String, usize) {
    let file = lopdf::Document::load_mem(bytes).unwrap();
    let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
    (file.extract_text(&numbers).unwrap(), numbers.len())
}

pub fn tree(written: &str) -> roxmltree::Document<'_> {
    let options = roxmltree::ParsingOptions {
        allow_dtd: true,
        ..roxmltree::ParsingOptions::default()
    };
    roxmltree::Document::parse_with_options(written, options).unwrap()
}

fn words(document: &roxmltree::Document<'_>) -> String {
    let texts = document.descendants().filter(|node| node.is_text());
    texts
        .filter_map(|node| node.text())
        .collect::<Vec<_>>()
        .join(" ")
}

#[test]
fn two_hundred_points_are_paged_and_each_stands_there_once() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(200), "");
    for paper in ["a4", "letter"] {
        let arguments = [folder.as_str(), "--format", "pdf", "--paper", paper];
        let bytes = file(&scratch, "sheet.pdf", &arguments);
        let (text, pages) = copied(&bytes);
        assert!(pages > 8, "{pages}");
        for label in numbered(200) {
            assert_eq!(text.matches(&label).count(), 1, "{label} on {paper}");
        }
        for number in 1..=pages {
            let foot = format!("page {number} of {pages}");
            assert!(text.contains(&foot), "{foot}");
        }
        // The heading of the columns is on every page that has points, so on all but two at most.
        assert!(text.matches("should show").count() + 2 >= pages);
        assert_eq!(file(&scratch, "again.pdf", &arguments), bytes, "{paper}");
    }
}

#[test]
fn both_faces_of_a_pdf_are_embedded_and_no_time_is_in_it() {
    let scratch = Scratch::new();
    let folder = sample("lookout-intercom");
    let bytes = file(&scratch, "sheet.pdf", &[&folder, "--format", "pdf"]);
    let file = lopdf::Document::load_mem(&bytes).unwrap();
    let dictionaries = || {
        file.objects
            .values()
            .filter_map(|object| object.as_dict().ok())
    };
    let embedded = dictionaries()
        .filter(|dictionary| dictionary.has_type(b"FontDescriptor"))
        .filter(|dictionary| dictionary.has(b"FontFile2") || dictionary.has(b"FontFile3"));
    assert_eq!(embedded.count(), 2);
    assert!(!dictionaries().any(|dictionary| dictionary.has(b"CreationDate")));
}

#[test]
fn awkward_names_come_out_right_in_every_format() {
    let scratch = Scratch::new();
    let long = "x".repeat(120);
    let folder = job(&scratch, &[AWKWARD.to_owned(), long.clone()], "");
    let html = String::from_utf8(file(&scratch, "s.html", &[&folder, "--format", "html"])).unwrap();
    let document = tree(&html);
    let shown = words(&document);
    assert!(shown.contains(AWKWARD) && shown.contains(&long), "{shown}");
    assert!(shown.contains(&format!("Set <4> & co | {AWKWARD}")));
    assert!(!html.contains("R<7>"));
    // A long name is broken over lines, so that only its letters can be counted.
    let (text, _) = copied(&file(&scratch, "s.pdf", &[&folder, "--format", "pdf"]));
    assert!(text.matches('x').count() >= 120);
    assert!(text.contains("µΔΩ"), "{text}");
    let table = fairvolt(&["worksheet", &folder]).out;
    assert!(table.contains(AWKWARD));
    assert_eq!(table.lines().find(|line| line.chars().count() > 80), None);
    let markdown = fairvolt(&["worksheet", &folder, "--format", "markdown"]).out;
    assert!(markdown.contains("R\\<7\\>\\&\\|µΔΩ"), "{markdown}");
    let csv = fairvolt(&["worksheet", &folder, "--format", "csv"]).out;
    assert!(csv.contains(AWKWARD) && csv.contains(&long));
    for format in ["html", "pdf"] {
        file(&scratch, "chart", &[&folder, "--chart", "--format", format]);
    }
}

#[test]
fn every_point_of_a_sample_stands_in_the_browser_page_with_its_cautions() {
    let scratch = Scratch::new();
    let folder = sample("lookout-intercom");
    let html = String::from_utf8(file(&scratch, "s.html", &[&folder, "--format", "html"])).unwrap();
    let document = tree(&html);
    let shown = words(&document);
    for want in [
        "Supply rails",
        "V3: 6V6",
        "V1: 12AX7",
        "Unplug the set",
        "not a safety procedure",
        "LETHAL",
        "should show",
        "as left",
    ] {
        assert!(shown.contains(want), "{want}");
    }
    // From the output to the input, and the rails before all of them.
    let at = |words: &str| shown.find(words).unwrap();
    assert!(at("Supply rails") < at("V3: 6V6"));
    assert!(at("V3: 6V6") < at("V2: 12AU7") && at("V2: 12AU7") < at("V1: 12AX7"));
}

#[test]
fn the_order_of_the_job_is_kept() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(2), "");
    scratch.write(
        "set/circuit.netlist",
        "ground chassis\nPS1: 250V, plus=bplus, minus=chassis\n\
         R1: 220k, bplus to n1\nR2: 2.2k, k1 to chassis\nV1A: 12AX7, plate=n1, grid=chassis, cathode=k1\n\
         R3: 220k, bplus to n2\nR4: 2.2k, k2 to chassis\nV2A: 12AX7, plate=n2, grid=chassis, cathode=k2\n",
    );
    let heads = |folder: &str| -> Vec<String> {
        let out = fairvolt(&["worksheet", folder, "--format", "markdown"]).out;
        let lines = out.lines().filter(|line| line.starts_with("### "));
        lines.map(str::to_owned).collect()
    };
    assert_eq!(heads(&folder), ["### V2: 12AX7", "### V1: 12AX7"]);
    let settings = scratch.read("set/job.toml");
    let ordered = format!("{settings}[worksheet]\norder = [\"V1\", \"V2\"]\n");
    scratch.write("set/job.toml", &ordered);
    assert_eq!(heads(&folder), ["### V1: 12AX7", "### V2: 12AX7"]);
}

#[test]
fn a_live_chassis_is_marked_in_every_format_and_on_every_page() {
    let scratch = Scratch::new();
    let folder = job(
        &scratch,
        &numbered(40),
        "hot-chassis = true\nserial = \"77\"",
    );
    for format in ["table", "markdown"] {
        let out = fairvolt(&["worksheet", &folder, "--format", format]).out;
        let mark = out.find("LIVE CHASSIS").unwrap();
        assert!(mark < out.find("Manual read with").unwrap(), "{format}");
        assert!(out.contains("77"), "{format}");
    }
    let (text, pages) = copied(&file(&scratch, "s.pdf", &[&folder, "--format", "pdf"]));
    // Once on every page in the running head, and once more at the top of the sheet.
    assert!(pages > 2);
    assert_eq!(text.matches("LIVE CHASSIS").count(), pages + 1);
    let html = String::from_utf8(file(&scratch, "s.html", &[&folder, "--format", "html"])).unwrap();
    assert!(html.contains("LIVE CHASSIS"));
}

#[test]
fn a_summary_has_one_line_a_set_with_its_worst_point() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(2), "");
    let readings = scratch.write(
        "many.csv",
        "point,reading,set,date\npoint001,141,7,\npoint002,141,7,\npoint001,20,8,1962-04-30\n\
         point002,141,8,1962-04-30\n",
    );
    let run = fairvolt(&[
        "compare",
        &folder,
        "-r",
        &readings,
        "--summary",
        "--format",
        "csv",
    ]);
    assert_eq!(run.exit, Exit::Flagged, "{}", run.err);
    let rows: Vec<Vec<&str>> = run
        .out
        .lines()
        .map(|line| line.split(',').collect())
        .collect();
    assert_eq!(rows.len(), 3, "{}", run.out);
    assert_eq!(rows[1][1..4], ["7", "", "2"]);
    assert_eq!(rows[1][7], "0");
    assert_eq!(rows[2][1..4], ["8", "1962-04-30", "2"]);
    assert_eq!(
        (rows[2][7], rows[2][9], rows[2][11]),
        ("1", "point001", "fail")
    );
    let table = fairvolt(&["compare", &folder, "-r", &readings, "--summary"]);
    assert_eq!(
        table.out.lines().find(|line| line.chars().count() > 80),
        None
    );
    let json = fairvolt(&[
        "compare",
        &folder,
        "-r",
        &readings,
        "--summary",
        "--format",
        "json",
    ]);
    assert_eq!(json.exit, Exit::BadInput);
}

#[test]
fn a_chart_carries_the_table_and_the_sockets_over_and_marks_what_it_could_not() {
    let scratch = Scratch::new();
    let folder = sample("lookout-intercom");
    let run = fairvolt(&["worksheet", &folder, "--chart"]);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    assert_eq!(run.out.lines().find(|line| line.chars().count() > 80), None);
    assert!(run.out.contains("Socket chart with 10M"));
    // It belongs to the manual: the bench's own meter and line have no place in it.
    assert!(!run.out.contains("bench-dmm") && !run.out.contains("119"));
    let heater = run
        .out
        .lines()
        .find(|line| line.starts_with("V3 "))
        .unwrap();
    assert!(heater.contains("6.3 V ac*"), "{heater}");
    // The manual's own −13.0 V at 470 kΩ was read with 1 MΩ; 10 MΩ load it far less.
    let grid = heater
        .split_whitespace()
        .find(|word| word.starts_with('−'))
        .unwrap();
    let volts: f64 = grid.replace('−', "-").parse().unwrap();
    assert!(volts < -17.0, "{heater}");
    let other = fairvolt(&[
        "worksheet",
        &folder,
        "--chart",
        "-m",
        "11M",
        "--format",
        "csv",
    ]);
    assert!(
        other.out.contains(",11M,") && other.out.contains("as printed"),
        "{}",
        other.out
    );
    let json = fairvolt(&["worksheet", &folder, "--chart", "--format", "json"]);
    assert_eq!(json.exit, Exit::BadInput);
    let bytes = file(
        &scratch,
        "chart.pdf",
        &[&folder, "--chart", "--format", "pdf"],
    );
    let (text, _) = copied(&bytes);
    assert!(text.contains("computed, not measured"), "{text}");
}

#[test]
fn a_page_never_replaces_a_file_of_the_job() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(1), "");
    let target = format!("{folder}/manual.csv");
    let before = scratch.read("set/manual.csv");
    let run = fairvolt(&["worksheet", &folder, "--format", "pdf", "-o", &target]);
    assert_eq!(run.exit, Exit::BadInput);
    assert_eq!(scratch.read("set/manual.csv"), before);
}
