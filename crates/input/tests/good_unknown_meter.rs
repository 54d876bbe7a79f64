//! A manual that does not say which meter it used, and the settings beside it, read whole.

use circuit::{meter_by_name, Job};
use input::{read_job, JobSources, Sources};

const NETLIST: &str = "\
ground chassis
PS1: 285V source=120R, plus=bplus, minus=chassis
R1: 220k 10%, bplus to plate1
R2: 1k5, cath1 to chassis
R3: 1M, grid1 to chassis
V1A: 12AX7, plate=plate1, grid=grid1, cathode=cath1
V1B: 12AX7, plate=bplus, grid=plate1, cathode=cath2
R4: 100k, cath2 to chassis
";

/// The job of these texts, which must be read without a word.
fn job(settings: &str, manual: &str, chart: Option<&str>) -> Option<Job> {
    let mut sources = Sources::default();
    let parts = JobSources {
        folder: "set".into(),
        settings: Some(sources.add("job.toml", settings)),
        netlist: Some(sources.add("circuit.netlist", NETLIST)),
        manual: Some(sources.add("manual.csv", manual)),
        pin_chart: chart.map(|text| sources.add("pin-chart.csv", text)),
        readings: vec![sources.add("readings.csv", "point,reading\n1,150\n")],
        ..JobSources::default()
    };
    let read = read_job(&sources, &parts, &[]);
    let said: Vec<&str> = read
        .diagnostics
        .iter()
        .map(|one| one.message.as_str())
        .collect();
    assert_eq!(said, Vec::<&str>::new());
    read.job
}

/// Point, meter and range of every entry whose meter is not known.
fn unknown(job: &Job) -> Vec<(&str, &str, Option<f64>)> {
    let entries = job.unknown_meter_entries();
    entries
        .into_iter()
        .map(|index| &job.manual[index])
        .map(|entry| (entry.point.as_str(), entry.meter.name.as_str(), entry.range))
        .collect()
}

#[test]
fn the_default_meter_may_be_unknown_for_the_table_and_the_chart() {
    let settings = "\
[as-documented]
meter = \"unknown\"
[on-the-bench]
meter = \"10M\"
";
    let manual = "\
point,at,value,meter,range
1,V1A plate,145,,250V
2,V1 pin 3,1.2,11M,
3,V1B cathode,140,Unknown,
";
    let job = job(settings, manual, Some("tube,6\nV1,285\n")).unwrap();
    assert_eq!(
        unknown(&job),
        [
            ("1", "20k/V", Some(250.0)),
            ("3", "20k/V", None),
            ("V1 pin 6", "20k/V", None),
        ]
    );
    let settled = job.with_unknown_meter(&meter_by_name("1k/V").unwrap());
    assert_eq!(unknown(&settled), []);
    let meters: Vec<&str> = settled
        .manual
        .iter()
        .map(|entry| entry.meter.name.as_str())
        .collect();
    assert_eq!(meters, ["1k/V", "11M", "1k/V", "1k/V"]);
    assert_eq!(settled.manual[0].range, Some(250.0));
    assert_eq!(settled.readings, job.readings);
}

#[test]
fn one_row_may_have_an_unknown_meter_where_the_others_have_a_known_one() {
    let settings = "\
[as-documented]
meter = \"20k/V\"
[on-the-bench]
meter = \"10M\"
";
    let manual = "point,at,value,meter\n1,V1A plate,145,\n2,V1B cathode,140,unknown\n";
    let job = job(settings, manual, None).unwrap();
    assert_eq!(unknown(&job), [("2", "20k/V", None)]);
}

#[test]
fn the_settings_of_a_set_reach_the_job() {
    let settings = "\
serial = \"B 1042\"
hot-chassis = true
[as-documented]
meter = \"20k/V\"
[on-the-bench]
meter = \"10M\"
guard = 0
[worksheet]
order = [\"Power-off\", \"rails\", \"v1\", \"R4\"]
[suspects]
ages = { \"paper capacitor\" = 5, tube = 2.5 }
hazard-penalty = 0.25
";
    let job = job(settings, "point,at,value\n1,V1A plate,145\n", None).unwrap();
    assert_eq!((job.serial.as_str(), job.hot_chassis), ("B 1042", true));
    // 0 and 1 are read as they stand, without rounding.
    assert!(job.bench.guard.abs() <= 0.0);
    assert_eq!(job.stage_order, ["power-off", "rails", "V1", "R4"]);
    assert_eq!(
        job.ages,
        [
            ("paper capacitor".to_owned(), 5.0),
            ("tube".to_owned(), 2.5)
        ]
    );
    assert_eq!(job.hazard_penalty, Some(0.25));
}

#[test]
fn what_a_job_does_not_set_is_as_usual() {
    let settings = "[as-documented]\nmeter = \"20k/V\"\n[on-the-bench]\nmeter = \"10M\"\n";
    let job = job(settings, "point,at,value\n1,V1A plate,145\n", None).unwrap();
    assert_eq!((job.serial.as_str(), job.hot_chassis), ("", false));
    assert!((job.bench.guard - 1.0).abs() <= 0.0);
    assert_eq!((job.stage_order, job.ages), (Vec::new(), Vec::new()));
    assert_eq!(job.hazard_penalty, None);
}
