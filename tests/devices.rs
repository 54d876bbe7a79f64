//! `devices`: the list, the page of each type, what is said of an unknown one.

use fairvolt::Exit;

use crate::support::{fairvolt, json, practice, root, said, Scratch};

/// Names of every type built in, each first name.
fn types() -> Vec<String> {
    let tubes = circuit::tube_types().map(|tube| tube.name.clone());
    let others = circuit::semiconductors()
        .iter()
        .map(|own| own.names[0].clone());
    tubes.chain(others).collect()
}

#[test]
fn the_list_names_everything_within_80_columns() {
    let run = fairvolt(&["devices"]);
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    for name in types() {
        assert!(run.out.contains(&name), "{name}");
    }
    let row = run
        .out
        .lines()
        .find(|line| line.starts_with("12AX7 "))
        .unwrap();
    let words: Vec<&str> = row.split_whitespace().collect();
    let want = [
        "12AX7", "twin", "triode", "9A", "12.6/6.3", "V", "0.15/0.3", "A", "2", "read",
    ];
    assert_eq!(words, want);
    for line in run.out.lines() {
        assert!(line.chars().count() <= 80, "{line}");
    }
}

#[test]
fn every_type_has_a_page_in_every_format() {
    for name in types() {
        for format in ["table", "csv", "json", "markdown"] {
            let run = fairvolt(&["devices", &name, "--format", format]);
            assert_eq!(
                (run.exit, run.err.as_str()),
                (Exit::Done, ""),
                "{name} {format}"
            );
            if format == "table" {
                for line in run.out.lines() {
                    assert!(line.chars().count() <= 80, "{name}: {line}");
                    assert_eq!(line, line.trim_end(), "{name}");
                }
            }
        }
    }
}

#[test]
fn a_tube_s_page_has_what_a_repairer_looks_for() {
    let run = fairvolt(&["devices", "12ax7"]);
    // Basing 9A and the two typical operations of the published sheet.
    for words in [
        "12AX7, twin triode",
        "9A",
        "K2  3                   7  G1",
        "Section A (of V1 it is V1A): plate pin 6, grid pin 7, cathode pin 8.",
        "Section B (of V1 it is V1B): plate pin 1, grid pin 2, cathode pin 3.",
        "250 V, grid −2 V",
        "1.20 mA",
        "62.5 kΩ",
        "0.75 and 1.35",
        "12AX7 data sheet transcription",
    ] {
        assert!(run.out.contains(words), "{words}\n{}", run.out);
    }
}

/// A battery tube of two filament halves: 2.8 V from end to end, or 1.4 V with the ends joined (from
/// memory of a maker's receiving-tube manual). Between the joined ends a meter shows nothing.
#[test]
fn a_filament_of_two_halves_has_both_its_ratings() {
    for (name, ends, middle) in [
        ("3S4", "1 and 7", "5"),
        ("3V4", "1 and 7", "5"),
        ("3Q5GT", "2 and 7", "8"),
    ] {
        let page = fairvolt(&["devices", name]).out;
        let page = page.split_whitespace().collect::<Vec<_>>().join(" ");
        let heater = format!(
            "2.8 V at 50 mA (pins {ends}) or 1.4 V at 100 mA (pins {ends} joined, and {middle})"
        );
        assert!(page.contains(&heater), "{heater}: {page}");
    }
}

#[test]
fn a_page_in_markdown_keeps_the_picture_in_a_fence() {
    let run = fairvolt(&["devices", "6SN7", "--format", "markdown"]);
    let fenced = run.out.split("```").nth(1).unwrap();
    assert!(fenced.contains("G2  1  key  8  H"), "{fenced}");
}

#[test]
fn an_unknown_type_is_refused_with_its_neighbours_and_a_way_out() {
    for (asked, near) in [("12XA7", "12AX7"), ("6SN7GTX", "6SN7"), ("2N44", "2N404")] {
        let run = fairvolt(&["devices", asked]);
        assert_eq!(
            (run.exit, run.out.as_str()),
            (Exit::BadInput, ""),
            "{asked}"
        );
        assert!(run.err.contains(&format!("'{asked}'")), "{}", run.err);
        assert!(run.err.contains(near), "{}", run.err);
        assert!(run.err.contains("devices.toml"), "{}", run.err);
    }
    let run = fairvolt(&["devices", "nonsense"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(!run.err.contains("nearest"), "{}", run.err);
}

#[test]
fn the_document_holds_all_types_or_the_one_asked_for() {
    let all = json(&fairvolt(&["devices", "--format", "json"]));
    assert_eq!(all["schema"], "fairvolt/devices/3");
    let count = |list: &str| all[list].as_array().unwrap().len();
    assert_eq!(count("tubes") + count("semiconductors"), types().len());
    let one = json(&fairvolt(&["devices", "bc108b", "--format", "json"]));
    assert_eq!(one["semiconductors"][0]["names"][0], "BC107B");
    assert!(one["tubes"].as_array().unwrap().is_empty());
    let tube = json(&fairvolt(&["devices", "6AQ5", "--format", "json"]));
    let pins = tube["tubes"][0]["pins"].as_array().unwrap();
    let grids: Vec<i64> = pins
        .iter()
        .filter(|pin| pin["symbol"] == "G1")
        .map(|pin| pin["number"].as_i64().unwrap())
        .collect();
    // Base 7BZ brings grid 1 out twice.
    assert_eq!(grids, [1, 7]);
}

/// The page on devices counts the types that are built in.
#[test]
fn the_page_counts_what_is_built_in() {
    let page = std::fs::read_to_string(root().join("docs/devices.md")).unwrap();
    let all = json(&fairvolt(&["devices", "--format", "json"]));
    let count = |list: &str| all[list].as_array().unwrap().len();
    let (tubes, others) = (count("tubes"), count("semiconductors"));
    let words = format!("{tubes} types of tube and {others} rows of semiconductors");
    assert!(page.contains(&words), "docs/devices.md lacks: {words}");
    let pins = format!("of {tubes} types:");
    assert!(page.contains(&pins), "docs/devices.md lacks: {pins}");
}

/// How far the points of the sheets can be trusted, by their own rows.
#[test]
fn the_pages_count_the_points_and_where_they_were_read() {
    let points = circuit::tube_sheets().iter().flat_map(|own| &own.points);
    let of_kind = |kind| points.clone().filter(move |point| point.kind == kind);
    let of_triodes = || of_kind(circuit::PointKind::TriodeSection);
    let typical = || of_kind(circuit::PointKind::OperatingPoint).chain(of_triodes());
    let all = typical().count();
    let kept_back = of_kind(circuit::PointKind::HeldBack).count();
    let with = |wanted: &str| typical().filter(|point| point.status == wanted).count();
    let (read, but_bias) = (with("read"), with("read; bias from memory"));
    let memory = with("memory");
    let in_part = typical()
        .filter(|point| point.status.starts_with("memory; "))
        .count();
    let assumed = with("assumed");
    assert_eq!(
        read + but_bias + in_part + memory + assumed,
        all,
        "another status"
    );
    let text = |name: &str| {
        let text = std::fs::read_to_string(root().join(name)).unwrap();
        text.split_whitespace().collect::<Vec<_>>().join(" ")
    };
    let page = text("docs/devices.md");
    for words in [
        format!("Of {all} operating points of tubes, {read} were read in full"),
        format!("{but_bias} more without the bias"),
        format!("{in_part} in part"),
        format!("{memory} are from memory of makers' manuals, and so are the {kept_back} that"),
        format!("{assumed} are assumed"),
    ] {
        assert!(page.contains(&words), "docs/devices.md lacks: {words}");
    }
    let tables = text("crates/circuit/data/README.md");
    let words = format!("Of {all} operating points");
    assert!(tables.contains(&words), "the tables' README lacks: {words}");
}

#[test]
fn the_page_goes_to_a_file() {
    let scratch = Scratch::new();
    let file = format!("{}/tube.txt", scratch.path());
    let run = fairvolt(&["devices", "6X4", "-o", &file]);
    assert_eq!((run.exit, run.out.as_str()), (Exit::Done, ""));
    assert!(scratch
        .read("tube.txt")
        .contains("6X4, full-wave rectifier"));
}

/// What a first-time user wrote for the tubes of a car radio with 12 V at the plates: each fault is said once, where
/// it is, and not a second time at the line that uses the tube.
#[test]
fn a_described_tube_with_a_fault_is_not_called_unknown() {
    let netlist = "ground c\nBT1: 12V, plus=b, minus=c\nV1: 12ZK5, 2=c, 5=p, 6=g\nV2: 12ZL6, 1=g, 2=c, 5=p, 6=b\n\
                   V3: 12ZD6, 2=c, 5=p, 6=b\nR1: 1k, b to p\nR2: 1M, g to c\n";
    let job = practice("VTVM", netlist, "point,at,value\n1,p,10\n");
    let point = "plate = \"12V\"\nscreen = \"12V\"\ngrid = \"-1V\"\nplate-current = \"1mA\"\nscreen-current = \"1mA\"\n";
    let pins = "pins = { 1 = \"G1\", 2 = \"K\", 5 = \"P\", 6 = \"G2\" }\n";
    let devices = format!(
        "[12ZK5]\nclass = \"space-charge tetrode\"\n{pins}[[12ZK5.point]]\n{point}\
         [12ZL6]\nclass = \"remote-cutoff pentode\"\n{pins}[[12ZL6.point]]\n{point}\
         [12ZD6]\nclass = \"pentode\"\npins = {{ 2 = \"K\", 5 = \"Q\" }}\n[[12ZD6.point]]\n{point}"
    );
    job.write("devices.toml", &devices);
    let run = fairvolt(&["check", &job.path()]);
    assert_eq!(run.exit, Exit::BadInput);
    let told = said(&run.err);
    assert!(!told.contains("unknown"), "{told}");
    for words in [
        "draw the space-charge grid as a resistor to the cathode: its volts over its current",
        "12ZL6 cannot be fitted: 2 numbers to fit, at least 5 needed",
        "if the sheet prints no more, call it a `sharp-cutoff pentode`",
        "'pentode' is no class of tube",
        "3 errors",
    ] {
        assert!(told.contains(words), "{words}: {told}");
    }
}

/// A triode-pentode by its sheet: the pentode is section A, the triode section B, and each has points of its own.
#[test]
fn a_triode_pentode_is_described_by_the_points_of_both_sections() {
    let netlist = "ground c\nPS1: 250V, plus=b, minus=c\nR1: 220k, b to p1\nR2: 2.2k, k1 to c\nR3: 1M, g1 to c\n\
                   R4: 390, k2 to c\nR5: 680k, g2 to c\nL1: coil 350R, b to p2\n\
                   V1A: 6ZZ8, plate=p2, screen=b, grid=g2, cathode=k2\n\
                   V1B: 6ZZ8, plate=p1, grid=g1, cathode=k1\n";
    // By hand with the three-halves law through the printed points: 47 mA at −18.4 V, of which 39 mA to the plate;
    // 0.59 mA at −1.29 V. The program's law falls off more slowly, a seventh more there: the spread of emission covers it.
    let manual = "point,at,value\n1,V1A plate,236\n2,k2,18.4\n3,V1 pin 9,120\n4,k1,1.29\n";
    let job = practice("VTVM", netlist, manual);
    let pentode = "class = \"triode power pentode\"\nbase = \"9EX\"\npins = [\"GT\", \"KP\", \"G1\", \"H\", \"H\", \"PP\", \
                   \"G2\", \"KT\", \"PT\"]\n[[6ZZ8.point]]\nplate = \"200V\"\ngrid = \"-16V\"\nscreen = \"200V\"\n\
                   plate-current = \"35mA\"\nscreen-current = \"7mA\"\ngm = \"6400 umho\"\nrp = \"20k\"\n";
    let triode = "[[6ZZ8.point]]\nsection = \"triode\"\nplate = \"100V\"\ngrid = \"0V\"\nplate-current = \"3.5mA\"\n\
                  gm = \"2500 umho\"\nrp = \"28k\"\n";
    let checked = |points: &str| {
        job.write("devices.toml", &format!("[6ZZ8]\n{pentode}{points}"));
        fairvolt(&["check", &job.path()])
    };
    let run = checked(triode);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    assert!(run.out.contains("4 of 4 values agree"), "{}", run.out);
    let run = checked("");
    assert_eq!(run.exit, Exit::BadInput);
    assert!(said(&run.err).contains("no point of its triode is stated"));
    let run = checked(&triode.replace("triode", "diode"));
    assert_eq!(run.exit, Exit::BadInput);
    assert!(said(&run.err).contains("has no section 'diode'"));
    let only = "[6ZZ8]\nclass = \"triode\"\npins = [\"P\", \"G\", \"K\"]\n";
    job.write("devices.toml", &format!("{only}{triode}"));
    let run = fairvolt(&["check", &job.path()]);
    assert!(said(&run.err).contains("the points of a triode are of one section"));
}
