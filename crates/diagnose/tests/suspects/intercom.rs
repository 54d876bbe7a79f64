//! A whole set with faults planted by its sample tables: the right part leads.

use super::jobs::{holds, intercom, words};
use circuit::Job;
use diagnose::{suspects, Conclusion, Fault, Hypothesis, SuspectOptions, Suspects};

fn of(readings: &str) -> (Job, Suspects) {
    let job = intercom(readings);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    assert_eq!(found.readings.len(), 28);
    assert!(found.unused.is_empty());
    // Behind 100 kΩ in place of R2 the regulator lights and goes out again: no state to be read.
    let restless = |one: &diagnose::NotComputed| {
        one.hypothesis.part() == job.circuit.part_named("R2")
            && one.hypothesis.fault() == Some(Fault::TenTimes)
    };
    assert!(
        found.not_computed.iter().all(restless),
        "{:?}",
        found.not_computed
    );
    let whole: f64 = found.hypotheses.iter().map(|s| s.probability).sum();
    // A few hundred probabilities round to 1e-13.
    assert!((whole - 1.0).abs() < 1e-9, "{whole}");
    (job, found)
}

fn leads(readings: &str, part: &str, fault: Fault) {
    let (job, found) = of(readings);
    let first = &found.hypotheses[0];
    let said = words(&job, &first.members[0]);
    assert!(holds(&job, first, part, fault), "{readings}: {said}");
    assert_eq!(found.conclusion, Conclusion::Leads, "{readings}: {said}");
    assert!(first.unexplained.is_empty() && !first.explained.is_empty());
}

#[test]
fn a_leaky_coupler_leads() {
    leads("readings-leaky-coupler.csv", "C6", Fault::Leaky);
}

#[test]
fn an_open_cathode_resistor_leads() {
    leads("readings-open-cathode.csv", "R8", Fault::Open);
}

#[test]
fn a_worn_tube_leads() {
    leads("readings-worn-tube.csv", "V3", Fault::LowEmission);
}

#[test]
fn a_set_in_order_leads_with_nothing_wrong() {
    let (job, found) = of("readings.csv");
    let first = &found.hypotheses[0].members[0];
    let said = words(&job, first);
    assert_eq!(first.faults[0].0, Hypothesis::NothingWrong, "{said}");
}

#[test]
fn a_slip_of_a_decimal_point_is_a_wrong_reading() {
    let mut job = intercom("readings.csv");
    let place = job.readings.iter().position(|r| r.point == "15").unwrap();
    job.readings[place].shown =
        circuit::Shown::Value(units::Figure::parse("-1.9265", units::Unit::Volt).unwrap());
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    let first = &found.hypotheses[0].members[0];
    assert_eq!(
        first.faults[0].0.reading(),
        Some(place),
        "{}",
        words(&job, first)
    );
}

#[test]
fn the_answer_does_not_hang_on_how_many_work_at_it() {
    let job = intercom("readings-leaky-coupler.csv");
    let on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads);
        let work = || suspects(&job, &SuspectOptions::default()).unwrap();
        pool.build().unwrap().install(work)
    };
    let (one, three) = (on(1), on(3));
    assert_eq!(one.hypotheses, three.hypotheses);
    assert_eq!(one.next, three.next);
}

#[test]
fn one_reading_tells_nothing() {
    let mut job = intercom("readings.csv");
    job.readings.truncate(1);
    let found = suspects(&job, &SuspectOptions::default()).unwrap();
    assert_eq!(found.conclusion, Conclusion::TooFewReadings { readings: 1 });
    assert_eq!(found.next.len(), 3);
    assert!(found.next.iter().all(|probe| probe.gain_bits > 0.0));
}
