//! Tubes by their data sheets and socket charts, read whole.

use crate::support::{messages, near};
use circuit::{NoValue, PointKind, Quantity, TubeClass};
use input::{read_devices, read_job, JobSources, OwnTube, Sources};
use units::Tolerance;

const TUBES: &str = r#"
[6ZZ9]
class  = "twin triode"
base   = "9A"
pins   = { 1 = "plate B", 2 = "grid B", 3 = "cathode B", 4 = "heater", 5 = "heater", 6 = "P1", 7 = "G1", 8 = "K1", 9 = "heater tap" }
heater = ["12.6V 0.15A", "6.3V 0.3A"]
source = "data sheet of the set's maker"

[[6ZZ9.point]]
plate = "250V"
grid  = "-2V"
plate-current = "1.2mA"
gm = "1600 umho"
rp = "62.5k"
mu = 100

[[6ZZ9.point]]
kind = "cutoff"
plate = "250V"
grid  = "-5 V"
plate-current = "10 uA"

[6ZZ8]
class = "beam power"
pins  = ["grid 1", "cathode + beam plates", "heater", "heater", "plate", "grid 2", "grid 1"]
[6ZZ8.point]
plate = "250V"
screen = "250V"
grid = "-12.5V"
plate-current = "45mA"
screen-current = "4.5mA"
gm = "4.1 mA/V"
"#;

#[test]
fn tubes_by_their_data_sheets() {
    let mut sources = Sources::default();
    let id = sources.add("devices.toml", TUBES);
    let read = read_devices(&sources, id);
    assert_eq!(messages(&read.diagnostics), Vec::<&str>::new());
    assert!(read.stand_ins.is_empty());
    let [triode, power] = read.tubes.as_slice() else {
        panic!("{:?}", read.tubes)
    };
    assert_eq!(sources.line_column(&triode.span), (2, 2));
    assert_eq!(
        (
            triode.sheet.name.as_str(),
            triode.sheet.class,
            triode.basing.base.as_str()
        ),
        ("6ZZ9", TubeClass::TwinTriode, "9A")
    );
    assert_eq!(
        (
            triode.basing.heater[1].volts,
            triode.basing.heater[1].amperes
        ),
        (6.3, 0.3)
    );
    let [first, second] = triode.sheet.points.as_slice() else {
        panic!("{:?}", triode.sheet.points)
    };
    assert_eq!(
        (first.kind, second.kind),
        (PointKind::OperatingPoint, PointKind::Cutoff)
    );
    assert_eq!(first.source, "data sheet of the set's maker");
    assert!(near(first.grid_volts, -2.0) && near(first.plate_volts, 250.0));
    assert!(near(first.plate_amperes.unwrap(), 1.2e-3) && near(first.gm.unwrap(), 1.6e-3));
    assert!(near(first.rp.unwrap(), 62.5e3) && near(first.mu.unwrap(), 100.0));
    assert!(near(second.plate_amperes.unwrap(), 10e-6));
    assert_eq!((second.gm, second.screen_volts), (None, None));
    assert_eq!(power.sheet.points[0].source, "devices.toml");
    assert!(near(power.sheet.points[0].screen_volts.unwrap(), 250.0));

    // The pins lead where those of the built-in type of this base do.
    let built_in = circuit::tube_type("12AX7").unwrap();
    assert_eq!(triode.basing.pins, built_in.pins);
    let fitted = triode
        .fitted(built_in.units[0].characteristic, None)
        .unwrap();
    assert_eq!(fitted.units, built_in.units);
    assert!(power
        .fitted(built_in.units[0].characteristic, None)
        .is_err());
}

#[test]
fn a_socket_chart_beside_and_instead_of_the_table() {
    let netlist = "\
ground chassis
PS1: 285V source=120R, plus=bplus, minus=chassis
R1: 220k, bplus to plate1
R2: 1k5, cath1 to chassis
R3: 1M, grid1 to chassis
R4: 100k, bplus to plate2
V1A: 6ZZ9, plate=plate1, grid=grid1, cathode=cath1
V1B: 6ZZ9, plate=plate2, grid=plate1, cathode=cath2
R5: 100k, cath2 to chassis
";
    let job = "[as-documented]\nmeter = \"20k/V\"\ntolerance = \"20%\"\nreference = \"chassis\"\n\
               [on-the-bench]\nmeter = \"10M\"\n";
    let chart = "\
Tube,9,8,7,6,5,4,3,2,1,Type,Note
V1,~6.3,1.2,NC,145,0,6.3 ac,,-,210 V,6ZZ9,first stage
V2,,0,,250,,,,,,12AX7,
";
    let ohms = "tube,1,2,6,8\nV1,320k,1M,∞,1500\n";
    let manual = "point,at,value\n1,V1A plate,145\n2,V1 pin 6,145\n3,R1,140\n";
    let mut sources = Sources::default();
    let devices = sources.add("devices.toml", TUBES);
    let own: Vec<_> = read_devices(&sources, devices)
        .tubes
        .iter()
        .filter_map(OwnTube::stand_in)
        .collect();
    let mut parts = JobSources {
        settings: Some(sources.add("job.toml", job)),
        devices: Some(devices),
        netlist: Some(sources.add("circuit.netlist", netlist)),
        pin_chart: Some(sources.add("pin-chart.csv", chart)),
        pin_chart_ohms: Some(sources.add("pin-chart-ohms.csv", ohms)),
        readings: vec![sources.add(
            "r.csv",
            "point,reading\nV1 pin 6,160\nv1 pin 7,0.1\nV1 pin 9,6.2\n",
        )],
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &own);
    assert_eq!(
        messages(&read.diagnostics),
        [
            "no value printed: this cell and 1 other",
            "not drawn in circuit.netlist: this pin kept, but not carried over",
            "an open circuit has no value to carry over: this cell",
        ]
    );
    let job = read.job.unwrap();
    let unprinted: Vec<(&str, &NoValue)> = job
        .unprinted
        .iter()
        .map(|entry| (entry.point.as_str(), &entry.value))
        .collect();
    let open = NoValue::Open("∞".into());
    assert_eq!(
        unprinted,
        [
            ("V1 pin 3", &NoValue::Blank),
            ("V1 pin 2", &NoValue::Sign("-".into())),
            ("V1 pin 6 ohms", &open),
        ]
    );
    let entry = |point: &str| {
        job.manual
            .iter()
            .find(|entry| entry.point == point)
            .unwrap()
    };
    let node = |name: &str| job.circuit.node(name).unwrap();
    assert_eq!(job.manual.len(), 11);

    let plate = entry("V1 pin 6");
    assert_eq!(
        (plate.at.as_str(), plate.against.as_str()),
        ("V1 pin 6", "chassis")
    );
    assert_eq!(plate.port.unwrap().plus, node("plate1"));
    assert_eq!(
        (plate.quantity, plate.figure.text.as_str()),
        (Quantity::DcVolts, "145")
    );
    assert_eq!((plate.meter.name.as_str(), plate.range), ("20k/V", None));
    assert_eq!(plate.tolerance, Some(Tolerance::Percent(20.0)));
    assert_eq!((plate.note.as_str(), plate.origin.line), ("first stage", 2));
    let heater = entry("V1 pin 4");
    assert_eq!((heater.quantity, heater.port), (Quantity::AcVolts, None));
    assert_eq!(
        (heater.against.as_str(), heater.figure.text.as_str()),
        ("chassis", "6.3")
    );
    assert_eq!(entry("V2 pin 6").port, None);
    assert_eq!(entry("V1 pin 1").port.unwrap().plus, node("plate2"));
    let ohms = entry("V1 pin 1 ohms");
    assert_eq!(
        (ohms.quantity, ohms.at.as_str()),
        (Quantity::Ohms, "V1 pin 1")
    );
    assert_eq!(ohms.port, entry("V1 pin 1").port);
    assert!(near(ohms.figure.value, 320e3));

    // A reading knows its pin whether or not the chart has a value there.
    assert_eq!(job.readings[0].port, plate.port);
    assert_eq!(job.readings[1].point, "V1 pin 7");
    assert_eq!(job.readings[1].port.unwrap().plus, node("grid1"));
    assert_eq!(job.readings[2].port, None);

    parts.manual = Some(sources.add("manual.csv", &manual.replace("2,V1 pin 6", "2,V1 pin 8")));
    let both = read_job(&sources, &parts, &own).job.unwrap();
    assert_eq!(both.manual.len(), 14);
    assert_eq!(both.manual[0].port, plate.port);
    assert_eq!(both.manual[1].port.unwrap().plus, node("cath1"));
    assert_eq!(both.manual[2].port.unwrap().minus, node("plate1"));
}

#[test]
fn charts_that_spreadsheets_export_read_the_same() {
    let job = "[as-documented]\nmeter = \"20k/V\"\n";
    let plain = "tube,1,2\nV1,145,-1.2\nV2,6.3ac,NC\n";
    let entries = |chart: &str| {
        let mut sources = Sources::default();
        let parts = JobSources {
            settings: Some(sources.add("job.toml", job)),
            pin_chart: Some(sources.add("pin-chart.csv", chart)),
            ..JobSources::default()
        };
        read_job(&sources, &parts, &[]).job.unwrap().manual
    };
    let wanted = entries(plain);
    assert_eq!(wanted.len(), 3);
    for other in [
        plain.replace(',', ";"),
        plain.replace(',', "\t"),
        plain.replace('\n', "\r\n"),
        plain.replace("tube,1,2", "TUBE,Pin 1,pin2"),
        plain.replace("NC", "").replace("2\n", "2,,\n"),
    ] {
        assert_eq!(entries(&other), wanted, "{other:?}");
    }
}

/// A job of a meter and this chart alone, read on `job_range` where that is not empty.
fn charted(chart: &str, ohms: &str, job_range: &str) -> (circuit::Job, Vec<String>) {
    let job = format!("[as-documented]\nmeter = \"1k/V\"\n{job_range}");
    let mut sources = Sources::default();
    let parts = JobSources {
        settings: Some(sources.add("job.toml", &job)),
        pin_chart: Some(sources.add("pin-chart.csv", chart)),
        pin_chart_ohms: (!ohms.is_empty()).then(|| sources.add("pin-chart-ohms.csv", ohms)),
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    let messages = messages(&read.diagnostics);
    let messages = messages.into_iter().map(str::to_owned).collect();
    let job = read.job.unwrap_or_else(|| panic!("{messages:?}"));
    (job, messages)
}

#[test]
fn the_range_of_a_row_is_that_of_its_direct_volts() {
    let chart = "tube,1,2,3,4,5,range\nV1,235,6.3 V AC,100 @250,290ac @1000,~117,500V\n";
    for job_range in ["", "range = \"100V\"\n"] {
        let (job, _) = charted(chart, "", job_range);
        let ranges = |quantity| -> Vec<Option<f64>> {
            let entries = job.manual.iter();
            let own = entries.filter(|entry| entry.quantity == quantity);
            own.map(|entry| entry.range).collect()
        };
        // The row's, and the cell's own.
        assert_eq!(ranges(Quantity::DcVolts), [Some(500.0), Some(250.0)]);
        // None for a heater: the lowest that holds it is found with its meter.
        assert_eq!(ranges(Quantity::AcVolts), [None, Some(1000.0), None]);
    }
}

#[test]
fn a_range_in_a_chart_of_resistances_is_noted_and_not_used() {
    let (job, messages) = charted("tube,1\nV1,235\n", "tube,1,range\nV1,320k,500V\n", "");
    let ohms = job.manual.iter();
    let ohms: Vec<_> = ohms.filter(|e| e.quantity == Quantity::Ohms).collect();
    assert_eq!((ohms.len(), ohms[0].range), (1, None));
    let note = "column 'range', row of tube 'V1': a range is used with volts only";
    assert!(messages.iter().any(|one| one == note), "{messages:?}");
}
