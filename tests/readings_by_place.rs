//! Readings that are called after their places.

use crate::support::{fairvolt, json, sample, Run, Scratch};

/// A reading may be called after its place: of the manual's point there it is a reading of that, elsewhere one of the
/// place. By the labels and places of the sample's own manual and netlist.
#[test]
fn a_reading_is_known_by_its_place_too() {
    let scratch = Scratch::new();
    let folder = sample("lookout-intercom");
    let run = |readings: &str| {
        let readings = scratch.write("r.csv", readings);
        fairvolt(&["compare", &folder, "-r", &readings, "--format", "json"])
    };
    let by_label = run("point,reading\n20,270\n24,140\n4,240\n");
    let by_place = run("point,reading\nV2A plate,270\nacross R2,140\ntp3,240\n");
    let judged = |run: &Run| json(run)["points"].clone();
    assert_eq!(judged(&by_label), judged(&by_place));
    let read = judged(&by_label);
    let read = read.as_array().unwrap().iter();
    let read = read.filter(|point| !point["reading"].is_null());
    assert_eq!(read.count(), 3);
    // A place that the manual does not have counts for the suspects.
    let readings = scratch.write("r.csv", "point,reading\nacross C6,145\n20,270\n3,149\n");
    let found = fairvolt(&["suspects", &folder, "-r", &readings, "--format", "json"]);
    assert_eq!(json(&found)["readings_used"], 3);
    // A pin that the base has not is no pin of the tube.
    let wrong = run("point,reading\nV1 pin 11,130\n20,270\n");
    assert!(
        wrong.complained().contains("V1 has no terminal 'pin 11'"),
        "{}",
        wrong.err
    );
    assert!(wrong.complained().contains("6 (plate)"), "{}", wrong.err);
}
