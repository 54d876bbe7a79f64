//! Jobs as a technician writes them, read whole: the examples of the file formats.

use crate::support::{messages, near};
use circuit::{Accuracy, MeterInput, Quantity, Response, Shown};
use input::{
    find_meter, read_job, read_meters, read_settings, Diagnostic, JobRead, JobSources, Sources,
};
use units::{Sensitivity, Tolerance};

const METERS: &str = r#"
[bench-dmm]
description = "4½-digit bench meter"
input       = "10M"
ranges      = ["200mV", "2V", "20V", "200V", "1000V"]
counts      = 20000
accuracy    = "0.05% + 3 counts"
ac          = { input = "1M", capacitance = "100pF", accuracy = "0.5% + 20 counts", responds = "true rms" }

[shop-analog]
sensitivity = "20k/V"
ranges      = ["2.5V", "10V", "50V", "250V", "500V"]
accuracy    = "3% of full scale"
ac          = { sensitivity = "5k/V", accuracy = "5% of full scale", responds = "average" }

[by-range]
input  = { "200mV" = "10G", "2V" = "10M" }
ranges = ["0.2V", "2V"]
"#;

const JOB: &str = r#"
title     = "Lookout intercom, receive amplifier, set no. 4"
netlist   = "circuit.netlist"
manual    = "manual.csv"
readings  = ["monday.csv", "friday.csv"]

[as-documented]
meter     = "20k/V"
tolerance = "20%"
reference = "chassis"
line      = "117V"
conditions = "No signal, volume fully counter-clockwise"

[on-the-bench]
meter     = ["bench-dmm", "11M"]
line      = "121V"
"#;

const NETLIST: &str = "\
ground chassis
PS1: 285V source=120R, plus=bplus, minus=chassis
R1: 220k 10%, bplus to plate1
R2: 100k, plate1 to chassis
S1: open, plate1 to tap
R3: 1M, tap to chassis
";

/// Texts of a job: job.toml, netlist, meters, manual, readings; an empty one is left out.
fn read(texts: [&str; 5]) -> (Sources, JobRead) {
    let mut sources = Sources::default();
    let mut add = |label: &str, text: &str| {
        Some(text)
            .filter(|text| !text.is_empty())
            .map(|text| sources.add(label, text))
    };
    let parts = JobSources {
        folder: "set-4".into(),
        settings: add("job.toml", texts[0]),
        netlist: add("circuit.netlist", texts[1]),
        meters: add("meters.toml", texts[2]),
        manual: add("manual.csv", texts[3]),
        readings: add("readings.csv", texts[4]).into_iter().collect(),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    (sources, read)
}

#[test]
fn the_meters_of_the_example() {
    let mut sources = Sources::default();
    let id = sources.add("meters.toml", METERS);
    let read = read_meters(&sources, id);
    let (meters, diagnostics) = (read.meters, read.diagnostics);
    assert_eq!(messages(&diagnostics), Vec::<&str>::new());
    let dmm = find_meter("bench-dmm", &meters).unwrap();
    assert_eq!(dmm.description, "4½-digit bench meter");
    assert_eq!(dmm.input, MeterInput::Fixed(10e6));
    assert_eq!(dmm.counts, Some(20000));
    assert!(near(dmm.ranges[0].full_scale, 0.2) && near(dmm.ranges[4].full_scale, 1000.0));
    let Some(Accuracy::OfReading { share, counts }) = dmm.accuracy else {
        panic!("{:?}", dmm.accuracy)
    };
    assert!(near(share, 0.0005) && near(counts, 3.0));
    let ac = dmm.ac.unwrap();
    assert!(near(ac.capacitance, 100e-12));
    assert_eq!(
        (ac.input, ac.responds),
        (MeterInput::Fixed(1e6), Response::TrueRms)
    );
    let analog = find_meter("shop-analog", &meters).unwrap();
    assert_eq!(analog.input, MeterInput::Sensitivity(Sensitivity(20e3)));
    assert_eq!(analog.accuracy, Some(Accuracy::OfFullScale(0.03)));
    let by_range = find_meter("by-range", &meters).unwrap();
    let ohms: Vec<f64> = by_range
        .ranges
        .iter()
        .map(|r| by_range.input_ohms(*r))
        .collect();
    assert!(near(ohms[0], 10e9) && near(ohms[1], 10e6), "{ohms:?}");
}

#[test]
fn the_settings_of_the_example() {
    let mut sources = Sources::default();
    let id = sources.add("job.toml", JOB);
    let (settings, diagnostics) = read_settings(&sources, id);
    assert_eq!(messages(&diagnostics), Vec::<&str>::new());
    let readings: Vec<&str> = settings
        .readings
        .iter()
        .map(|named| named.name.as_str())
        .collect();
    assert_eq!(readings, ["monday.csv", "friday.csv"]);
    assert!(settings.netlist.span.is_some());
    assert_eq!(
        (settings.meters.name.as_str(), settings.meters.span),
        ("meters.toml", None)
    );
    assert_eq!(
        settings.documented.tolerance,
        Some(Tolerance::Percent(20.0))
    );
    assert_eq!(settings.documented.line, Some(117.0));
    assert_eq!(settings.bench.line, Some(121.0));
    assert_eq!(settings.bench.meters.len(), 2);
}

#[test]
fn a_whole_job() {
    let manual = "\
Point,At,Against,Quantity,Value,Meter,Range,Tolerance,Source,Setting,Note
1,plate1,,,85,,250V,,,,
A,R1,,dc V,200 V,11M,,±5V,,S1=closed,across the load
3,bplus,tap,ac V,0.5,,,0.4..0.6 V,,,
4,plate1,,ohm,100k,,,,,,
5,feed,,dc mA,12,,,,0,,
6,cathode,,,1.2,shop-analog,2.5V,,1k,,
";
    let readings = "\
point,reading,range,set,date,note
1,112.5,200V,4,2026-03-02,warm
a,OL,,4,2026-03-02,
5,12.5,,,,
";
    let (_, read) = read([JOB, NETLIST, METERS, manual, readings]);
    assert_eq!(messages(&read.diagnostics), Vec::<&str>::new());
    let job = read.job.unwrap();
    assert_eq!(job.title, "Lookout intercom, receive amplifier, set no. 4");
    assert_eq!(job.manual.len(), 6);
    assert!(near(job.line_factor(), 121.0 / 117.0));
    let node = |name: &str| job.circuit.node(name).unwrap();

    let first = &job.manual[0];
    assert_eq!(
        (first.meter.name.as_str(), first.range),
        ("20k/V", Some(250.0))
    );
    assert_eq!((first.against.as_str(), first.origin.line), ("chassis", 2));
    assert_eq!(first.tolerance, Some(Tolerance::Percent(20.0)));
    assert_eq!(first.port.unwrap().plus, node("plate1"));

    let across = &job.manual[1];
    assert_eq!(across.port.unwrap().minus, node("plate1"));
    assert_eq!(
        (across.against.as_str(), across.settings.len()),
        ("plate1", 1)
    );
    assert_eq!(
        (across.meter.name.as_str(), across.note.as_str()),
        ("11M", "across the load")
    );
    assert_eq!(across.tolerance, Some(Tolerance::Absolute(5.0)));

    assert_eq!(job.manual[2].quantity, Quantity::AcVolts);
    assert!(near(job.manual[3].figure.value, 100e3));
    // A bare number in a place of milliamperes is milliamperes.
    assert!(
        near(job.manual[4].figure.value, 0.012),
        "{:?}",
        job.manual[4].figure
    );
    assert_eq!(
        (job.manual[5].port, job.manual[5].source),
        (None, Some(1e3))
    );

    assert_eq!(job.readings.len(), 3);
    assert_eq!(job.readings[0].meter.name, "bench-dmm");
    assert_eq!(job.readings[0].port, first.port);
    assert_eq!(job.readings[1].point, "A");
    assert_eq!(job.readings[1].shown, Shown::Overrange);
    assert_eq!(job.readings[1].port, across.port);
    let Shown::Value(figure) = &job.readings[2].shown else {
        panic!("{:?}", job.readings[2].shown)
    };
    assert!(near(figure.value, 0.0125));
}

#[test]
fn exports_of_spreadsheets_read_the_same() {
    let plain = "point,at,value,note\n1,plate1,85,\"a, b\"\n2,bplus,285,\n";
    let job = "[as-documented]\nmeter = \"20k/V\"\n";
    let entries = |manual: &str| {
        let (_, read) = read([job, NETLIST, "", manual, ""]);
        let errors = read.diagnostics.iter().any(Diagnostic::is_error);
        assert!(!errors, "{:?}", messages(&read.diagnostics));
        (read.job.unwrap().manual, read.diagnostics.len())
    };
    let (wanted, notes) = entries(plain);
    assert_eq!((wanted[0].note.as_str(), notes), ("a, b", 0));
    for (other, notes) in [
        (format!("\u{feff}{plain}"), 0),
        (plain.replace('\n', "\r\n"), 0),
        (plain.trim_end().to_owned(), 0),
        (
            plain
                .replace("note\n", "note,,\n")
                .replace("285,", "285,,,"),
            0,
        ),
        (
            "point;at;value;note\n1;plate1;85;a, b\n2;bplus;285;\n".to_owned(),
            1,
        ),
        (
            "point\tat\tvalue\tnote\n1\tplate1\t85\ta, b\n2\tbplus\t285\n".to_owned(),
            1,
        ),
    ] {
        assert_eq!(entries(&other), (wanted.clone(), notes), "{other:?}");
    }
}

#[test]
fn an_undrawn_job_needs_no_netlist() {
    let manual = "point,value,source,meter\n1,85,68k,20k/V\n";
    let (_, read) = read(["", "", "", manual, ""]);
    assert_eq!(messages(&read.diagnostics), Vec::<&str>::new());
    let job = read.job.unwrap();
    assert_eq!(
        (job.manual[0].port, job.manual[0].source),
        (None, Some(68e3))
    );
}
