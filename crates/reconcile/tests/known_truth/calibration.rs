//! Coverage, false fails and errors on all sets.
//!
//! What was asked for: with right drawings 95 % intervals hold 93 to 97 %, with a wrong one at least
//! 90 %, and fewer than 2.5 % of sets in order fail. They hold 98 to 99 %: limits of parts and meters are
//! taken as limits, rectangular, while most of the made sets scatter less within theirs, and half of their
//! meters are good to 2 % where 3 % are taken. Sets that scatter as is taken hold what was asked for, so
//! there is nothing to narrow that a worse set would not need.

use super::judged::{judged, Counts, Judged};
use super::sets::family;

/// Points of one set share parts and meter, so counts of some hundred sets scatter by about 1 %.
const SCATTER: f64 = 1.0;

/// Every value of a family, with right drawings or with the wrong ones.
fn values(name: &str, wrong: bool) -> Vec<Judged> {
    let sets = family(name);
    let each = parallel::filter_map(&sets, |set| judged(set, wrong));
    let surprises: Vec<&String> = each.iter().flat_map(|(_, surprises)| surprises).collect();
    assert!(surprises.is_empty(), "{name}: {surprises:?}");
    each.into_iter().flat_map(|(values, _)| values).collect()
}

/// The page for people quotes these counts: its row of a family must be today's.
fn quoted(what: &str, drawing: &str, counts: &Counts) {
    let digits = |volts: f64| {
        // Three digits, as the page has them.
        let decimals = if volts.abs() < 10.0 { 2 } else { 1 };
        format!("{volts:.decimals$}")
    };
    let [both, manual, drawn] = counts.volts.map(digits);
    let row = format!(
        "| {what} | {drawing} | {:.1} | {both} | {manual} | {drawn} | {:.1} |",
        counts.held[0], counts.failed
    );
    let page = include_str!("../../../../docs/reconciled.md");
    assert!(page.contains(&row), "docs/reconciled.md lacks\n{row}");
}

fn right(name: &str, what: &str, least: usize) -> Vec<Judged> {
    let values = values(name, false);
    let counts = Counts::of(values.iter());
    quoted(what, "right", &counts);
    assert!(counts.values >= least, "{name}: {}", counts.values);
    let held = counts.held[0];
    assert!(held >= 95.0 - SCATTER, "{name}: {held} % held");
    // Wider than so they would say nothing.
    assert!(held <= 99.7, "{name}: {held} % held");
    assert!(counts.failed < 2.5, "{name}: {} % failed", counts.failed);
    // A doubt takes odds of a hundred and more.
    assert!(counts.doubted < 0.1, "{name}: {} %", counts.doubted);
    // Two sources of equal error have 1/√2 of it together, and the other values of the table add to
    // that.
    let [both, manual, drawing] = counts.volts;
    assert!(both < 0.7 * manual.min(drawing), "{name}: {both} V");
    // Shares are those of the points near zero, which few other values have a say in.
    let [both, manual, drawing] = counts.relative;
    assert!(both < 0.9 * manual.min(drawing), "{name}: {both} %");
    values
}

fn wrong(name: &str, what: &str, least: usize) {
    let counts = Counts::of(values(name, true).iter());
    quoted(what, "one part wrong", &counts);
    assert!(counts.values >= least, "{name}: {}", counts.values);
    let held = counts.held[0];
    assert!(held >= 90.0, "{name}: {held} % held");
    // A wrong drawing lets a set in order fail no oftener than the guard band's 2.5 %.
    let failed = counts.failed;
    assert!(failed < 2.5, "{name}: {failed} % failed");
    // No worse than without the drawing, and nowhere near what that says.
    let [both, manual, drawing] = counts.volts;
    assert!(both < manual, "{name}: {both} V, manual {manual} V");
    assert!(
        both < 0.5 * drawing,
        "{name}: {both} V, drawing {drawing} V"
    );
}

#[test]
fn networks() {
    right("networks", "500 networks", 5000);
    wrong("networks", "166 networks", 1700);
}

/// Parts anywhere within their limits, and a meter as bad as its class may be.
#[test]
fn sets_that_scatter_as_is_taken_hold_what_was_asked_for() {
    let mut sets = family("networks");
    sets.retain(|set| set.made["parts"] == "rectangular" && set.made["meter"].ends_with("0.03"));
    let each = parallel::filter_map(&sets, |set| judged(set, false));
    let counts = Counts::of(each.iter().flat_map(|(values, _)| values));
    assert!(counts.values >= 400, "{}", counts.values);
    let held = counts.held[0];
    assert!((93.0..=97.0).contains(&held), "{held} % held");
    let words = format!("hold {held:.1} %");
    let page = include_str!("../../../../docs/reconciled.md");
    assert!(page.contains(&words), "docs/reconciled.md lacks '{words}'");
}

#[test]
fn chassis() {
    grids_and_diodes(&right("chassis", "300 tube chassis", 6500));
    wrong("chassis", "100 tube chassis", 2200);
}

#[test]
fn boards() {
    right("boards", "60 transistor boards", 900);
    wrong("boards", "20 transistor boards", 300);
}

/// Points that hang on contact potentials and grid currents, which the drawing knows least of.
fn grids_and_diodes(values: &[Judged]) {
    for kind in ["grid", "diode"] {
        let counts = Counts::of(values.iter().filter(|one| one.place.contains(kind)));
        assert!(counts.values > 250, "{kind}: {}", counts.values);
        assert!(counts.held[0] >= 93.0, "{kind}: {} % held", counts.held[0]);
        assert!(counts.failed < 2.5, "{kind}: {} % failed", counts.failed);
        // A constant current carried over says nothing here: by hand −0.17 V becomes −17 V.
        let [both, manual, _] = counts.volts;
        assert!(both < 0.5 * manual, "{kind}: {both} V, manual {manual} V");
    }
}

/// One misprint in each of a hundred tables.
#[test]
fn tables_with_a_misprint() {
    let values = values("slips", false);
    let counts = Counts::of(values.iter());
    assert!(counts.held[0] >= 93.0, "{} % held", counts.held[0]);
    assert!(counts.failed < 2.5, "{} % failed", counts.failed);
    let [both, manual, _] = counts.volts;
    assert!(both < 0.2 * manual, "{both} V, manual {manual} V");
    let sound = Counts::of(values.iter().filter(|one| !one.slipped));
    // One value gone wrong does not spoil the others.
    let held = sound.held[0];
    assert!(held >= 95.0 - SCATTER, "{held} % of the sound ones held");
    let [both, manual, drawing] = sound.volts;
    assert!(
        both < manual.min(drawing),
        "{both} V, {manual} V, {drawing} V"
    );
    // What was misprinted is found by the drawing and the other values, or held within their doubts, where
    // the manual alone holds next to nothing; a slip that looks sound is not, one in six.
    let slipped = Counts::of(values.iter().filter(|one| one.slipped));
    assert!(slipped.held[0] >= 75.0, "{} % held", slipped.held[0]);
    assert!(slipped.held[1] < 10.0, "{} % held", slipped.held[1]);
    // As many are doubted as tests/known_truth/misprints.rs counts.
    assert!(slipped.doubted > 75.0, "{} % doubted", slipped.doubted);
}
