//! Sockets from the command line: which pin says what, which are black, how many pages, what is refused.

use fairvolt::Exit;

use crate::support::{fairvolt, json, sample, Scratch};

/// The intercom with a leaky coupler, drawn.
fn drawn() -> String {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    let run = fairvolt(&[
        "worksheet",
        &folder,
        "--sockets",
        "-r",
        &readings,
        "--format",
        "svg",
    ]);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    run.out
}

/// Texts with their places, weights and inks, in the order of the file.
fn texts(picture: &str) -> Vec<(String, f64, f64, String)> {
    let document = roxmltree::Document::parse(picture).unwrap();
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| -> f64 {
        node.attribute(name).unwrap().parse().unwrap()
    };
    document
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")))
        .map(|node| {
            (
                node.text().unwrap_or_default().to_owned(),
                number(&node, "x"),
                number(&node, "y"),
                node.attribute("fill").unwrap().to_owned(),
            )
        })
        .collect()
}

/// The pins of the points that fail, by the netlist of the intercom: V3 grid is pin 5, its cathode pin 8; the
/// other failing points lie across parts.
#[test]
fn pins_of_failing_points_are_black_and_say_so() {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    let compared = json(&fairvolt(&[
        "compare", &folder, "-r", &readings, "--format", "json",
    ]));
    let failing: Vec<&str> = compared["points"]
        .as_array()
        .unwrap()
        .iter()
        .filter(|point| point["reading"]["verdict"] == "fail")
        .map(|point| point["point"].as_str().unwrap())
        .collect();
    assert!(
        failing.contains(&"11") && failing.contains(&"12"),
        "{failing:?}"
    );
    let picture = drawn();
    let texts = texts(&picture);
    let on_black: Vec<&str> = texts
        .iter()
        .filter(|(_, _, _, ink)| ink == "#ffffff")
        .map(|(words, ..)| words.as_str())
        .collect();
    assert_eq!(on_black, ["5", "8"]);
    let fails = texts
        .iter()
        .filter(|(words, ..)| words.ends_with(" FAIL") && words.starts_with("read "));
    assert_eq!(fails.count(), 2);
    assert!(texts.iter().any(|(words, ..)| words == "read −2.255 FAIL"));
}

#[test]
fn every_socket_has_its_pins_and_what_the_manual_says_of_them() {
    let picture = drawn();
    let texts = texts(&picture);
    let count = |wanted: &str| texts.iter().filter(|(words, ..)| words == wanted).count();
    for title in [
        "V1 12AX7, 9-pin miniature",
        "V2 12AU7, 9-pin miniature",
        "V3 6V6, octal",
        "V4 0A2, 7-pin miniature",
    ] {
        assert_eq!(count(title), 1, "{title}");
    }
    // Pin 8 is on two noval bases and an octal one, pin 9 on the two.
    assert_eq!((count("8"), count("9"), count("7")), (3, 2, 4));
    // Heaters of V1 at pins 4 and 5, of V2 at 4 and 5, of V3 at 2: alternating volts say so, carried over.
    let heaters = texts.iter().filter(|(words, ..)| words.ends_with(" V ac"));
    assert_eq!(heaters.count(), 5);
    // A pin with two rows: the relay tube's plate and cathode with the call key open and closed.
    let closed = texts.iter().filter(|(words, ..)| words == "S1 closed:");
    assert_eq!(closed.count(), 2);
    assert_eq!((count("key"), count("gap")), (1, 3));
    // Lethal plates are marked.
    assert!(count("plate A !!") >= 2 && count("screen !!") == 1);
}

#[test]
fn transistors_are_drawn_by_their_leads() {
    let folder = sample("gate-post-preamplifier");
    let run = fairvolt(&["worksheet", &folder, "--sockets", "--format", "svg"]);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    let texts = texts(&run.out);
    for lead in ["E", "B", "C"] {
        assert!(texts.iter().any(|(words, ..)| words == lead), "{lead}");
    }
    assert!(texts
        .iter()
        .any(|(words, ..)| words.contains("check the case")));
}

#[test]
fn all_sockets_of_the_intercom_stand_on_two_pages_and_every_number_is_in_every_format() {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    let scratch = Scratch::new();
    for paper in ["a4", "letter"] {
        let path = format!("{}/sockets-{paper}.pdf", scratch.path());
        let run = fairvolt(&[
            "worksheet",
            &folder,
            "--sockets",
            "-r",
            &readings,
            "--format",
            "pdf",
            "--paper",
            paper,
            "-o",
            &path,
        ]);
        assert_eq!(run.exit, Exit::Done, "{}", run.err);
        let file = lopdf::Document::load_mem(&std::fs::read(&path).unwrap()).unwrap();
        assert!(
            file.get_pages().len() <= 2,
            "{paper}: {}",
            file.get_pages().len()
        );
        let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
        let text = file.extract_text(&numbers).unwrap();
        assert!(
            text.contains("read −2.255 FAIL") && text.contains("plate A !!"),
            "{text}"
        );
    }
    for (format, wanted) in [
        ("table", "−2.255"),
        ("markdown", "−2.255"),
        ("csv", "V3,6V6,5,grid"),
        ("html", "read −2.255 FAIL"),
    ] {
        let run = fairvolt(&[
            "worksheet",
            &folder,
            "--sockets",
            "-r",
            &readings,
            "--format",
            format,
        ]);
        assert_eq!(run.exit, Exit::Done, "{format}: {}", run.err);
        assert!(run.out.contains(wanted), "{format}: {}", run.out);
    }
}

#[test]
fn what_has_no_sockets_or_no_picture_is_refused_or_said() {
    let folder = sample("lookout-intercom");
    let run = fairvolt(&["worksheet", &folder, "--format", "svg"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.err.contains("with --sockets"), "{}", run.err);
    let run = fairvolt(&["worksheet", &folder, "--sockets", "--format", "json"]);
    assert_eq!(run.exit, Exit::BadInput);
    let run = fairvolt(&["worksheet", &folder, "--sockets", "--chart"]);
    assert_eq!(run.exit, Exit::BadInput);
    let run = fairvolt(&["worksheet", &sample("call-bell-board"), "--sockets"]);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    assert!(
        run.out
            .contains("no tube with a known base and no transistor"),
        "{}",
        run.out
    );
}

/// Pins as the job states them, also where a built-in type of that name has others: pin 5 of a 6C4 is its plate.
#[test]
fn described_tubes_are_drawn_by_the_base_and_pins_that_they_state() {
    let job = Scratch::new();
    let tube = |name: &str, base: &str| {
        format!(
            "[{name}]\nclass = \"triode\"\n{base}pins = {{ 2 = \"plate\", 3 = \"heater\", 4 = \"heater\", 6 = \"grid\", \
             5 = \"cathode\" }}\n[[{name}.point]]\nplate = \"250V\"\ngrid = \"-8.5V\"\nplate-current = \"10.5mA\"\n\
             gm = \"2200 umho\"\nrp = \"7.7k\"\n"
        )
    };
    let tubes = [
        tube("6C4", "base = \"7-pin miniature\"\n"),
        tube("6ZZ4", ""),
    ];
    job.write("devices.toml", &tubes.concat());
    job.write(
        "circuit.netlist",
        "ground chassis\nPS1: 250V, plus=b, minus=chassis\nR1: 22k, b to p\nR2: 1k, k to chassis\n\
         R3: 1M, g to chassis\nR4: 1k, k2 to chassis\nV1: 6C4, plate=p, grid=g, cathode=k\n\
         V2A: 6ZZ4, plate=p, grid=g, cathode=k2\n",
    );
    job.write("manual.csv", "point,at,value,meter\n1,k,5,20k/V\n");
    job.write("job.toml", "[on-the-bench]\nmeter = \"10M\"\n");
    let folder = job.path();
    let run = |format: &str| {
        let run = fairvolt(&["worksheet", &folder, "--sockets", "--format", format]);
        assert_eq!(run.exit, Exit::Done, "{}", run.err);
        run.out
    };
    let rows = run("csv");
    assert!(rows.contains(",V1,6C4,5,cathode,"), "{rows}");
    for format in ["table", "svg", "html"] {
        let words = run(format);
        let words = words.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(words.contains("V1 6C4"), "{format}: {words}");
        assert!(words.contains("Not drawn"), "{format}: {words}");
        assert!(words.contains("V2 6ZZ4."), "{format}: {words}");
    }
}

#[test]
fn printed_drawn_and_reconciled_is_a_picture_of_several_points_and_no_other_format() {
    let folder = sample("lookout-intercom");
    let run = fairvolt(&[
        "curve",
        &folder,
        "7",
        "17",
        "--reconciled",
        "--format",
        "svg",
    ]);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    for words in [
        "7 V1B plate, printed",
        "17 divide, drawn",
        "17 divide, reconciled",
    ] {
        let wanted = words.split_once(", ").unwrap().1;
        assert!(run.out.contains(wanted), "{words}");
    }
    for line in [
        vec!["curve", &folder, "7", "--reconciled"],
        vec!["curve", &folder, "7", "17"],
        vec![
            "curve",
            &folder,
            "7",
            "nowhere",
            "--reconciled",
            "--format",
            "svg",
        ],
    ] {
        assert_eq!(fairvolt(&line).exit, Exit::BadInput, "{line:?}");
    }
}

/// Below `S2 at phono:` stands only what is read with it there.
#[test]
fn what_needs_no_setting_stands_above_what_does() {
    let run = fairvolt(&[
        "worksheet",
        &sample("watch-room-receiver"),
        "--sockets",
        "--format",
        "csv",
    ]);
    let mut reader = csv::Reader::from_reader(run.out.as_bytes());
    let rows: Vec<csv::StringRecord> = reader.records().map(Result::unwrap).collect();
    let heads = reader.headers().unwrap();
    let column = |name: &str| heads.iter().position(|head| head == name).unwrap();
    let (pin, socket, conditions) = (column("pin"), column("socket"), column("conditions"));
    let own = rows
        .iter()
        .filter(|row| (&row[socket], &row[pin]) == ("V3", "6"));
    let told: Vec<&str> = own.map(|row| &row[conditions]).collect();
    assert_eq!(told, ["", "S2 at phono"]);
}

/// The socket pages and the chart go to the bench without the rest of the sheet.
#[test]
fn a_live_chassis_is_marked_on_sockets_chart_and_suspects_in_every_format() {
    let folder = sample("signal-shed-set");
    for which in ["--sockets", "--chart"] {
        for format in ["table", "markdown", "html"] {
            let run = fairvolt(&["worksheet", &folder, which, "--format", format]);
            assert!(run.out.contains("LIVE CHASSIS"), "{which} {format}");
        }
        let scratch = Scratch::new();
        let path = format!("{}/pages.pdf", scratch.path());
        let run = fairvolt(&["worksheet", &folder, which, "--format", "pdf", "-o", &path]);
        assert_eq!(run.err, "");
        let file = lopdf::Document::load(&path).unwrap();
        let numbers: Vec<u32> = file.get_pages().keys().copied().collect();
        let text = file.extract_text(&numbers).unwrap();
        // At the head of every page, and in a frame on the first.
        assert_eq!(
            text.matches("LIVE CHASSIS").count(),
            numbers.len() + 1,
            "{which}"
        );
    }
    let svg = fairvolt(&["worksheet", &folder, "--sockets", "--format", "svg"]);
    assert!(svg.out.contains("LIVE CHASSIS"));
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    let suspects = fairvolt(&["suspects", &folder, "-r", &readings]);
    let (mark, step) = (
        suspects.out.find("LIVE CHASSIS"),
        suspects.out.find("switch on"),
    );
    assert!(mark.unwrap() < step.unwrap());
    // No other sample is one.
    let other = fairvolt(&["worksheet", &sample("lookout-intercom"), "--sockets"]);
    assert!(!other.out.contains("LIVE CHASSIS"));
}

#[test]
fn two_visits_are_labelled_and_the_last_one_counts() {
    let folder = sample("lookout-intercom");
    let [found, left] =
        ["readings-leaky-coupler", "readings"].map(|name| format!("{folder}/{name}.csv"));
    let both = ["-r", &found, "-r", &left, "--format", "svg"];
    let strip = fairvolt(&[&["compare", &folder], &both[..]].concat());
    let texts_of_strip = texts(&strip.out);
    let count = |end: &str| {
        texts_of_strip
            .iter()
            .filter(|(words, ..)| words.ends_with(end))
            .count()
    };
    assert_eq!((count(", as found"), count(", as left")), (28, 28));
    let title = texts_of_strip.first().map(|(words, ..)| words.as_str());
    // All that the second visit read passes, as its own comparison says.
    let after = fairvolt(&["compare", &folder, "-r", &left, "--format", "json"]);
    let after_points = json(&after);
    let after_points = after_points["points"].as_array().unwrap().iter();
    let passing = after_points.filter(|point| point["reading"]["verdict"] == "pass");
    let points = passing.count();
    assert_eq!(after.exit, Exit::Done);
    assert_eq!(
        title,
        Some(format!("Set 4, as left: {points} pass").as_str())
    );
    let sockets = fairvolt(&[&["worksheet", &folder, "--sockets"], &both[..]].concat());
    let drawn = texts(&sockets.out);
    assert!(drawn
        .iter()
        .any(|(words, ..)| words.contains("the last visit's")));
    assert!(drawn.iter().all(|(words, ..)| !words.contains("FAIL")));
}
