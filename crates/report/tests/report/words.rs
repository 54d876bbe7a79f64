//! What the tables and sheets must say.

use circuit::{Job, Shown};
use report::{CheckView, Format, Report};

use crate::fixtures::{
    entry, flat, job, job_with_readings, reading, rendered, volts, Fixture, PLAIN,
};

fn said(job: Job, name: &str) -> String {
    flat(&Fixture::of(job).report(name, Format::Table, PLAIN))
}

#[test]
fn a_translation_explains_its_band_its_marks_and_what_is_missing() {
    let text = said(job(), "translate");
    assert!(text.contains("U: how far off the comparison may be (95 %)"));
    assert!(text.contains("(250 V)") && text.contains("A range in brackets is assumed"));
    assert!(text.contains("across R1"));
    // The heater stands below, in a table of its own quantity.
    let (_, apart) = text.split_once("Alternating volts").unwrap();
    assert!(apart.contains("6.3 V") && apart.contains("6.29 V"));
    // Equal line voltages are not worth a line.
    assert!(!text.contains("Line:"));
    let mut other = job();
    other.bench.line = Some(121.0);
    let text = said(other, "translate");
    assert!(text.contains("Line: 117 V in the manual, 121 V on the bench (+3.4 %)."));
    assert!(text.contains("Point 3: its circuit is not drawn, so the other line voltage"));
}

#[test]
fn no_bench_meter_leaves_the_unloaded_value() {
    let mut bare = job();
    bare.bench.meters.clear();
    let text = said(bare, "translate");
    // 145 V freed of 5 MΩ across 132 kΩ by itself: 145 · 1.0264 = 148.8 V; the drawing's 171 V draw that up.
    assert!(text.contains("no meter 152"), "{text}");
}

#[test]
fn a_comparison_counts_its_verdicts_and_says_what_they_mean() {
    let text = said(job_with_readings(), "compare");
    assert!(text.contains("2 FAIL, 1 in order"), "{text}");
    assert!(
        text.contains("FAIL (2): outside the limits by more than U"),
        "{text}"
    );
    // 90 − 60.1 = 29.9 V; an overrange is further out than any figure.
    let (low, over) = (
        text.find("29.9 V too low").unwrap(),
        text.find("beyond the range").unwrap(),
    );
    assert!(over < low, "{text}");
    assert!(text.contains("In order (1): 1."), "{text}");
    assert!(text.contains("Pass: inside the limits by more than U;"));
    assert!(text.contains("ILAC-G8:09/2019"));
    assert!(text.contains("Point X is not in the manual: −0.35 V read with 10M"));
    assert!(!text.contains("oo coarse"));
}

#[test]
fn the_guard_band_of_the_job_is_said() {
    let mut simple = job_with_readings();
    simple.bench.guard = 0.0;
    assert!(said(simple, "compare").contains("without a guard band"));
    let mut wide = job_with_readings();
    wide.bench.guard = 1.5;
    assert!(said(wide, "compare").contains("by more than 1.5 U"));
}

#[test]
fn what_is_too_coarse_names_what_makes_it_so() {
    // 1 % of 145 V is far less than a pointer meter's 3 % of 250 V.
    let mut narrow = job_with_readings();
    narrow.manual[0].tolerance = Some(units::Tolerance::Percent(1.0));
    narrow.readings = vec![reading("1", Shown::Value(volts("147")))];
    let text = said(narrow, "compare");
    assert!(text.contains("TOO COARSE"), "{text}");
    let told = "U comes mostly from: manual's meter 20k/V on (250 V)";
    assert!(text.contains(told), "{text}");
}

#[test]
fn an_explanation_tells_every_input_and_its_sum() {
    let text = said(job(), "explain");
    assert!(
        text.contains("Point 1, plate1: 145 V in the manual."),
        "{text}"
    );
    assert!(text.contains("10M on 200 V: expect 150 ±"), "{text}");
    // 145 · 1.0264/1.0132 = 146.9 V by itself; 285 · 330/550 V through 10 MΩ = 168.8 V by the drawing.
    assert!(text.contains("the printed value alone 147 9"), "{text}");
    assert!(text.contains("the drawing alone 169 15"), "{text}");
    assert!(
        text.contains("reconciled, 85 % by the printed value 150 8"),
        "{text}"
    );
    // 3 % of 250 V is 7.5 V, u = 7.5/√3 V times (R + 5 MΩ)/5 MΩ over the same with 10 MΩ: 4.39 V by
    // itself, of which 85 % count; of the square 0.5 · (145/250)² = 17 % are common to the range.
    assert!(
        text.contains("manual's meter 20k/V on (250 V) ±3 % full scale 0.86 V/V 3.4"),
        "{text}"
    );
    assert!(text.contains("each below 1 %"), "{text}");
    assert!(text.contains("coverage factor k = 1.86") && text.contains("u = 4.1 V in all"));
    assert!(text.contains("The manual's tolerance is no input"));
    let text = said(job_with_readings(), "explain");
    assert!(
        text.contains("10M (200 V): read 165.2 V, expected 150 ±"),
        "{text}"
    );
    assert!(text.contains("pass, probability >99 %"), "{text}");
}

#[test]
fn an_untranslated_point_says_why_there_is_nothing_to_explain() {
    let fixture = Fixture::of(job());
    let view = report::ExplainView {
        job: &fixture.job,
        comparison: &fixture.comparison,
        entry: 3,
        diagnostics: &[],
    };
    let text = rendered(Report::explanation(vec![view]), Format::Table, PLAIN);
    assert!(
        text.contains("Point 4: only direct volts are explained; alternating volts"),
        "{text}"
    );
}

#[test]
fn readings_of_several_sets_stand_apart() {
    let mut sets = job_with_readings();
    sets.readings[1].set = "5".into();
    sets.readings[1].date = "spring".into();
    let text = said(sets, "compare");
    assert!(text.contains("Set 5, spring: 1 FAIL"), "{text}");
}

#[test]
fn a_sheet_warns_and_leaves_room_to_write() {
    let text = said(job(), "worksheet");
    assert!(text.contains("12. Old oil"));
    assert!(text.contains("an aid to calculation, not a safety procedure"));
    assert!(text.contains("red to the place named, black to chassis"));
    assert!(text.contains("red to bplus, black to plate1"));
    // The supply of 285 V and a tenth.
    assert!(
        text.contains("up to 314 V; manual 145 V, 20k/V (250 V); set to 200 V"),
        "{text}"
    );
    // 150.3 V ± 20 %: 120.3 and 180.4 V.
    assert!(
        text.contains("1 !! plate1 150 ± 8 120 … 180 [________] [________]"),
        "{text}"
    );
    assert!(!text.contains("FAIL"));
    let text = said(job_with_readings(), "worksheet");
    assert!(text.contains("FAIL") && text.contains("[ 165.2 ]"));
}

#[test]
fn kilovolts_ask_for_a_look_at_the_leads() {
    let mut high = job();
    high.manual[2].figure = volts("700");
    let text = said(high, "worksheet");
    // A fifth above 700 V is allowed.
    assert!(
        text.contains("up to 840 V; check meter and lead rating"),
        "{text}"
    );
    let mut low = job();
    low.circuit = circuit::Circuit::default();
    low.manual.truncate(1);
    low.manual[0] = entry("1", "heat1", None, "6.3");
    low.manual[0].source = Some(1.0);
    let text = said(low, "worksheet");
    assert!(!text.contains("up to") && !text.contains("1 !"));
}

#[test]
fn a_sheet_says_how_the_controls_stand() {
    let mut set = job();
    let part = circuit::PartId(1);
    let value = circuit::SettingValue::Turn(0.4);
    set.manual[2].settings = vec![circuit::Setting { part, value }];
    let text = said(set, "worksheet");
    assert!(text.contains(", with R1 at 40 %"), "{text}");
    assert!(text.contains("Now set R1 back."), "{text}");
}

#[test]
fn a_limit_never_seems_to_contradict_its_verdict() {
    // The band of point 1 ends at 180.4 V; 180.1 V is inside it, and the sheet must not show 180.1
    // as within 180 and less.
    let mut close = job();
    close.readings = vec![reading("1", Shown::Value(volts("180.1")))];
    let text = said(close, "compare");
    assert!(
        text.contains("120.2 … 180.4") && text.contains("conditional pass (1)"),
        "{text}"
    );
}

#[test]
fn a_check_counts_and_shows_what_the_circuit_does_not_explain() {
    let text = said(job(), "check");
    assert!(text.contains("Read: 3 nodes, 3 parts in 1 connected circuit; 4 points of the manual;"));
    assert!(text.contains("0 errors, 1 warning"));
    // 285 V · 330/550 = 171 V unloaded; through 5 MΩ 166.6 V; by both together 152.2 − 171 = −18.7 V.
    assert!(text.contains("1 plate1 145 167 −18.7"), "{text}");
    assert!(text.contains("not drawn"));
}

#[test]
fn a_check_of_an_unreadable_job_says_so() {
    let view = CheckView {
        overrated: &[],
        job: None,
        translation: None,
        manual: report::ManualView::default(),
        not_judged: None,
        trials: None,
        diagnostics: &[],
    };
    let text = rendered(Report::check(vec![view]), Format::Table, PLAIN);
    assert!(text.contains("could not be read"));
    let json = rendered(Report::check(vec![view]), Format::Json, PLAIN);
    assert!(json.contains("\"job\": null"));
}
