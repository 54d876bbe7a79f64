//! What the reports say of a doubted value and of a manual that does not name its meter.

use circuit::{meter_by_name, Job};
use reconcile::{belief, Belief, ClassInference, ClassLikelihood};
use report::{
    check_flagged, CheckView, CompareView, Format, ManualView, Otherwise, Report, TranslateView,
    WorksheetView,
};
use serde_json::Value;
use translate::{compare, Comparison};

use crate::fixtures::{flat, job_with_readings, rendered, volts, Fixture, PLAIN};
use crate::schemas::faults;

/// The practice job with 617 printed for 167: 285 V · 330/550 through 5 MΩ at 132 kΩ is 166.6 V.
fn with_misprint() -> Job {
    let mut job = job_with_readings();
    job.manual[0].figure = volts("617");
    job
}

/// All four reports of one job.
fn reports(
    fixture: &Fixture,
    manual: ManualView<'_>,
    format: Format,
) -> [(&'static str, String); 4] {
    let (job, comparison) = (&fixture.job, &fixture.comparison);
    let diagnostics = fixture.diagnostics.as_slice();
    let translated = TranslateView {
        asked: report::Asked::default(),
        job,
        translation: &comparison.translation,
        manual,
        trials: None,
        diagnostics,
    };
    let compared = CompareView {
        asked: report::Asked::default(),
        job,
        comparison,
        manual,
        diagnostics,
    };
    let sheet = WorksheetView {
        job,
        comparison,
        hazards: &fixture.hazards,
        manual,
        suspects: None,
        too_long: None,
        diagnostics,
    };
    let checked = checked(fixture, manual);
    [
        (
            "check",
            rendered(Report::check(vec![checked]), format, PLAIN),
        ),
        (
            "translate",
            rendered(Report::translation(vec![translated]), format, PLAIN),
        ),
        (
            "compare",
            rendered(Report::comparison(vec![compared]), format, PLAIN),
        ),
        (
            "worksheet",
            rendered(Report::worksheet(sheet), format, PLAIN),
        ),
    ]
}

fn checked<'a>(fixture: &'a Fixture, manual: ManualView<'a>) -> CheckView<'a> {
    CheckView {
        overrated: &[],
        job: Some(&fixture.job),
        translation: Some(&fixture.comparison.translation),
        manual,
        not_judged: None,
        trials: None,
        diagnostics: &fixture.diagnostics,
    }
}

fn believing(belief: &Belief) -> ManualView<'_> {
    ManualView {
        belief: Some(belief),
        ..ManualView::default()
    }
}

/// A table that leaves two classes open, at odds of 2 to 1.
fn open_classes() -> ClassInference {
    let class = |name: &str, probability: f64| ClassLikelihood {
        meter: meter_by_name(name).unwrap(),
        log_likelihood: probability.ln(),
        probability,
    };
    ClassInference {
        likelihoods: vec![class("20k/V", 0.6), class("1k/V", 0.3), class("5k/V", 0.1)],
        without: vec![2],
    }
}

/// The practice job read with the other class.
fn other_comparison() -> Comparison {
    let mut other = job_with_readings();
    for entry in &mut other.manual {
        entry.meter = meter_by_name("1k/V").unwrap();
    }
    compare(&other).unwrap()
}

#[test]
fn a_doubted_value_is_shown_with_what_would_explain_it_and_stays_as_printed() {
    let fixture = Fixture::of(with_misprint());
    let belief = belief(&fixture.job).unwrap();
    let manual = believing(&belief);
    assert!(check_flagged(&checked(&fixture, manual)));
    for (name, text) in reports(&fixture, manual, Format::Table) {
        let text = flat(&text);
        if name == "check" {
            assert!(text.contains("1 of 2 values DOUBTED: 1."), "{text}");
            assert!(text.contains("Point 1, plate1: printed 617 V;"), "{text}");
            assert!(text.contains("digits swapped: 167 V"), "{text}");
            assert!(
                text.contains("No printed value is changed for this"),
                "{text}"
            );
            assert!(text.contains("Not judged (alternating volts): 4."));
            // The supply of the job states no tolerance.
            assert!(
                text.contains("supply or battery volts ±5 % (PS1)"),
                "{text}"
            );
        } else {
            assert!(text.contains("DOUBTED by check:"), "{name}: {text}");
            assert!(text.contains("617"), "{name}: {text}");
        }
    }
    for (name, text) in reports(&fixture, manual, Format::Csv) {
        assert!(
            text.contains("swapped") || text.contains("DOUBTED"),
            "{name}"
        );
    }
}

#[test]
fn a_believed_manual_is_said_to_be_and_flags_nothing() {
    let fixture = Fixture::of(job_with_readings());
    let belief = belief(&fixture.job).unwrap();
    let manual = believing(&belief);
    assert!(!check_flagged(&checked(&fixture, manual)));
    for (name, text) in reports(&fixture, manual, Format::Table) {
        assert!(!text.contains("DOUBTED"), "{name}");
        let said = flat(&text).contains("2 of 2 values agree with each other");
        assert_eq!(said, name == "check");
    }
}

#[test]
fn an_open_class_of_meter_gives_both_answers_in_every_report() {
    let fixture = Fixture::of(job_with_readings());
    let belief = belief(&fixture.job).unwrap();
    let (classes, comparison) = (open_classes(), other_comparison());
    let meter = meter_by_name("1k/V").unwrap();
    let manual = ManualView {
        belief: Some(&belief),
        classes: Some(&classes),
        otherwise: Some(Otherwise {
            meter: &meter,
            comparison: &comparison,
        }),
    };
    for (name, text) in reports(&fixture, manual, Format::Table) {
        assert!(
            text.lines().all(|line| line.chars().count() <= 80),
            "{name}"
        );
        let text = flat(&text);
        let heading = "taken as 20k/V, but NOT DECISIVE, odds 2.0 to 1 against 1k/V";
        assert!(text.contains(heading), "{name}: {text}");
        // 145 V on 250 V of 1 kΩ/V, by itself: 145 · (1 + 132/250)/(1 + 132/10 000) = 218.7 V; the
        // drawing's 167 V weigh a little.
        if name == "translate" {
            assert!(text.contains("If the manual was read with 1k/V"), "{text}");
            assert!(text.contains(" 218"), "{text}");
        }
        if name == "worksheet" {
            assert!(text.contains("with 1k/V, expect 218 V with 10M"), "{text}");
        }
    }
    for (name, text) in reports(&fixture, manual, Format::Markdown) {
        assert!(text.contains("NOT DECISIVE"), "{name}");
    }
}

#[test]
fn documents_with_doubts_and_classes_fit_their_schemas() {
    let fixture = Fixture::of(with_misprint());
    let belief = belief(&fixture.job).unwrap();
    let (classes, comparison) = (open_classes(), other_comparison());
    let meter = meter_by_name("1k/V").unwrap();
    let manual = ManualView {
        belief: Some(&belief),
        classes: Some(&classes),
        otherwise: Some(Otherwise {
            meter: &meter,
            comparison: &comparison,
        }),
    };
    for (name, text) in reports(&fixture, manual, Format::Json) {
        let document: Value = serde_json::from_str(&text).unwrap();
        assert_eq!(faults(name, &document), None, "{name}");
        match name {
            "check" => {
                let point = &document["points"][0];
                assert_eq!(point["believable"], false);
                assert_eq!(point["explanations"][0]["kind"], "swapped_digits");
                assert_eq!(point["explanations"][0]["reads_as"], 167.0);
                assert_eq!(document["meter_classes"][0]["meter"], "20k/V");
                assert_eq!(document["unnamed_meter"]["decisive"], false);
            }
            "worksheet" => assert!(document["meter_note"].is_string()),
            _ => {
                let point = &document["points"][0];
                assert!(point["manual_doubt"]["residual_sigma"].is_number());
                assert_eq!(point["otherwise"][0]["manual_meter"], "1k/V");
                // Used as printed all the same.
                assert_eq!(point["manual"]["value"], 617.0);
            }
        }
    }
}

#[test]
fn a_manual_that_cannot_be_judged_says_why() {
    let fixture = Fixture::of(job_with_readings());
    let mut view = checked(&fixture, ManualView::default());
    view.not_judged = Some("its readings contradict");
    let text = rendered(Report::check(vec![view]), Format::Table, PLAIN);
    assert!(flat(&text).contains("could not be told: its readings contradict."));
    assert!(!check_flagged(&view));
}

#[test]
fn a_sheet_whose_ranking_took_too_long_says_so_and_how_to_get_it() {
    let fixture = Fixture::of(job_with_readings());
    let sheet = |too_long: Option<u64>| {
        let view = WorksheetView {
            job: &fixture.job,
            comparison: &fixture.comparison,
            hazards: &fixture.hazards,
            manual: ManualView::default(),
            suspects: None,
            too_long,
            diagnostics: &fixture.diagnostics,
        };
        flat(&rendered(Report::worksheet(view), Format::Table, PLAIN))
    };
    let words = "No suspects were ranked: that takes more than 10 s here";
    assert!(sheet(Some(10)).contains(words));
    assert!(sheet(Some(10)).contains("'fairvolt suspects'"));
    assert!(!sheet(None).contains("No suspects were ranked"));
}
