//! HTML as a browser reads it: by the parser of the standard, which reports every error that a
//! browser would silently mend (crate html5ever).

use html5ever::tendril::TendrilSink;
use markup5ever_rcdom::{Handle, NodeData, RcDom};

use crate::support::{fairvolt, sample, Scratch};

/// Errors that a browser would find, and the words that it would show.
fn read(html: &str) -> (Vec<String>, String) {
    let options = html5ever::ParseOpts {
        tokenizer: html5ever::tokenizer::TokenizerOpts {
            exact_errors: true,
            ..Default::default()
        },
        ..Default::default()
    };
    let dom = html5ever::parse_document(RcDom::default(), options).one(html);
    let mut words = String::new();
    collect(&dom.document, &mut words);
    let errors = dom.errors.borrow();
    (errors.iter().map(ToString::to_string).collect(), words)
}

fn collect(node: &Handle, words: &mut String) {
    if let NodeData::Text { contents } = &node.data {
        words.push_str(&contents.borrow());
        words.push(' ');
    }
    for child in node.children.borrow().iter() {
        collect(child, words);
    }
}

/// What a command writes as HTML.
fn page(arguments: &[&str]) -> String {
    let scratch = Scratch::new();
    let path = format!("{}/page.html", scratch.path());
    let line: Vec<&str> = arguments
        .iter()
        .chain(&["--format", "html", "-o", path.as_str()])
        .copied()
        .collect();
    let run = fairvolt(&line);
    assert_eq!(run.err, "", "{arguments:?}");
    std::fs::read_to_string(path).unwrap()
}

#[test]
fn a_parser_that_finds_errors_finds_them() {
    let (errors, _) = read("<!DOCTYPE html><title>a</title><p><table><p>b</table></i>");
    assert!(errors.len() >= 2, "{errors:?}");
}

#[test]
fn every_page_is_read_without_an_error() {
    let intercom = sample("lookout-intercom");
    let leaky = format!("{intercom}/readings-leaky-coupler.csv");
    let panel = sample("ridge-line-panel");
    for arguments in [
        vec!["worksheet", &intercom],
        vec!["worksheet", &intercom, "-r", &leaky],
        vec!["worksheet", &intercom, "--chart"],
        vec!["worksheet", &panel],
    ] {
        let (errors, words) = read(&page(&arguments));
        assert!(errors.is_empty(), "{arguments:?}: {errors:?}");
        assert!(words.contains("not a safety procedure") || arguments.contains(&"--chart"));
    }
}

#[test]
fn awkward_words_are_shown_as_they_were_written() {
    const AWKWARD: &str = "R<7>&|µΔΩ \"9\" 9' &amp; </td><script>";
    let long = "β".repeat(200);
    let scratch = Scratch::new();
    std::fs::create_dir_all(format!("{}/set", scratch.path())).unwrap();
    let netlist = "ground chassis\nPS1: 250V, plus=top, minus=chassis\nR1: 220k, top to a\n\
                   R2: 330k, a to chassis\n";
    scratch.write("set/circuit.netlist", netlist);
    let quoted = AWKWARD.replace('"', "\"\"");
    let manual = format!("point,at,value,note\n\"{quoted}\",a,140,\"{quoted}\"\n{long},top,250,\n");
    scratch.write("set/manual.csv", &manual);
    let settings = format!(
        "title = '''{AWKWARD}'''\n[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\n\
         [on-the-bench]\nmeter = \"10M\"\n"
    );
    scratch.write("set/job.toml", &settings);
    let folder = format!("{}/set", scratch.path());
    for arguments in [
        vec!["worksheet", &folder],
        vec!["worksheet", &folder, "--chart"],
        vec!["curve", &folder, AWKWARD],
    ] {
        let (errors, words) = read(&page(&arguments));
        assert!(errors.is_empty(), "{arguments:?}: {errors:?}");
        // Blanks may be made ones that do not break.
        let words = words.replace('\u{a0}', " ");
        assert!(words.contains(AWKWARD), "{words}");
        assert!(words.contains(&long) || arguments[0] == "curve");
    }
}
