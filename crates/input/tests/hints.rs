//! Every hint, followed to the letter, mends what it is about.
//!
//! Each fault of `tests/faults` that has a remedy (`write \`X\``, `did you mean 'X'?`) is mended with
//! it: at its mark, or in the word, the cell, the piece or the line round the mark, as a reader would.
//! The text is read again: the message must be gone, and no new error may stand in its place. Hints
//! that show a form (`NODE`, `…`, "such as") tell no literal text and are left out.

use std::fs;
use std::ops::Range;
use std::path::{Path, PathBuf};

use input::{read_job, read_netlist, Diagnostic, JobSources, SourceId, Sources};

use crate::support::folder_of_faults;

/// The texts that a hint says to write.
fn remedies(help: &str) -> Vec<String> {
    if ["NODE", "…", "such as", "TEXT", "for example"]
        .iter()
        .any(|form| help.contains(form))
    {
        return Vec::new();
    }
    let quoted = |rest: &str, quote: char| {
        let mut parts = rest.split(quote);
        parts.next();
        parts.next().map(str::to_owned)
    };
    if let Some(at) = help.find("did you mean ") {
        let rest = &help[at..];
        let quote = if rest[13..].starts_with('`') {
            '`'
        } else {
            '\''
        };
        return quoted(rest, quote).into_iter().collect();
    }
    if !help.starts_with("write `") && !help.contains(": write `") {
        return Vec::new();
    }
    help.split('`')
        .skip(1)
        .step_by(2)
        .map(str::to_owned)
        .collect()
}

/// Where a reader may put a remedy: the mark, and what stands round it.
fn places(text: &str, mark: &Range<usize>) -> Vec<Range<usize>> {
    let start = text[..mark.start].rfind('\n').map_or(0, |at| at + 1);
    let end = text[mark.end..]
        .find('\n')
        .map_or(text.len(), |at| mark.end + at);
    let around = |cuts: &[char]| {
        let from = text[start..mark.start]
            .rfind(cuts)
            .map_or(start, |at| at + start + 1);
        let to = text[mark.end..end]
            .find(cuts)
            .map_or(end, |at| at + mark.end);
        let piece = &text[from..to];
        let lead = piece.len() - piece.trim_start().len();
        from + lead..from + lead + piece.trim().len()
    };
    let mut places = vec![mark.clone()];
    for cuts in [
        &[' ', ',', '='][..],
        &[' ', '='],
        &[' ', ','],
        &[',', '"'],
        &['"'],
        &[',', ':', '='],
        &['=', ';', ','],
        &[':', '='],
        &['\u{1}'],
    ] {
        places.push(around(cuts));
    }
    // An option with its equals sign, and a word with the value behind it.
    places.push(mark.start..(mark.end + 1).min(text.len()));
    let behind = text[mark.end..end].trim_start();
    let next = behind.find([' ', ',']).unwrap_or(behind.len());
    places.push(mark.start..end - behind.len() + next);
    // A word that belongs before what is marked, or behind it.
    places.push(mark.start..mark.start);
    places.push(mark.end..mark.end);
    places
}

/// Every message, and how many of them are errors and warnings.
fn faults(found: &[Diagnostic]) -> (Vec<String>, usize) {
    let heavy = found
        .iter()
        .filter(|one| one.severity > input::Severity::Note);
    let messages = found.iter().map(|one| one.message.clone());
    (messages.collect(), heavy.count())
}

/// Whether a remedy, put somewhere near the mark, takes its message away and adds none.
fn mends(
    text: &str,
    mark: &Range<usize>,
    one: &Diagnostic,
    remedy: &str,
    read: &dyn Fn(&str) -> (Vec<String>, usize),
) -> bool {
    let before = read(text);
    let count = |list: &[String]| list.iter().filter(|said| **said == one.message).count();
    let least = usize::from(one.severity > input::Severity::Note);
    places(text, mark).into_iter().any(|place| {
        let mended = format!("{}{remedy}{}", &text[..place.start], &text[place.end..]);
        let after = read(&mended);
        // The message goes, and no other fault comes in its place.
        count(&after.0) < count(&before.0) && after.1 + least <= before.1
    })
}

#[test]
fn hints_in_netlists_mend_what_they_are_about() {
    let read = |text: &str| {
        let mut sources = Sources::default();
        let id = sources.add("circuit.netlist", text);
        faults(&read_netlist(&sources, id, &[]).diagnostics)
    };
    let (mut tried, mut failed) = (0, Vec::new());
    for path in files("netlist") {
        // The expectations stand in lines of their own, which are comments to the reader.
        let text = fs::read_to_string(&path).unwrap().replace("#!", "##");
        let mut sources = Sources::default();
        let id = sources.add("circuit.netlist", &text);
        for one in read_netlist(&sources, id, &[]).diagnostics {
            let (Some(help), Some(span)) = (&one.help, &one.span) else {
                continue;
            };
            let remedies = remedies(help);
            for remedy in &remedies {
                tried += 1;
                if !mends(&text, &span.bytes, &one, remedy, &read) {
                    failed.push(format!("{}: {} | {help}", name(&path), one.message));
                }
            }
        }
    }
    assert!(
        failed.is_empty(),
        "{} of {tried}:\n{}",
        failed.len(),
        failed.join("\n")
    );
    // A folder that was moved or emptied must not pass.
    assert!(tried >= 20, "{tried}");
}

#[test]
fn hints_in_tables_and_settings_mend_what_they_are_about() {
    let (mut tried, mut failed) = (0, Vec::new());
    for path in files("case") {
        let case = fs::read_to_string(&path).unwrap();
        let job = Case::of(&case);
        let (found, labels) = job.read(None);
        for one in &found {
            let (Some(help), Some(span)) = (&one.help, &one.span) else {
                continue;
            };
            let Some((file, text)) = labels.get(span.source.0).cloned() else {
                continue;
            };
            let read = |text: &str| faults(&job.read(Some((&file, text))).0);
            for remedy in remedies(help) {
                // The case has the right key beside the wrong one.
                if remedy == "order" {
                    continue;
                }
                tried += 1;
                if !mends(&text, &span.bytes, one, &remedy, &read) {
                    failed.push(format!("{} {file}: {} | {help}", name(&path), one.message));
                }
            }
        }
    }
    assert!(
        failed.is_empty(),
        "{} of {tried}:\n{}",
        failed.len(),
        failed.join("\n")
    );
    assert!(tried >= 40, "{tried}");
}

fn files(ending: &str) -> Vec<PathBuf> {
    // An unreadable folder gives no files, and the tests ask for a number of hints.
    let entries = fs::read_dir(folder_of_faults())
        .into_iter()
        .flatten()
        .flatten();
    let mut paths: Vec<PathBuf> = entries
        .map(|entry| entry.path())
        .filter(|path| path.extension().is_some_and(|found| found == ending))
        .collect();
    paths.sort();
    paths
}

fn name(path: &Path) -> String {
    path.file_name()
        .unwrap_or_default()
        .to_string_lossy()
        .into_owned()
}

/// The files of a case.
struct Case {
    files: Vec<(String, String)>,
}

impl Case {
    fn of(case: &str) -> Self {
        let mut files: Vec<(String, String)> = Vec::new();
        for line in case.split_inclusive('\n') {
            if let Some(name) = line.strip_prefix("=== ") {
                files.push((name.trim().to_owned(), String::new()));
            } else if let Some((_, text)) = files.last_mut() {
                text.push_str(line);
            }
        }
        let given: Vec<String> = files.iter().map(|(name, _)| name.clone()).collect();
        for base in ["job.toml", "circuit.netlist", "manual.csv"] {
            let absent = given.contains(&format!("{base} absent"));
            if !absent && !given.iter().any(|name| name == base) {
                let path = folder_of_faults().join("base").join(base);
                let text = fs::read_to_string(path).unwrap_or_default();
                files.push((base.to_owned(), text));
            }
        }
        Case { files }
    }

    /// Reads the job, one file perhaps replaced; the files in the order of their sources.
    fn read(&self, instead: Option<(&str, &str)>) -> (Vec<Diagnostic>, Vec<(String, String)>) {
        let mut sources = Sources::default();
        let mut parts = JobSources::default();
        let mut read = Vec::new();
        for (name, text) in &self.files {
            let text = match instead {
                Some((replaced, by)) if replaced == name => by,
                _ => text.as_str(),
            };
            let slot: &mut Option<SourceId> = match name.as_str() {
                "job.toml" => &mut parts.settings,
                "circuit.netlist" => &mut parts.netlist,
                "meters.toml" => &mut parts.meters,
                "manual.csv" => &mut parts.manual,
                "pin-chart.csv" => &mut parts.pin_chart,
                "pin-chart-ohms.csv" => &mut parts.pin_chart_ohms,
                "readings.csv" => {
                    parts.readings.push(sources.add(name, text));
                    read.push((name.clone(), text.to_owned()));
                    continue;
                }
                _ => continue,
            };
            *slot = Some(sources.add(name, text));
            read.push((name.clone(), text.to_owned()));
        }
        (read_job(&sources, &parts, &[]).diagnostics, read)
    }
}
