//! Every JSON document is what its schema says, and every field of a schema is documented.

use boon::{Compiler, Schemas};
use report::{Format, Report};
use serde_json::Value;

use crate::fixtures::{awkward_job, job, job_with_readings, rendered, Fixture, PLAIN};

const SCHEMAS: [(&str, &str); 8] = [
    (
        "translate",
        include_str!("../../../../docs/schema/translate.schema.json"),
    ),
    (
        "compare",
        include_str!("../../../../docs/schema/compare.schema.json"),
    ),
    (
        "explain",
        include_str!("../../../../docs/schema/explain.schema.json"),
    ),
    (
        "check",
        include_str!("../../../../docs/schema/check.schema.json"),
    ),
    (
        "suspects",
        include_str!("../../../../docs/schema/suspects.schema.json"),
    ),
    (
        "worksheet",
        include_str!("../../../../docs/schema/worksheet.schema.json"),
    ),
    (
        "meters",
        include_str!("../../../../docs/schema/meters.schema.json"),
    ),
    (
        "devices",
        include_str!("../../../../docs/schema/devices.schema.json"),
    ),
];

/// Documents that belong to no job.
const BY_METERS: [(&str, &str); 2] = [
    (
        "unload",
        include_str!("../../../../docs/schema/unload.schema.json"),
    ),
    (
        "imitate",
        include_str!("../../../../docs/schema/imitate.schema.json"),
    ),
];

pub fn faults(name: &str, document: &Value) -> Option<String> {
    let mut known = SCHEMAS.iter().chain(&BY_METERS);
    let (_, schema) = known.find(|(known, _)| *known == name).unwrap();
    let mut schemas = Schemas::new();
    let mut compiler = Compiler::new();
    let at = "http://localhost/schema.json";
    compiler
        .add_resource(at, serde_json::from_str(schema).unwrap())
        .unwrap();
    let index = compiler.compile(at, &mut schemas).unwrap();
    schemas
        .validate(document, index)
        .err()
        .map(|error| error.to_string())
}

fn document(fixture: &Fixture, name: &str) -> Value {
    serde_json::from_str(&fixture.report(name, Format::Json, PLAIN)).unwrap()
}

#[test]
fn documents_fit_their_schemas() {
    let mut open = job_with_readings();
    open.manual[0].tolerance = None;
    open.manual[1].tolerance = Some(units::Tolerance::AtMost(120.0));
    open.documented.line = None;
    let mut unusual = job_with_readings();
    unusual.bench.line = Some(125.0);
    unusual.bench.meters.clear();
    unusual.manual[1].range = Some(50.0);
    unusual.readings[0].set = "5".into();
    for job in [job(), job_with_readings(), awkward_job(), open, unusual] {
        let fixture = Fixture::of(job);
        for (name, _) in SCHEMAS {
            let document = document(&fixture, name);
            assert_eq!(faults(name, &document), None, "{name}");
        }
    }
}

#[test]
fn a_schema_refuses_an_unknown_and_a_missing_field() {
    let fixture = Fixture::of(job());
    let mut unknown = document(&fixture, "translate");
    unknown["points"][0]["colour"] = Value::from("red");
    assert!(faults("translate", &unknown).is_some());
    let mut missing = document(&fixture, "translate");
    missing["points"][0]
        .as_object_mut()
        .unwrap()
        .remove("unloaded");
    assert!(faults("translate", &missing).is_some());
}

#[test]
fn documents_by_meters_alone_fit_their_schemas() {
    let meter = |name: &str| circuit::meter_by_name(name).unwrap();
    let read = |volts: f64, full_scale: f64| translate::LoadedReading {
        volts,
        resolution: 1.0,
        meter: meter("20k/V"),
        range: meter("20k/V").range(full_scale),
    };
    // Readings that tell the source, and two that do not differ.
    for (readings, told) in [
        ([read(22.0, 25.0), read(82.0, 250.0)], true),
        ([read(82.0, 100.0), read(82.0, 250.0)], false),
    ] {
        let found = translate::unload(&readings).unwrap();
        let view = report::UnloadView {
            readings: &readings,
            assumed: &[true, false],
            found: &found,
        };
        let text = rendered(Report::unload(view), Format::Json, PLAIN);
        let document: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(faults("unload", &document), None);
        assert_eq!(document["source_at_most"].is_null(), told);
    }
    // A range with a resistor, and a pair of meters where none helps.
    for (own, like) in [("10M", "1k/V"), ("1k/V", "10M")] {
        let found = translate::imitate(&meter(own), &meter(like), Some(250.0)).unwrap();
        let view = report::ImitateView {
            own,
            other: like,
            found: &found,
        };
        let text = rendered(Report::imitate(view), Format::Json, PLAIN);
        let document: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(faults("imitate", &document), None);
        assert_eq!(document["ranges"][0]["ohms"].is_null(), own == "1k/V");
    }
}

#[test]
fn an_unreadable_job_still_has_a_document() {
    let view = report::CheckView {
        overrated: &[],
        job: None,
        translation: None,
        manual: report::ManualView::default(),
        not_judged: None,
        trials: None,
        diagnostics: &[],
    };
    let text = rendered(Report::check(vec![view]), Format::Json, PLAIN);
    assert_eq!(faults("check", &serde_json::from_str(&text).unwrap()), None);
}

#[test]
fn an_untranslated_point_keeps_the_manual_and_says_why() {
    let document = document(&Fixture::of(job()), "translate");
    let point = &document["points"][3];
    assert_eq!(point["manual"]["value"], 6.3);
    assert!(point["not_translated"]
        .as_str()
        .unwrap()
        .contains("alternating volts"));
    for field in [
        "model",
        "source_ohms",
        "loading_percent",
        "unloaded",
        "bench",
    ] {
        assert!(point[field].is_null(), "{field}");
    }
}

#[test]
fn numbers_come_at_full_precision() {
    let document = document(&Fixture::of(job()), "translate");
    let point = &document["points"][0];
    // The printed value alone, 145 V through 5 MΩ, seen through 10 MΩ at 132 kΩ: worked by hand from
    // the closed form.
    let alone = &point["bench"][0]["manual_alone"];
    let expected = alone["expected"].as_f64().unwrap();
    assert!(
        (expected - 145.0 * 1.0264 / 1.0132).abs() < 1e-9,
        "{expected}"
    );
    // 132 kΩ is 220 kΩ ∥ 330 kΩ.
    assert!((point["model"]["source_ohms"].as_f64().unwrap() - 132e3).abs() < 1e-6);
    let side = &point["bench"][0];
    let [u, expanded] =
        ["standard_uncertainty", "uncertainty"].map(|field| side[field].as_f64().unwrap());
    // From near one rectangle, 0.95·√3, to a normal.
    assert!(u > 0.0 && (1.64..1.96).contains(&(expanded / u)), "{side}");
}

#[test]
fn readings_come_with_their_verdicts() {
    let document = document(&Fixture::of(job_with_readings()), "compare");
    let points = document["points"].as_array().unwrap();
    let verdict = |label: &str| {
        let found = points.iter().find(|point| point["point"] == label).unwrap();
        (
            found["manual"].is_null(),
            found["reading"]["verdict"].clone(),
        )
    };
    assert_eq!(verdict("1"), (false, Value::from("pass")));
    assert_eq!(verdict("2"), (false, Value::from("fail")));
    assert_eq!(verdict("4"), (false, Value::Null));
    assert_eq!(verdict("X"), (true, Value::from("not judged")));
    assert!(points
        .iter()
        .any(|point| point["reading"]["overrange"] == true));
    let conformity = |at: usize| points[at]["reading"]["conformity"].as_f64();
    // 165.2 V is 2.5 u inside its limit of 176.3 V, 60.1 V 6 u outside; an overrange leaves the value
    // open.
    assert!(conformity(0).unwrap() > 0.99 && conformity(1).unwrap() < 0.01);
    assert_eq!(conformity(2), None);
}

#[test]
fn trials_fit_the_schema_and_say_what_they_found() {
    let fixture = Fixture::of(job());
    let translation = &fixture.comparison.translation;
    let request = translate::TrialsRequest {
        seed: 7,
        most_trials: 200,
    };
    let found = translate::translation_trials(&fixture.job, translation, request, None);
    let view = report::TranslateView {
        asked: report::Asked::default(),
        job: &fixture.job,
        translation,
        manual: report::ManualView::default(),
        trials: Some(report::TrialsView {
            found: &found,
            seed: 7,
        }),
        diagnostics: &[],
    };
    let text = rendered(Report::translation(vec![view]), Format::Json, PLAIN);
    let document: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(faults("translate", &document), None);
    let trials = &document["trials"];
    assert_eq!((&trials["seed"], &trials["run"]), (&7.into(), &200.into()));
    // Three translated points, one meter. 200 trials cannot tell whether they stand still, so nothing
    // is said of first order.
    assert_eq!(trials["values"].as_array().unwrap().len(), 3);
    assert_eq!(trials["steady"], false);
    assert!(trials["values"][0]["first_order"].is_null());
    let mean = trials["values"][0]["mean"].as_f64().unwrap();
    let expected = translation.points[0].outcome.as_ref().unwrap().bench[0].expected;
    // A standard uncertainty below 5 V: the mean of 200 lies within 5·5/√200 V.
    assert!((mean - expected).abs() < 1.8, "{mean}");
    let table = rendered(Report::translation(vec![view]), Format::Table, PLAIN);
    assert!(table.contains("200 trials: not every figure stands still yet"));
    assert!(table.lines().all(|line| line.chars().count() <= 80));
    let rows = rendered(Report::translation(vec![view]), Format::Csv, PLAIN);
    let columns = rows.lines().next().unwrap().split(',').count();
    assert!(columns > 30 && rows.contains("trials mean (V)"));
}

#[test]
fn several_jobs_make_an_array_and_a_number_that_is_none_is_null() {
    let fixture = Fixture::of(job());
    let mut broken = fixture.comparison.translation.clone();
    broken.points[0].outcome.as_mut().unwrap().unloaded = f64::NAN;
    broken.points[0].outcome.as_mut().unwrap().source_ohms = f64::INFINITY;
    let view = |translation| report::TranslateView {
        asked: report::Asked::default(),
        job: &fixture.job,
        translation,
        manual: report::ManualView::default(),
        trials: None,
        diagnostics: &[],
    };
    let views = [view(&fixture.comparison.translation), view(&broken)];
    let text = rendered(Report::translation(views.to_vec()), Format::Json, PLAIN);
    let documents: Value = serde_json::from_str(&text).unwrap();
    assert_eq!(documents.as_array().unwrap().len(), 2);
    assert!(documents[1]["points"][0]["unloaded"].is_null());
    assert!(documents[1]["points"][0]["source_ohms"].is_null());
    assert_eq!(faults("translate", &documents[1]), None);
}

/// The files of the docs are what the records say; `cargo run -p report --example write-json-docs`
/// writes them anew.
#[test]
fn schemas_and_their_page_are_derived_from_the_records() {
    let derived = report::document_schemas();
    assert_eq!(derived.len(), SCHEMAS.len() + 1 + BY_METERS.len());
    for document in &derived {
        let path = format!("../../docs/schema/{}.schema.json", document.name());
        let stored: Value = serde_json::from_str(&std::fs::read_to_string(&path).unwrap()).unwrap();
        assert!(stored == document.schema, "{path} is of other records");
    }
    let page = include_str!("../../../../docs/json.md");
    assert!(
        page == report::json_page(),
        "docs/json.md is of other records"
    );
}

#[test]
fn every_field_of_a_schema_has_a_description() {
    for document in report::document_schemas() {
        let mut fields = Vec::new();
        gather(&document.schema, &mut fields);
        assert!(!fields.is_empty());
        for (field, described) in fields {
            assert!(described, "{}: {field}", document.name());
        }
    }
}

fn gather(schema: &Value, fields: &mut Vec<(String, bool)>) {
    if let Some(properties) = schema["properties"].as_object() {
        for (field, inner) in properties {
            fields.push((field.clone(), inner["description"].is_string()));
            gather(inner, fields);
        }
    }
    if schema["items"].is_object() {
        gather(&schema["items"], fields);
    }
}
