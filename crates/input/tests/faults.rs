//! Faulty jobs, each with the diagnostics it must draw.
//!
//! A case is one file in `tests/faults`. `=== manual.csv` starts a file of the job; a file that the case
//! does not give is that of `tests/faults/base`, unless `=== manual.csv absent` says that there is none.
//! The tubes of `devices.toml` are used unfitted: their fit is not the readers' business.
//! `=== expected` starts the diagnostics in their order, and no other may be drawn:
//! `=== left out`, if it is there, names the rows that the job goes on without.
//! `error manual.csv:2:5 how the message starts`; below it, if wanted, `help: some words of the help`.

use std::fmt::Write as _;
use std::path::PathBuf;

use circuit::{Job, LeftOutRow, TubeType};
use input::{
    read_devices, read_job, DevicesRead, Diagnostic, JobRead, JobSources, OwnTube, Severity,
    Sources, Span,
};

use crate::support::folder_of_faults;

const FILES: [&str; 8] = [
    "job.toml",
    "devices.toml",
    "circuit.netlist",
    "meters.toml",
    "manual.csv",
    "pin-chart.csv",
    "pin-chart-ohms.csv",
    "readings.csv",
];
const BASE: [&str; 3] = ["job.toml", "circuit.netlist", "manual.csv"];

/// The sections of a case: name and text.
fn sections(case: &str) -> Vec<(String, String)> {
    let mut sections: Vec<(String, String)> = Vec::new();
    for line in case.split_inclusive('\n') {
        if let Some(name) = line.strip_prefix("=== ") {
            sections.push((name.trim().to_owned(), String::new()));
        } else if let Some((_, text)) = sections.last_mut() {
            text.push_str(line);
        }
    }
    sections
}

fn read(sections: &[(String, String)]) -> (Sources, JobRead) {
    let mut sources = Sources::default();
    let mut parts = JobSources {
        folder: "case".into(),
        ..JobSources::default()
    };
    for file in FILES {
        let given = sections.iter().find(|(name, _)| name == file);
        let absent = sections
            .iter()
            .any(|(name, _)| *name == format!("{file} absent"));
        let text = match given {
            Some((_, text)) => text.clone(),
            None if BASE.contains(&file) && !absent => {
                std::fs::read_to_string(folder_of_faults().join("base").join(file))
                    .unwrap_or_default()
            }
            None => continue,
        };
        let id = Some(sources.add(file, &text));
        match file {
            "job.toml" => parts.settings = id,
            "circuit.netlist" => parts.netlist = id,
            "devices.toml" => parts.devices = id,
            "meters.toml" => parts.meters = id,
            "manual.csv" => parts.manual = id,
            "pin-chart.csv" => parts.pin_chart = id,
            "pin-chart-ohms.csv" => parts.pin_chart_ohms = id,
            _ => parts.readings.extend(id),
        }
    }
    let devices = parts
        .devices
        .map_or_else(DevicesRead::default, |id| read_devices(&sources, id));
    let own: Vec<TubeType> = devices
        .tubes
        .iter()
        .filter_map(OwnTube::stand_in)
        .chain(devices.stand_ins)
        .collect();
    let job = read_job(&sources, &parts, &own);
    let mut diagnostics = devices.diagnostics;
    let faulty = diagnostics.iter().any(Diagnostic::stops_job);
    diagnostics.extend(job.diagnostics);
    let read = JobRead {
        job: job.job.filter(|_| !faulty),
        diagnostics,
    };
    (sources, read)
}

fn word(severity: Severity) -> &'static str {
    match severity {
        Severity::Error => "error",
        Severity::Warning => "warning",
        Severity::Note => "note",
    }
}

fn place(sources: &Sources, span: &Option<Span>) -> String {
    match span {
        Some(span) => {
            let text = &sources.get(span.source).text;
            assert!(
                text.get(span.bytes.clone()).is_some(),
                "span out of bounds: {span:?}"
            );
            let (line, column) = sources.line_column(span);
            format!("{}:{line}:{column}", sources.get(span.source).label)
        }
        None => "job".to_owned(),
    }
}

fn shown(sources: &Sources, diagnostic: &Diagnostic) -> String {
    let place = place(sources, &diagnostic.span);
    format!(
        "{} {place} {}",
        word(diagnostic.severity),
        diagnostic.message
    )
}

/// What differs between the expected diagnostics and those drawn; empty if nothing does.
fn difference(expected: &str, sources: &Sources, found: &[Diagnostic]) -> String {
    let mut report = String::new();
    let mut found = found.iter();
    let mut last: Option<&Diagnostic> = None;
    for line in expected.lines().filter(|line| !line.trim().is_empty()) {
        if let Some(help) = line.trim().strip_prefix("help: ") {
            let got = last.and_then(|d| d.help.as_deref()).unwrap_or("");
            if !got.contains(help) {
                let _ = writeln!(report, "  help wanted: {help}\n  help got:    {got}");
            }
            continue;
        }
        last = found.next();
        let got = last.map(|d| shown(sources, d)).unwrap_or_default();
        if !got.starts_with(line) {
            let _ = writeln!(report, "  wanted: {line}\n  got:    {got}");
        }
    }
    for extra in found {
        let _ = writeln!(report, "  not expected: {}", shown(sources, extra));
    }
    report
}

/// Checks `=== left out`, a line each: what is left out, and where.
fn left_out_difference(sections: &[(String, String)], job: Option<&Job>) -> String {
    let Some((_, wanted)) = sections.iter().find(|(name, _)| name == "left out") else {
        return String::new();
    };
    let found: Vec<String> = job.map_or(Vec::new(), |job| {
        let row =
            |row: &LeftOutRow| format!("{} {}:{}", row.what, row.origin.file, row.origin.line);
        job.left_out.iter().map(row).collect()
    });
    let wanted: Vec<&str> = wanted.lines().filter(|line| !line.is_empty()).collect();
    match wanted == found {
        true => String::new(),
        false => format!("  left out wanted: {wanted:#?}\n  got: {found:#?}\n"),
    }
}

#[test]
fn every_case_draws_its_diagnostics_in_order_and_no_others() {
    let mut report = String::new();
    let (mut cases, mut faults) = (0, 0);
    let mut paths: Vec<PathBuf> = std::fs::read_dir(folder_of_faults())
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "case"))
        .collect();
    paths.sort();
    for path in paths {
        let text = std::fs::read_to_string(&path).unwrap();
        let sections = sections(&text);
        let (_, expected) = sections
            .iter()
            .find(|(name, _)| name == "expected")
            .unwrap();
        let (sources, read) = read(&sections);
        let stopped = read.diagnostics.iter().any(Diagnostic::stops_job);
        assert_eq!(
            read.job.is_none(),
            stopped,
            "{}: a job is there unless it is stopped",
            path.display()
        );
        let mut difference = difference(expected, &sources, &read.diagnostics);
        difference.push_str(&left_out_difference(&sections, read.job.as_ref()));
        // What costs a row is an error, and every row that is left out has one.
        if let Some(job) = &read.job {
            let errors = read.diagnostics.iter().any(Diagnostic::is_error);
            assert_eq!(errors, !job.left_out.is_empty(), "{}", path.display());
        }
        if !difference.is_empty() {
            let name = path.file_stem().unwrap_or_default().to_string_lossy();
            let _ = writeln!(report, "{name}\n{difference}");
        }
        cases += 1;
        faults += read.diagnostics.len();
    }
    assert!(report.is_empty(), "\n{report}");
    // A folder that was moved or emptied must not pass.
    assert!(
        cases >= 25 && faults >= 140,
        "{cases} cases, {faults} faults"
    );
}

#[test]
fn the_base_job_has_no_fault() {
    let (sources, read) = read(&[]);
    let found: Vec<String> = read
        .diagnostics
        .iter()
        .map(|d| shown(&sources, d))
        .collect();
    assert!(found.is_empty(), "{found:?}");
    let job = read.job.unwrap();
    assert_eq!((job.manual.len(), job.title.as_str()), (2, "First stage"));
}
