//! Every format of every command: that it is made, and what never reaches it.

use fairvolt::Exit;

use crate::support::{fairvolt, small_job, Scratch};

/// The words behind a command that takes `--format`, on the job in a folder.
fn words_of<'a>(command: &'a str, folder: &'a str) -> Vec<&'a str> {
    let behind = match command {
        "check" | "translate" | "compare" | "suspects" | "worksheet" => vec![folder],
        "curve" => vec![folder, "1"],
        "unload" => vec!["22V,20k/V,25V", "82V,20k/V,250V"],
        "imitate" => vec!["1k/V", "--range", "250V"],
        "meters" | "devices" => Vec::new(),
        other => panic!("no example of '{other}' here"),
    };
    [vec![command], behind].concat()
}

/// Each command that takes `--format`, and the formats that it offers.
fn formats() -> Vec<(String, Vec<String>)> {
    let whole = fairvolt::command();
    let each = whole.get_subcommands().filter_map(|own| {
        let mut options = own.get_arguments();
        let format = options.find(|option| option.get_id() == "format")?;
        let offered = format.get_possible_values();
        let names = offered.iter().map(|value| value.get_name().to_owned());
        Some((own.get_name().to_owned(), names.collect()))
    });
    each.collect()
}

/// What help and completions show can be had, and under a name that ends in it.
#[test]
fn every_format_that_a_command_offers_is_made() {
    let scratch = Scratch::new();
    small_job(&scratch);
    scratch.write("readings.csv", "point,reading\n1,80\n");
    let folder = scratch.path();
    let mut made = 0;
    for (command, offered) in formats() {
        for format in &offered {
            let target = format!("{folder}/{command}.{format}");
            let mut line = words_of(&command, &folder);
            line.extend(["--format", format, "-o", &target]);
            // One picture of a sheet is that of its sockets; the job needs none to be drawn.
            if (&*command, &**format) == ("worksheet", "svg") {
                line.push("--sockets");
            }
            let run = fairvolt(&line);
            let done = matches!(run.exit, Exit::Done | Exit::Flagged);
            assert!(done, "{command} {format}: {}", run.err);
            assert!(std::fs::metadata(&target).unwrap().len() > 0);
            made += 1;
        }
        // As the README says.
        for common in ["table", "csv", "json", "markdown"] {
            let has = offered.iter().any(|format| format == common);
            assert_eq!(has, (&*command, common) != ("curve", "markdown"));
        }
    }
    // Four of each command but one.
    assert!(made >= 39, "{made}");
}

#[test]
fn signs_that_drive_a_terminal_reach_it_in_no_format() {
    let signs =
        "\u{0}\u{7}\u{8}\u{1b}[31m\u{7f}\u{85}\u{9b}\u{61c}\u{200f}\u{2028}\u{202e}\u{2066}";
    let scratch = Scratch::new();
    small_job(&scratch);
    let table =
        format!("point,at,value,note\n1{signs},p,72,=1+1{signs}\n2{signs},x{signs},4{signs},\n");
    scratch.write("manual.csv", &table);
    scratch.write("readings.csv", &format!("point,reading\n1{signs},80\n"));
    let mut shown = 0;
    for command in ["check", "translate", "compare", "suspects", "worksheet"] {
        let offered = formats().into_iter().find(|(own, _)| own == command);
        // A PDF is no text.
        for format in offered.unwrap().1.iter().filter(|format| *format != "pdf") {
            let run = fairvolt(&[command, &scratch.path(), "--format", format]);
            for text in [&run.out, &run.err] {
                let raw = |c: char| c != '\n' && signs.contains(c) && !"[31m".contains(c);
                assert!(!text.contains(raw), "{command} {format}: {text:?}");
                shown += text.matches("1b").count();
            }
        }
    }
    assert!(shown > 0);
}
