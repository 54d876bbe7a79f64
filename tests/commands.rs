//! Each command in-process: what it writes, what it refuses, what it leaves alone.

use fairvolt::Exit;

use crate::support::{fairvolt, fairvolt_in_colour, json, sample, small_job, Scratch};

#[test]
fn a_new_job_passes_check_and_can_be_worked_on_at_once() {
    let scratch = Scratch::new();
    let folder = format!("{}/attic", scratch.path());
    assert_eq!(fairvolt(&["new", &folder]).exit, Exit::Done);
    let check = fairvolt(&["check", &folder]);
    assert_eq!((check.exit, check.err.as_str()), (Exit::Done, ""));
    assert_eq!(fairvolt(&["translate", &folder]).exit, Exit::Done);
    assert_eq!(fairvolt(&["worksheet", &folder]).exit, Exit::Done);
    // Readings are still to come.
    let compare = fairvolt(&["compare", &folder]);
    assert_eq!(compare.exit, Exit::BadInput);
    assert!(compare.err.contains("no readings"));
}

#[test]
fn output_into_a_folder_that_is_not_there_says_so() {
    let scratch = Scratch::new();
    let path = format!("{}/shelf/sheet.html", scratch.path());
    let folder = sample("lookout-intercom");
    let run = fairvolt(&["worksheet", &folder, "--format", "html", "-o", &path]);
    assert_eq!((run.exit, run.exit.status()), (Exit::NotWritten, 4));
    assert!(
        run.complained().contains("there is no folder "),
        "{}",
        run.err
    );
    assert!(
        run.complained().contains("help: make it first"),
        "{}",
        run.err
    );
    assert!(!run.err.contains(".fairvolt-"), "{}", run.err);
}

#[test]
fn new_never_writes_over_a_file() {
    let scratch = Scratch::new();
    scratch.write("manual.csv", "mine");
    let run = fairvolt(&["new", &scratch.path()]);
    assert_eq!(run.exit, Exit::BadInput);
    assert_eq!(scratch.read("manual.csv"), "mine");
}

#[test]
fn output_never_replaces_a_file_of_the_job() {
    let scratch = Scratch::new();
    let folder = format!("{}/attic", scratch.path());
    fairvolt(&["new", &folder]);
    let before = scratch.read("attic/manual.csv");
    let target = format!("{folder}/manual.csv");
    let run = fairvolt(&["translate", &folder, "-o", &target]);
    assert_eq!(run.exit, Exit::BadInput);
    assert_eq!(scratch.read("attic/manual.csv"), before);
    let sheet = format!("{folder}/sheet.md");
    let run = fairvolt(&["worksheet", &folder, "--format", "markdown", "-o", &sheet]);
    assert_eq!((run.exit, run.out.as_str()), (Exit::Done, ""));
    assert!(scratch.read("attic/sheet.md").contains("chassis"));
}

/// A text in a file that is named as a PDF is opened by nothing.
#[test]
fn a_file_holds_what_its_name_says() {
    let scratch = Scratch::new();
    let folder = format!("{}/attic", scratch.path());
    fairvolt(&["new", &folder]);
    for (name, meant) in [
        ("sheet.pdf", "pdf"),
        ("sheet.CSV", "csv"),
        ("sheet.html", "html"),
    ] {
        let target = format!("{}/{name}", scratch.path());
        let run = fairvolt(&["worksheet", &folder, "-o", &target]);
        assert_eq!(run.exit, Exit::BadInput);
        assert!(
            run.err.contains(&format!("--format {meant}")),
            "{}",
            run.err
        );
        assert!(std::fs::metadata(&target).is_err());
        let run = fairvolt(&["worksheet", &folder, "--format", meant, "-o", &target]);
        assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    }
    let target = format!("{}/sheet.txt", scratch.path());
    assert_eq!(
        fairvolt(&["worksheet", &folder, "-o", &target]).exit,
        Exit::Done
    );
}

#[test]
fn output_spares_files_that_were_not_read_or_whose_job_is_faulty() {
    let scratch = Scratch::new();
    let [good, bad] = ["good", "bad"].map(|name| format!("{}/{name}", scratch.path()));
    for folder in [&good, &bad] {
        fairvolt(&["new", folder]);
    }
    let other = scratch.write("other.csv", "point,reading\n1,250\n");
    let readings = format!("{good}/readings.csv");
    let before = scratch.read("good/readings.csv");
    let run = fairvolt(&["compare", &good, "-r", &other, "-o", &readings]);
    assert_eq!(run.exit, Exit::BadInput);
    assert_eq!(scratch.read("good/readings.csv"), before);

    scratch.write("bad/manual.csv", "point,at,value\n1,nowhere,1\n");
    let manual = format!("{bad}/manual.csv");
    let run = fairvolt(&["translate", &good, &bad, "-o", &manual]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.complained().contains("not overwritten"), "{}", run.err);
    assert!(scratch.read("bad/manual.csv").contains("nowhere"));
}

#[test]
fn meters_of_the_command_line_stand_in_for_the_job_s() {
    let job = sample("lookout-intercom");
    let arguments = [
        "translate",
        &job,
        "-m",
        "11M",
        "-m",
        "shop-analog",
        "--format",
        "json",
    ];
    let document = json(&fairvolt(&arguments));
    let bench = document["points"][0]["bench"].as_array().unwrap();
    let names: Vec<&str> = bench
        .iter()
        .map(|side| side["meter"].as_str().unwrap())
        .collect();
    assert_eq!(names, ["11M", "shop-analog"]);
    let run = fairvolt(&["translate", &job, "-m", "shop-analgo"]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.err.contains("shop-analog'"), "{}", run.err);
}

#[test]
fn readings_of_the_command_line_stand_in_for_the_job_s() {
    let scratch = Scratch::new();
    let file = scratch.write("day2.csv", "point,reading\n1,306.9\n");
    let job = sample("lookout-intercom");
    let run = fairvolt(&["compare", &job, "-r", &file, "--format", "json"]);
    assert_eq!(run.exit, Exit::Done, "{}", run.err);
    let document = json(&run);
    let points = document["points"].as_array().unwrap();
    let read: Vec<_> = points
        .iter()
        .filter(|point| point["reading"].is_object())
        .collect();
    assert_eq!(read.len(), 1);
    assert_eq!(read[0]["reading"]["verdict"], "pass");
    let run = fairvolt(&["compare", &job, "-r", "no-such.csv"]);
    assert_eq!(run.exit, Exit::BadInput);
}

#[test]
fn several_jobs_in_one_run() {
    let jobs = [sample("lookout-intercom"), sample("call-bell-board")];
    let run = fairvolt(&["translate", &jobs[0], &jobs[1], "--format", "json"]);
    assert_eq!(run.exit, Exit::Done);
    assert_eq!(json(&run).as_array().unwrap().len(), 2);
}

#[test]
fn bytes_that_are_no_text_are_refused_with_their_line() {
    let scratch = Scratch::new();
    let folder = format!("{}/attic", scratch.path());
    fairvolt(&["new", &folder]);
    std::fs::write(
        format!("{folder}/manual.csv"),
        b"point,at,value\n1,rail,2\xb55\n",
    )
    .unwrap();
    let run = fairvolt(&["check", &folder]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(
        run.err
            .contains("manual.csv, line 2, column 9: the byte B5 is no letter of UTF-8 text"),
        "{}",
        run.err
    );
}

#[test]
fn completions_and_the_manual_page_name_every_command() {
    let names: Vec<String> = fairvolt::command()
        .get_subcommands()
        .map(|command| command.get_name().to_owned())
        .collect();
    assert!(names.len() >= 8);
    for arguments in [vec!["completions", "bash"], vec!["manual-page"]] {
        let run = fairvolt(&arguments);
        assert_eq!(run.exit, Exit::Done);
        for name in &names {
            let page = run.out.replace("\\-", "-");
            assert!(page.contains(name.as_str()), "{arguments:?}: {name}");
        }
    }
}

/// The tube of docs/files.md, its second plate current as given.
fn own_tube(second_current: &str) -> crate::support::Run {
    let page = std::fs::read_to_string(crate::support::root().join("docs/files.md")).unwrap();
    let start = page.find("    [6ZZ9]").unwrap();
    let end = start + page[start..].find("Pentodes add").unwrap();
    let sheet: Vec<&str> = page[start..end].lines().map(str::trim_start).collect();
    let sheet = sheet.join("\n").replace("1.2mA", second_current);
    let scratch = Scratch::new();
    scratch.write("devices.toml", &sheet);
    scratch.write(
        "circuit.netlist",
        "ground chassis\nPS1: 250V source=100R, plus=b, minus=chassis\nR1: 100k, b to p\n\
         R2: 1.5k, k to chassis\nR3: 1M, g to chassis\nV1A: 6ZZ9, plate=p, grid=g, cathode=k\n",
    );
    scratch.write(
        "manual.csv",
        "point,at,value\n1,V1 pin 6,155\n2,V1A cathode,1.3\n",
    );
    scratch.write(
        "job.toml",
        "title = \"own\"\n[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n",
    );
    fairvolt(&["translate", &scratch.path(), "--format", "json"])
}

/// A reading below zero is no option, first or after one. The same circuit upside down has the same resistance.
#[test]
fn unload_takes_readings_below_zero() {
    let above = fairvolt(&["unload", "22V,20k/V,25V", "82V,20k/V,250V"]);
    let typed = ["-22V,20k/V,25V", "--format", "table", "-82V,20k/V,250V"];
    let below = fairvolt(&[&["unload"], &typed[..]].concat());
    assert_eq!((below.exit, below.err.as_str()), (above.exit, ""));
    let words = |text: &str| -> Vec<String> {
        let plain = text.replace('\u{2212}', "");
        plain.split_whitespace().map(str::to_owned).collect()
    };
    assert!(below.out.contains('\u{2212}'), "{}", below.out);
    assert_eq!(words(&below.out), words(&above.out));
}

#[test]
fn a_tube_of_one_s_own_is_fitted_to_its_data_sheet() {
    let run = own_tube("1.2mA");
    assert_eq!((run.exit, run.err.as_str()), (Exit::Done, ""));
    let document = json(&run);
    // 250 V, 100 k and 1.5 k with a tube of these figures: 161.8 V at the plate, 1.32 V at the
    // cathode, computed by an independent script from parameters of its own. A fit to the same
    // two points may differ by a few per cent of the plate current, so by 3 V.
    let model = |point: usize| {
        document["points"][point]["model"]["unloaded"]
            .as_f64()
            .unwrap()
    };
    assert!((model(0) - 161.8).abs() < 3.0, "{}", model(0));
    assert!((model(1) - 1.32).abs() < 0.04, "{}", model(1));
}

#[test]
fn a_hopeless_data_sheet_is_refused_where_it_stands() {
    let run = own_tube("120mA");
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.err.contains("6ZZ9 cannot be fitted"), "{}", run.err);
    assert!(
        run.err.contains("devices.toml, line 1, column "),
        "{}",
        run.err
    );
}

#[test]
fn a_bad_row_costs_that_row_and_the_exit_status() {
    let scratch = Scratch::new();
    small_job(&scratch);
    scratch.write(
        "manual.csv",
        "point,at,value\n1,p,72\n2,p,\"4,7\"\n3,b,N.R.\n",
    );
    for command in ["check", "translate", "worksheet"] {
        let run = fairvolt(&[command, &scratch.path()]);
        assert_eq!(run.exit, Exit::BadInput, "{command}");
        assert!(
            run.out.contains("Left out: point '2' (manual.csv, line 3)"),
            "{command}: {}",
            run.out
        );
        assert!(
            run.out.contains("No value printed: 3."),
            "{command}: {}",
            run.out
        );
    }
    let run = fairvolt(&["translate", &scratch.path(), "--format", "json"]);
    let document: serde_json::Value = serde_json::from_str(&run.out).unwrap();
    assert_eq!(document["points"].as_array().unwrap().len(), 1);
    assert_eq!(document["job"]["left_out"][0]["what"], "point '2'");
    assert_eq!(document["job"]["no_value_printed"][0]["printed"], "N.R.");
}

#[test]
fn what_somebody_wrote_is_not_replaced_unasked() {
    let scratch = Scratch::new();
    small_job(&scratch);
    let folder = scratch.path();
    let path = |name: &str| format!("{folder}/{name}");
    let read = |name: &str| std::fs::read_to_string(path(name)).unwrap();
    scratch.write("notes.txt", "mine\n");
    std::fs::hard_link(path("manual.csv"), path("other.csv")).unwrap();
    for (name, force, exit) in [
        ("notes.txt", false, Exit::BadInput),
        ("notes.txt", true, Exit::Done),
        // Files that the job reads, by link, by name, and before they are there.
        ("other.csv", true, Exit::BadInput),
        ("manual.csv", true, Exit::BadInput),
        ("meters.toml", true, Exit::BadInput),
        ("new.txt", false, Exit::Done),
        ("new.txt", false, Exit::BadInput),
    ] {
        let target = path(name);
        let mut line = vec!["translate", &folder, "-o", &target];
        line.extend(force.then_some("--force"));
        assert_eq!(fairvolt(&line).exit, exit, "{name} {force}");
    }
    assert!(
        read("notes.txt").contains("Manual read with"),
        "{}",
        read("notes.txt")
    );
    assert_eq!(read("manual.csv"), "point,at,value\n1,p,72\n");
    assert!(std::fs::metadata(path("meters.toml")).is_err());
    // What bears fairvolt's mark may be written anew.
    for format in ["json", "html", "pdf"] {
        let target = path(&format!("sheet.{format}"));
        for _ in 0..2 {
            let run = fairvolt(&["worksheet", &folder, "--format", format, "-o", &target]);
            assert_eq!(run.exit, Exit::Done, "{format}: {}", run.err);
        }
    }
    let left: Vec<String> = std::fs::read_dir(&folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.starts_with(".fairvolt"))
        .collect();
    assert_eq!(left, Vec::<String>::new());
}

#[test]
fn a_pipe_a_huge_file_and_one_outside_are_refused_with_the_reason() {
    let scratch = Scratch::new();
    small_job(&scratch);
    let folder = scratch.path();
    let huge = std::fs::File::create(format!("{folder}/readings.csv")).unwrap();
    huge.set_len(16 * 1024 * 1024 + 1).unwrap();
    let run = fairvolt(&["check", &folder]);
    assert_eq!(run.exit, Exit::BadInput);
    assert!(run.err.contains("which is 16 MiB"), "{}", run.err);
    std::fs::remove_file(format!("{folder}/readings.csv")).unwrap();
    std::fs::create_dir(format!("{folder}/meters.toml")).unwrap();
    let run = fairvolt(&["check", &folder]);
    assert!(run.err.contains("is no regular file"), "{}", run.err);
    std::fs::remove_dir(format!("{folder}/meters.toml")).unwrap();
    let other = Scratch::new();
    other.write("elsewhere.csv", "point,at,value\n1,p,72\n");
    scratch.write(
        "job.toml",
        &format!(
            "manual = \"{}/elsewhere.csv\"\n[as-documented]\nmeter = \"20k/V\"\n",
            other.path()
        ),
    );
    let run = fairvolt(&["check", &folder]);
    assert!(
        run.err.contains("lies outside the job's folder"),
        "{}",
        run.err
    );
    assert_eq!(fairvolt(&["check", &folder, "--outside"]).exit, Exit::Done);
}

#[test]
fn a_wrong_command_line_is_coloured_unless_somebody_typed_colours() {
    let wrong = fairvolt_in_colour(&["translat"]);
    assert_eq!(wrong.exit, Exit::BadInput);
    assert!(wrong.err.starts_with("\u{1b}["), "{:?}", wrong.err);
    let typed = fairvolt_in_colour(&["trans\u{1b}[31mlat"]);
    assert_eq!(typed.exit, Exit::BadInput);
    assert!(typed.err.starts_with("error: "), "{:?}", typed.err);
    assert!(!typed.err.contains('\u{1b}'), "{:?}", typed.err);
}
