//! Readings on the sheet: as found and as left, by meter and by set.

use fairvolt::Exit;

use crate::support::{fairvolt, sample, Scratch};
use crate::worksheet::{copied, file, job, numbered, tree};

#[test]
fn as_found_and_as_left_fill_their_boxes_and_say_what_changed() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(2), "");
    // The later date stands in the first file: the dates decide.
    let left = scratch.write(
        "left.csv",
        "point,reading,set,date\npoint001,141.5,7,1962-05-02\n",
    );
    let found = scratch.write(
        "found.csv",
        "point,reading,set,date\npoint001,98.0,7,1962-04-30\npoint002,140.0,7,1962-04-30\n",
    );
    let sheet = fairvolt(&["worksheet", &folder, "-r", &left, "-r", &found]);
    assert_eq!(sheet.exit, Exit::Done, "{}", sheet.err);
    // 141.5 − 98.0 = 43.5 V.
    let row = |sheet: &str, point: &str| -> String {
        let mut rows = sheet.lines().filter(|line| line.starts_with(point));
        rows.next()
            .unwrap()
            .split_whitespace()
            .collect::<Vec<_>>()
            .join(" ")
    };
    assert!(
        row(&sheet.out, "point001").ends_with("[ 98.0 ] [ 141.5 ]"),
        "{}",
        sheet.out
    );
    let flat = sheet.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("changed by +43.5 V"), "{}", sheet.out);
    assert!(row(&sheet.out, "point002").ends_with("[ 140.0 ] [________]"));
    let compared = fairvolt(&["compare", &folder, "-r", &left, "-r", &found]);
    // What was found is on record; the set as it was left passes.
    assert_eq!(compared.exit, Exit::Done, "{}", compared.err);
    assert!(
        compared.out.contains("Read more than once"),
        "{}",
        compared.out
    );
    assert!(compared.out.contains("+43.5"), "{}", compared.out);
    let (text, _) = copied(&file(
        &scratch,
        "s.pdf",
        &[&folder, "-r", &left, "-r", &found, "--format", "pdf"],
    ));
    assert!(text.contains("98.0") && text.contains("+43.5"), "{text}");
}

#[test]
fn two_files_without_dates_are_before_and_after_and_no_slip() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(1), "");
    let before = scratch.write("before.csv", "point,reading\npoint001,98.0\n");
    let after = scratch.write("after.csv", "point,reading\npoint001,141.5\n");
    let sheet = fairvolt(&["worksheet", &folder, "-r", &before, "-r", &after]);
    assert_eq!(sheet.err, "");
    let flat = sheet.out.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(flat.contains("[ 98.0 ] [ 141.5 ]"), "{}", sheet.out);
    assert!(flat.contains("changed by +43.5 V"), "{}", sheet.out);
    let slip = scratch.write("slip.csv", "point,reading\npoint001,98.0\npoint001,141.5\n");
    let sheet = fairvolt(&["worksheet", &folder, "-r", &slip]);
    assert!(
        sheet.complained().contains("a second time"),
        "{}",
        sheet.err
    );
}

#[test]
fn suspects_on_a_sheet_go_by_what_was_read_last() {
    let folder = sample("lookout-intercom");
    let [healthy, leaky] = ["readings.csv", "readings-leaky-coupler.csv"];
    let [healthy, leaky] = [healthy, leaky].map(|name| format!("{folder}/{name}"));
    let suspects = |files: &[&str]| -> String {
        let mut line = vec!["worksheet", folder.as_str()];
        line.extend(files.iter().flat_map(|file| ["-r", file]));
        let out = fairvolt(&line).out;
        let from = out.find("Suspects by").unwrap();
        out[from..out.find("\nNotes\n").unwrap()].to_owned()
    };
    assert_eq!(suspects(&[&leaky, &healthy]), suspects(&[&healthy]));
    assert_eq!(suspects(&[&healthy, &leaky]), suspects(&[&leaky]));
    assert_ne!(suspects(&[&healthy]), suspects(&[&leaky]));
}

#[test]
fn a_reading_stands_in_the_row_of_its_meter() {
    let scratch = Scratch::new();
    let folder = job(&scratch, &numbered(1), "");
    let read = scratch.write("read.csv", "point,reading,meter\npoint001,131,20k/V\n");
    let arguments = [
        &folder, "-m", "10M", "-m", "20k/V", "-r", &read, "--format", "html",
    ];
    let html = String::from_utf8(file(&scratch, "s.html", &arguments)).unwrap();
    let document = tree(&html);
    let rows: Vec<String> = document
        .descendants()
        .filter(|node| node.has_tag_name("tr"))
        .map(|row| {
            let texts = row.descendants().filter(|node| node.is_text());
            texts
                .filter_map(|node| node.text())
                .collect::<Vec<_>>()
                .join(" ")
        })
        .map(|row| row.replace('\u{a0}', " "))
        .filter(|row| row.contains("with 10M") || row.contains("with 20k/V"))
        .collect();
    assert!(
        rows[0].contains("with 10M") && !rows[0].contains("131 "),
        "{rows:?}"
    );
    assert!(
        rows[1].contains("with 20k/V") && rows[1].contains("131"),
        "{rows:?}"
    );
}

#[test]
fn readings_of_several_sets_leave_the_boxes_empty_unless_the_job_names_one() {
    let scratch = Scratch::new();
    let readings = "point,reading,set\npoint001,141,7\npoint001,98,8\n";
    let folder = job(&scratch, &numbered(1), "");
    scratch.write("set/readings.csv", readings);
    let out = fairvolt(&["worksheet", &folder]).out;
    assert!(out.contains("[________]  [________]"), "{out}");
    assert!(out.contains("several sets, 7, 8"), "{out}");
    job(&scratch, &numbered(1), "serial = \"8\"");
    let out = fairvolt(&["worksheet", &folder]).out;
    assert!(out.contains("[ 98 ]"), "{out}");
}
