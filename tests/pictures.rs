//! Pictures from the command line: `curve` in every format, `--format svg`, and the pictures kept in
//! `docs/pictures`.

use std::fs;

use fairvolt::Exit;

use crate::support::{fairvolt, json, root, sample, Scratch};

/// A picture that `docs/pictures.md` shows, and the command line it says there.
const KEPT: [(&str, &[&str]); 4] = [
    ("lookout-intercom-point-11.svg", &["curve", "", "11", "-r"]),
    ("lookout-intercom-leaky-coupler.svg", &["compare", "", "-r"]),
    ("lookout-intercom-suspects.svg", &["suspects", "", "-r"]),
    (
        "lookout-intercom-sockets.svg",
        &["worksheet", "", "--sockets", "-r"],
    ),
];

/// The picture of `docs/reconciled.md`.
const RECONCILED: (&str, &[&str]) = (
    "lookout-intercom-reconciled.svg",
    &["curve", "", "7", "17", "11", "--reconciled"],
);

/// The command line with the intercom in its place, and its readings after `-r`.
fn kept(words: &[&str]) -> Vec<String> {
    let folder = sample("lookout-intercom");
    let mut line: Vec<String> = Vec::new();
    for word in words {
        line.push(match *word {
            "" => folder.clone(),
            word => word.to_owned(),
        });
        if *word == "-r" {
            line.push(format!("{folder}/readings-leaky-coupler.csv"));
        }
    }
    line.extend(["--format", "svg"].map(str::to_owned));
    line
}

/// A pinned own output: it guards against change, and the page against showing something else.
#[test]
fn the_pictures_of_the_page_are_what_the_commands_draw() {
    let read = |name: &str| fs::read_to_string(root().join(name)).unwrap();
    let (pictures, reconciled) = (read("docs/pictures.md"), read("docs/reconciled.md"));
    let kept_here = KEPT.into_iter().map(|kept_one| (kept_one, &pictures));
    for ((name, words), page) in kept_here.chain([(RECONCILED, &reconciled)]) {
        assert!(page.contains(&format!("pictures/{name}")), "{name}");
        let run = fairvolt(&kept(words));
        assert!(
            matches!(run.exit, Exit::Done | Exit::Flagged),
            "{}",
            run.err
        );
        let path = root().join("docs/pictures").join(name);
        let stored = fs::read_to_string(&path).unwrap_or_default();
        assert!(
            stored == run.out,
            "{name} is not what 'fairvolt {}' draws; write it anew with -o",
            words.join(" ")
        );
    }
}

#[test]
fn every_sample_point_has_a_curve_or_a_reason() {
    for name in [
        "lookout-intercom",
        "gate-post-preamplifier",
        "ridge-line-panel",
    ] {
        let translated = json(&fairvolt(&["translate", &sample(name), "--format", "json"]));
        for point in translated["points"].as_array().unwrap() {
            let label = point["point"].as_str().unwrap();
            let run = fairvolt(&["curve", &sample(name), label, "--format", "svg"]);
            if point["not_translated"].is_null() {
                assert_eq!(run.exit, Exit::Done, "{name} {label}: {}", run.err);
                let picture = roxmltree::Document::parse(&run.out).unwrap();
                assert_eq!(picture.root_element().tag_name().name(), "svg");
            } else {
                assert_eq!(run.exit, Exit::BadInput, "{name} {label}");
                let said = run.complained();
                assert!(
                    said.contains("is not translated, so it has no curve: "),
                    "{said}"
                );
            }
        }
    }
}

#[test]
fn a_linear_point_follows_the_voltage_divider() {
    let run = fairvolt(&[
        "curve",
        &sample("ridge-line-panel"),
        "3",
        "--format",
        "json",
    ]);
    let document = json(&run);
    assert_eq!(document["schema"], "fairvolt/curve/2");
    // 128 V were read on the 250 V range behind a stated 180 kΩ: V = 128·(Rg + R)/Rg, and through Rm
    // the meter shows V·Rm/(Rm + R).
    let source = 180e3;
    let manual = document["manual"]["input_ohms"].as_f64().unwrap();
    let volts = 128.0 * (manual + source) / manual;
    let samples = document["curve"].as_array().unwrap();
    assert!(samples.len() > 50);
    for sample in samples {
        let [ohms, shown] = ["ohms", "volts"].map(|field| sample[field].as_f64().unwrap());
        let want = volts * ohms / (ohms + source);
        // A handful of products of numbers below 1e9: far less than 1e-9 of the result.
        assert!(
            (shown - want).abs() <= 1e-9 * want,
            "{ohms}: {shown} {want}"
        );
    }
}

#[test]
fn a_curve_is_written_in_every_format_and_for_any_meter() {
    let folder = sample("lookout-intercom");
    let scratch = Scratch::new();
    for (format, sign) in [
        ("table", "Reading in V over the resistance of the meter"),
        ("svg", "<svg "),
        ("html", "<!DOCTYPE html>"),
        ("csv", "job,point,kind,meter"),
        ("json", "\"fairvolt/curve/2\""),
    ] {
        let path = format!("{}/curve.{format}", scratch.path());
        let line = [
            "curve", &folder, "5", "-m", "11M", "-m", "1M", "--format", format, "-o", &path,
        ];
        let run = fairvolt(&line);
        assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""), "{format}");
        let text = scratch.read(&format!("curve.{format}"));
        assert!(
            text.to_lowercase().contains(&sign.to_lowercase()),
            "{format}"
        );
        assert!(text.contains("11M") && text.contains("1M"), "{format}");
    }
}

#[test]
fn a_point_without_a_value_is_told_from_an_unknown_one() {
    let folder = sample("watch-room-receiver");
    for run in [
        fairvolt(&["curve", &folder, "D"]),
        fairvolt(&["translate", &folder, "--explain", "d"]),
    ] {
        assert_eq!(run.exit, Exit::BadInput);
        let said = "the manual prints no value at 'D' that could be carried over";
        assert!(run.complained().contains(said), "{}", run.err);
        assert!(run.err.contains("help: 'fairvolt translate"), "{}", run.err);
    }
}

#[test]
fn an_unknown_point_is_refused_with_the_nearest_labels() {
    let run = fairvolt(&["curve", &sample("lookout-intercom"), "V1A"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(
        run.complained().contains("the manual has no point 'V1A'"),
        "{}",
        run.err
    );
    assert!(run.err.contains("nearest: 5, 6"), "{}", run.err);
}

#[test]
fn a_picture_shows_one_job() {
    let folder = sample("lookout-intercom");
    for command in ["compare", "suspects"] {
        let run = fairvolt(&[command, &folder, &folder, "--format", "svg"]);
        assert_eq!(run.exit, Exit::BadInput);
        assert!(run.err.contains("help: name one job folder"), "{}", run.err);
    }
    let run = fairvolt(&["compare", &folder, "--explain", "5", "--format", "svg"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.err.contains("leave out --explain"), "{}", run.err);
}

#[test]
fn readings_and_suspects_are_pictures_with_the_same_exit_as_their_tables() {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-leaky-coupler.csv");
    for line in [
        vec!["compare", &folder, "-r", &readings],
        vec!["suspects", &folder, "-r", &readings],
        vec!["suspects", &folder, "-r", &readings, "--explain", "C6"],
    ] {
        let picture = fairvolt(&[line.clone(), vec!["--format", "svg"]].concat());
        let picture_text = roxmltree::Document::parse(&picture.out).unwrap();
        let words: Vec<&str> = picture_text
            .descendants()
            .filter_map(|node| node.text())
            .collect();
        assert!(words.len() > 5, "{words:?}");
        assert_eq!(picture.exit, fairvolt(&line).exit);
    }
}

/// The words of a picture, in the order of the file.
fn words_of(line: &[&str]) -> Vec<String> {
    let run = fairvolt(&[line, &["--format", "svg"]].concat());
    let picture = roxmltree::Document::parse(&run.out).unwrap();
    let texts = picture.descendants().filter(|node| node.is_text());
    texts
        .filter_map(|node| node.text())
        .map(str::to_owned)
        .collect()
}

#[test]
fn without_a_reading_that_counts_the_picture_says_so_and_ranks_nothing() {
    // Nothing is drawn there, so no reading speaks of a part.
    let words = words_of(&["suspects", &sample("ridge-line-panel")]);
    let told = "Can't tell: none of the readings can be used.";
    assert!(words.iter().any(|words| words == told), "{words:?}");
    assert!(!words.iter().any(|words| words.ends_with('%')), "{words:?}");
    // Nor does the sheet have a heading with nothing below it.
    let sheet = fairvolt(&["worksheet", &sample("ridge-line-panel")]).out;
    assert!(sheet.contains(told) && !sheet.contains("Suspects by the readings"));
    // Its job names no reference; still the sheet says where the black probe goes.
    assert!(sheet.contains("black where the manual has it"), "{sheet}");
}

#[test]
fn every_deviation_has_a_sign_so_that_figures_stand_below_each_other() {
    let folder = sample("lookout-intercom");
    let readings = format!("{folder}/readings-worn-tube.csv");
    let words = words_of(&["suspects", &folder, "-r", &readings, "--explain", "V3"]);
    let far: Vec<&String> = words.iter().filter(|words| words.ends_with(" σ")).collect();
    assert!(far.len() > 20, "{words:?}");
    assert!(
        far.iter().all(|words| words.starts_with(['+', '−', '±'])),
        "{far:?}"
    );
}

#[test]
fn an_assumed_range_is_said_to_be_and_a_setting_is_named() {
    let folder = sample("lookout-intercom");
    let curve = words_of(&["curve", &folder, "12"]);
    let mark = "manual: 0.35 V (20k/V, 2.5 V range assumed)";
    assert!(curve.iter().any(|words| words == mark), "{curve:?}");
    let strip = words_of(&["compare", &folder]).join(" ");
    assert!(strip.contains("27 V2B plate S1 closed"), "{strip}");
    assert!(strip.contains("22 V2B plate "), "{strip}");
    assert_eq!(strip.matches("S1 closed").count(), 2, "{strip}");
    let table = fairvolt(&["translate", &folder]).out;
    assert!(table.contains("Read with S1 closed: 27, 28."), "{table}");
}
