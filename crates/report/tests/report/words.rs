//! What the tables and sheets must say.

use circuit::{Job, Shown};
use report::{CheckView, Format};

use crate::fixtures::{entry, job, job_with_readings, reading, volts, Desk, PLAIN};

/// The text with every run of blanks and line breaks made one blank.
fn flat(text: &str) -> String {
    text.split_whitespace().collect::<Vec<_>>().join(" ")
}

fn said(job: Job, name: &str) -> String {
    flat(&Desk::of(job).report(name, Format::Table, PLAIN))
}

#[test]
fn a_translation_explains_its_band_its_marks_and_what_is_missing() {
    let text = said(job(), "translate");
    assert!(text.contains("Its uncertainty is not computed in this version."));
    assert!(text.contains("~250 V") && text.contains("~ marks a range"));
    assert!(text.contains("across R1"));
    assert!(
        text.contains("Not translated (alternating volts are not translated in this version): 4.")
    );
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
    // 145 V freed of 5 MΩ across 132 kΩ: 145 · 1.0264 = 148.8 V.
    assert!(text.contains("no meter 149"), "{text}");
}

#[test]
fn a_comparison_counts_what_is_outside_and_claims_no_certainty() {
    let text = said(job_with_readings(), "compare");
    assert!(
        text.contains("2 of 3 readings outside the band: 2, 3."),
        "{text}"
    );
    assert!(text.contains("OUTSIDE") && text.contains("within"));
    assert!(text.contains("Judged by the band alone."));
    assert!(text.contains("Not read: 4."));
    assert!(text.contains("Point X is not in the manual: −0.35 V read with 10M"));
}

#[test]
fn readings_of_several_sets_stand_apart() {
    let mut sets = job_with_readings();
    sets.readings[1].set = "5".into();
    sets.readings[1].date = "spring".into();
    let text = said(sets, "compare");
    assert!(text.contains("Set 5, spring"));
    assert!(text.contains("2 of 3 readings outside the band: 2 (Set 5, spring), 3."));
}

#[test]
fn a_sheet_warns_and_leaves_room_to_write() {
    let text = said(job(), "worksheet");
    assert!(text.contains("12. Old oil"));
    assert!(text.contains("an aid to calculation, not a safety procedure"));
    assert!(text.contains("!! LETHAL: may reach 285 V"));
    assert!(text.contains("1 red to plate1, black to chassis"));
    assert!(text.contains("red to bplus end of R1, black to plate1 end of R1"));
    assert!(text.contains("as found [ ] as left [ ]"));
    assert!(text.contains("manual says 145 V with 20k/V on 250 V (range assumed)"));
    // 145 · 1.0264/1.0132 = 146.9 V, ± 20 %: 117.5 and 176.3 V.
    assert!(
        text.contains("10M on 200 V should show 147 V, limits 118 … 176 V"),
        "{text}"
    );
    assert!(!text.contains("OUTSIDE"));
    let text = said(job_with_readings(), "worksheet");
    assert!(text.contains("OUTSIDE") && text.contains("read 165.2 V with 10M ~200 V"));
}

#[test]
fn kilovolts_ask_for_a_look_at_the_leads() {
    let mut high = job();
    high.manual[2].figure = volts("700");
    let text = said(high, "worksheet");
    assert!(text.contains("!! LETHAL: may reach 700 V, check meter and lead rating"));
    let mut low = job();
    low.circuit = circuit::Circuit::default();
    low.manual.truncate(1);
    low.manual[0] = entry("1", "heat1", None, "6.3");
    low.manual[0].source = Some(1.0);
    let text = said(low, "worksheet");
    assert!(!text.contains("LETHAL: may") && !text.contains("HAZARDOUS: may"));
}

#[test]
fn a_sheet_says_how_the_controls_stand() {
    let mut set = job();
    let part = circuit::PartId(1);
    let value = circuit::SettingValue::Turn(0.4);
    set.manual[2].settings = vec![circuit::Setting { part, value }];
    assert!(said(set, "worksheet").contains("Set R1 at 40 %."));
}

#[test]
fn a_limit_never_seems_to_contradict_its_verdict() {
    // The band of point 1 ends at 117.5 V (worked above); 117.6 V is inside it, and the sheet
    // must not show 117.6 as within 118 and more.
    let mut close = job();
    close.readings = vec![reading("1", Shown::Value(volts("117.6")))];
    let text = said(close, "compare");
    assert!(
        text.contains("117.5 … 176.3") && text.contains("within"),
        "{text}"
    );
}

#[test]
fn a_check_counts_and_shows_what_the_circuit_does_not_explain() {
    let text = said(job(), "check");
    assert!(text.contains("Read: 3 nodes, 3 parts in 1 island; 4 points of the manual;"));
    assert!(text.contains("0 errors, 1 warning"));
    // 285 V · 330/550 = 171 V unloaded; through 5 MΩ 166.6 V; 145 · 1.0264 − 171 = −22.2 V.
    assert!(text.contains("1 plate1 145 167 −22.2"), "{text}");
    assert!(text.contains("not drawn"));
}

#[test]
fn a_check_of_an_unreadable_job_says_so() {
    let view = CheckView {
        job: None,
        translation: None,
        diagnostics: &[],
    };
    let text = report::check_report(&[view], Format::Table, PLAIN).unwrap();
    assert!(text.contains("could not be read"));
    let json = report::check_report(&[view], Format::Json, PLAIN).unwrap();
    assert!(json.contains("\"job\": null"));
}
