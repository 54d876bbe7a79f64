//! Every published case, built as a job and run through the same path as a user's.
//!
//! The cases are data: `tests/cases/published/<source>/cases.toml`, each with its page, its
//! tolerance and the tolerance's reason. Nothing is compared but by an absolute difference.
//! A table of their README says what the drawing alone and both sources together make of the
//! circuits with tubes and semiconductors, beside what the program said before it weighed the two.

use std::collections::BTreeMap;
use std::fs;
use std::path::PathBuf;

use serde::Deserialize;
use serde_json::Value;

use crate::support::{fairvolt, json, root, Run, Scratch};

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Cases {
    case: Vec<Case>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Case {
    id: String,
    page: String,
    label: String,
    branch: String,
    #[serde(default)]
    note: String,
    netlist: String,
    #[serde(default)]
    meters: String,
    manual: String,
    #[serde(default = "ten_megohm")]
    bench: String,
    check: Vec<Check>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Check {
    point: String,
    field: String,
    want: f64,
    tolerance: f64,
    reason: String,
    #[serde(default = "one")]
    divide_by: f64,
}

fn ten_megohm() -> String {
    "10M".into()
}

fn one() -> f64 {
    1.0
}

/// The three labels a case may carry.
const LABELS: [&str; 3] = ["published", "independently derived", "common practice"];

/// Every source by its key, with its cases, in the order of the keys.
fn sources() -> Vec<(String, Vec<Case>)> {
    let folder = root().join("tests/cases/published");
    let mut folders: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .filter(|path| path.is_dir())
        .collect();
    folders.sort();
    let read = |source: &PathBuf| {
        let key = source.file_name().unwrap().to_string_lossy().into_owned();
        assert!(source.join("SOURCE.md").is_file(), "{key} has no SOURCE.md");
        let text = fs::read_to_string(source.join("cases.toml")).unwrap();
        let cases: Cases = toml::from_str(&text).unwrap_or_else(|e| panic!("{key}: {e}"));
        (key, cases.case)
    };
    folders.iter().map(read).collect()
}

#[test]
fn every_published_case_holds() {
    let mut misses = Vec::new();
    let (mut cases, mut checks) = (0, 0);
    for (key, read) in sources() {
        for case in &read {
            assert!(LABELS.contains(&case.label.as_str()), "{key} {}", case.id);
            let told = !case.page.is_empty() && !case.branch.is_empty();
            assert!(told, "{key} {} lacks page or branch", case.id);
            assert!(!case.check.is_empty(), "{key} {} checks nothing", case.id);
            cases += 1;
            checks += case.check.len();
            misses.extend(run_case(&key, case));
        }
    }
    assert!(misses.is_empty(), "{}", misses.join("\n"));
    // Losing the folder must not pass for success.
    assert!(
        cases >= 60 && checks >= 100,
        "{cases} cases, {checks} checks"
    );
}

/// The table of the README is what the program says today. A published value is doubted nowhere,
/// and lies within the uncertainty of the drawing alone: the parts' default tolerances and the
/// spreads of tubes and transistors are far wider than a book's rounding.
#[test]
fn circuits_with_devices_read_what_their_table_says() {
    let page = fs::read_to_string(root().join("tests/cases/published/README.md")).unwrap();
    let before = before();
    let mut rows = 0;
    for (key, read) in sources() {
        for case in read.iter().filter(|case| has_a_device(&case.netlist)) {
            let document = json(&translated(case, "translate"));
            let checked = json(&translated(case, "check"));
            for point in document["points"].as_array().unwrap() {
                let label = format!("{} {}", case.id, point["point"].as_str().unwrap());
                assert_eq!(point["manual_doubt"], Value::Null, "{key} {label}");
                let drawn = &point["bench"][0]["drawing_alone"];
                let value = number(&point["manual"]["value"]);
                let (expected, standard) = stated(drawn);
                let unloaded_alike = value_through_its_meter(point);
                assert!(
                    (unloaded_alike - expected).abs() <= 2.0 * standard,
                    "{key} {label}: printed {value}, drawn {expected} with u = {standard}"
                );
                let deviations = deviations(&checked, point);
                // Beyond three standard deviations it would be doubted.
                assert!(deviations < 3.0, "{key} {label}: {deviations}");
                let row = table_row(&label, point, (before[&label].as_str(), deviations));
                assert!(page.contains(&row), "the README lacks: {row}");
                rows += 1;
            }
        }
    }
    let said = format!("{rows} values");
    assert!(page.contains(&said), "the README does not say '{said}'");
}

/// Tubes and semiconductors name their electrodes in a netlist; linear parts have none.
fn has_a_device(netlist: &str) -> bool {
    ["plate=", "anode=", "collector="]
        .iter()
        .any(|electrode| netlist.contains(electrode))
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap()
}

/// What one source makes the bench meter show, and its standard uncertainty, in volts.
fn stated(source: &Value) -> (f64, f64) {
    (
        number(&source["expected"]),
        number(&source["standard_uncertainty"]),
    )
}

/// The printed value as the bench meter would show it, by the printed value alone, in volts.
fn value_through_its_meter(point: &Value) -> f64 {
    stated(&point["bench"][0]["manual_alone"]).0
}

/// How far a printed value is from what all else says of it, in standard deviations.
fn deviations(checked: &Value, point: &Value) -> f64 {
    let mut points = checked["points"].as_array().unwrap().iter();
    let own = points.find(|own| own["point"] == point["point"]).unwrap();
    number(&own["residual_sigma"]).abs()
}

/// The columns of the program before it weighed manual and drawing: `before.csv`, by case and point.
fn before() -> BTreeMap<String, String> {
    let text = fs::read_to_string(root().join("tests/cases/published/before.csv")).unwrap();
    let row = |line: &str| {
        let cells: Vec<&str> = line.split(',').collect();
        let [case, point, volts, uncertainty, deviations] = cells[..] else {
            panic!("{line}");
        };
        let number = |text: &str| text.parse::<f64>().unwrap();
        let value = with_digits((number(volts), number(uncertainty)));
        let columns = format!("{value} | {:.1}", number(deviations).abs());
        (format!("{case} {point}"), columns)
    };
    text.lines().skip(1).map(row).collect()
}

fn table_row(label: &str, point: &Value, (before, deviations): (&str, f64)) -> String {
    let bench = &point["bench"][0];
    let drawn = stated(&bench["drawing_alone"]);
    let both = (number(&bench["expected"]), number(&bench["uncertainty"]));
    format!(
        "| {label} | {} | {} | {before} | {} | {deviations:.1} |",
        number(&point["manual"]["value"]),
        with_digits((drawn.0, 2.0 * drawn.1)),
        with_digits(both),
    )
}

/// A value with its expanded uncertainty behind it, to two digits of that.
fn with_digits((value, expanded): (f64, f64)) -> String {
    let digits = (1.0 - expanded.log10().floor()).max(0.0) as usize;
    format!("{value:.digits$} ± {expanded:.digits$}")
}

fn run_case(key: &str, case: &Case) -> Vec<String> {
    let run = translated(case, "translate");
    if run.out.is_empty() {
        return vec![format!("{key} {}: {}", case.id, run.err)];
    }
    let document = json(&run);
    misses_of(key, case, &document)
}

/// The case as a job of its own, translated or checked.
fn translated(case: &Case, command: &str) -> Run {
    let scratch = Scratch::new();
    scratch.write("circuit.netlist", &case.netlist);
    scratch.write("manual.csv", &case.manual);
    scratch.write("meters.toml", &case.meters);
    let settings = format!(
        "title = \"{}\"\n[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"{}\"\n",
        case.id, case.bench
    );
    scratch.write("job.toml", &settings);
    fairvolt(&[command, &scratch.path(), "--format", "json"])
}

fn misses_of(key: &str, case: &Case, document: &Value) -> Vec<String> {
    case.check
        .iter()
        .filter_map(|check| {
            let got = field(document, check).map(|value| value / check.divide_by);
            let miss = got.map_or(f64::NAN, |got| (got - check.want).abs());
            let holds = miss <= check.tolerance;
            (!holds).then(|| {
                format!(
                    "{key} {} ({}) point {} {}: got {got:?}, want {}, miss {miss:e}, \
                     allowed {:e} ({}) {}",
                    case.id,
                    case.page,
                    check.point,
                    check.field,
                    check.want,
                    check.tolerance,
                    check.reason,
                    case.note,
                )
            })
        })
        .collect()
}

fn field(document: &Value, check: &Check) -> Option<f64> {
    let point = document["points"]
        .as_array()?
        .iter()
        .find(|point| point["point"] == check.point.as_str())?;
    let mut value = point;
    for name in check.field.split('.') {
        value = match name {
            "bench" => value["bench"].get(0)?,
            name => value.get(name)?,
        };
    }
    value.as_f64()
}
