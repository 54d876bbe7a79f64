//! Every published case, built as a job and run through the same path as a user's.
//!
//! The cases are data: `tests/cases/published/<source>/cases.toml`, each with its page, its
//! tolerance and the tolerance's reason. Nothing is compared but by an absolute difference.

use std::fs;

use serde::Deserialize;
use serde_json::Value;

use crate::support::{fairvolt, json, root, Scratch};

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

#[test]
fn every_published_case_holds() {
    let folder = root().join("tests/cases/published");
    let mut misses = Vec::new();
    let (mut cases, mut checks) = (0, 0);
    let mut sources: Vec<_> = fs::read_dir(&folder)
        .unwrap()
        .map(|e| e.unwrap().path())
        .collect();
    sources.sort();
    for source in sources.iter().filter(|path| path.is_dir()) {
        let key = source.file_name().unwrap().to_string_lossy().into_owned();
        assert!(source.join("SOURCE.md").is_file(), "{key} has no SOURCE.md");
        let text = fs::read_to_string(source.join("cases.toml")).unwrap();
        let read: Cases = toml::from_str(&text).unwrap_or_else(|e| panic!("{key}: {e}"));
        for case in &read.case {
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

fn run_case(key: &str, case: &Case) -> Vec<String> {
    let scratch = Scratch::new();
    scratch.write("circuit.netlist", &case.netlist);
    scratch.write("manual.csv", &case.manual);
    scratch.write("meters.toml", &case.meters);
    let settings = format!(
        "title = \"{}\"\n[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"{}\"\n",
        case.id, case.bench
    );
    scratch.write("job.toml", &settings);
    let run = fairvolt(&["translate", &scratch.path(), "--format", "json"]);
    if run.out.is_empty() {
        return vec![format!("{key} {}: {}", case.id, run.err)];
    }
    let document = json(&run);
    case.check
        .iter()
        .filter_map(|check| {
            let got = field(&document, check).map(|value| value / check.divide_by);
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
