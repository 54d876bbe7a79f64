//! Known faults in sets from another program: whether the right one is named, and whether the odds
//! are calibrated.
//!
//! Independently derived: `tests/vectors/README.md` says how the sets are made, broken and read; none
//! of their numbers comes from this program. Every eighth design is ranked here, all of them by the
//! benchmark `suspects`, whose table stands in `benches/suspects-results.md`.

#[allow(dead_code, reason = "the benchmark prints more")]
mod outcome;
#[allow(dead_code, reason = "the benchmark reads a third of the points too")]
mod run;
#[allow(dead_code, reason = "the benchmark probes bare nodes")]
mod sets;
mod steps;
mod table;

use run::{run, truth, Points, Told};
use table::{reliability, share, BINS};

/// Every so many designs are ranked.
const EVERY: usize = 8;

/// What the whole table of the benchmark shows, as shares.
const FIRST: f64 = 0.75;
const AMONG_THREE: f64 = 0.93;
const IN_ORDER: f64 = 0.90;
const SLIPS: f64 = 0.80;
const OFF: f64 = 0.08;
const SURE: f64 = 0.03;

#[test]
fn the_right_fault_leads_and_odds_mean_what_they_say() {
    let designs: Vec<sets::Design> = sets::designs(None).into_iter().step_by(EVERY).collect();
    let told = run(&designs, Points::All, |case| {
        !matches!(case.kind.as_str(), "two" | "foreign")
    });
    let faulty = || {
        let kinds = |one: &&Told<'_>| matches!(one.case.kind.as_str(), "even" | "trade");
        told.iter()
            .filter(kinds)
            .filter(|one| one.shows && one.flagged)
    };
    assert!(faulty().count() > 60, "{}", faulty().count());
    for one in faulty().filter(|one| !one.outcome.is_among(3)) {
        println!(
            "{} {}: {}",
            one.design.id,
            truth(one.case),
            one.outcome.leaders
        );
    }
    let (first, three) = (
        share(faulty(), |one| one.outcome.is_among(1)),
        share(faulty(), |one| one.outcome.is_among(3)),
    );
    // What the whole table shows, less two standard deviations of a share of so many sets.
    assert!(first > FIRST, "{first}");
    assert!(three > AMONG_THREE, "{three}");
    let order = || told.iter().filter(|one| one.case.kind == "order");
    let in_order = share(order(), |one| one.outcome.in_order);
    assert!(in_order > IN_ORDER, "{in_order}");
    let slips = || told.iter().filter(|one| one.case.kind == "slip");
    let named = share(slips(), |one| one.outcome.is_right());
    assert!(named > SLIPS, "{named}");
    let sure = share(told.iter(), |one| {
        let outcome = &one.outcome;
        outcome.claimed > 0.9 && outcome.blames_a_part && !outcome.right_part
    });
    assert!(sure < SURE, "{sure}");
    let mixed = told.iter().filter(|one| one.case.kind != "even");
    for (bin, (low, _)) in reliability(mixed).iter().zip(BINS) {
        // Within what the whole table is off by, and two standard deviations of so few sets.
        let open = (0.25 / bin.sets.max(1) as f64).sqrt();
        let off = (bin.claimed - bin.right).abs();
        assert!(
            bin.sets < 10 || off < OFF + 2.0 * open,
            "from {low}: {bin:?}"
        );
    }
}
