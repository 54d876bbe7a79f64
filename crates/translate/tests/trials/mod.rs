//! Trials of whole translations against first order, and against themselves.
//!
//! Independently derived: the two ways share the circuit's equations but neither the derivatives
//! nor the arithmetic of uncertainties.

mod jobs;
mod perturbed;
mod vectors;

use translate::{translate, translation_trials, Stop, TranslationTrials, TrialsRequest};

use jobs::{job, sample};

fn trials(job: &circuit::Job, seed: u64, most_trials: usize) -> TranslationTrials {
    let translation = translate(job).unwrap();
    translation_trials(job, &translation, TrialsRequest { seed, most_trials }, None)
}

/// Each bench side of a translation beside its trials.
fn each(
    job: &circuit::Job,
    found: &TranslationTrials,
    mut check: impl FnMut(&str, f64, f64, f64, f64),
) {
    let translation = translate(job).unwrap();
    for point in &found.points {
        let carried = translation.points[point.entry].outcome.as_ref().unwrap();
        let side = &carried.bench[point.bench];
        let summary = point.summary.unwrap();
        let label = &job.manual[point.entry].point;
        check(
            label,
            side.expected,
            side.budget.standard,
            summary.mean,
            summary.standard,
        );
    }
}

#[test]
fn a_linear_circuit_scatters_as_first_order_says() {
    // A divider with tolerances of a few percent, where curvature is a hundredth of the slope.
    let job = job(
        "ground chassis\nPS1: 250V 1% , plus=b, minus=chassis\nR1: 220k 2%, b to p\n\
         R2: 470k 2%, p to q\nR3: 1M 2%, q to chassis\n",
        "point,at,value,meter,range\n1,p,150,20k/V,250V\n2,q,90.5,20k/V,100V\n",
        &["10M", "1k/V"],
    );
    let found = trials(&job, 7, 200_000);
    let mut seen = 0;
    each(&job, &found, |label, expected, u, mean, standard| {
        seen += 1;
        let count = found.trials as f64;
        // Means scatter by u/√M, standard deviations by at most u/√(2M); five times that, and
        // half a percent of u for the curvature.
        let slack = u * (5.0 / count.sqrt() + 0.005);
        assert!(
            (mean - expected).abs() < slack,
            "{label}: {mean} {expected}"
        );
        assert!((standard - u).abs() < slack, "{label}: {standard} {u}");
    });
    assert_eq!(seen, 4);
    // First order's interval holds, ends and all (JCGM 101:2008, clause 8).
    for point in &found.points {
        assert!(point.validation.unwrap().holds(), "{point:?}");
        assert_eq!(point.failed, 0);
    }
    assert_eq!(found.stop, Stop::Steady);
}

#[test]
fn a_stated_source_resistance_is_drawn_too() {
    let job = job(
        "",
        "point,at,value,meter,range,source\n1,relay,48,1k/V,100V,33k\n",
        &["10M"],
    );
    let found = trials(&job, 1, 100_000);
    each(&job, &found, |label, expected, u, mean, standard| {
        // y is linear in R here but for the bench meter's 10 MΩ; 2 % of u for the rest.
        assert!(
            (mean - expected).abs() < 0.02 * u,
            "{label}: {mean} {expected}"
        );
        assert!((standard - u).abs() < 0.02 * u, "{label}: {standard} {u}");
    });
}

#[test]
fn threads_do_not_change_the_answer_and_the_seed_does() {
    let job = sample("gate-post-preamplifier");
    let on = |threads: usize, seed: u64| {
        let pool = rayon::ThreadPoolBuilder::new()
            .num_threads(threads)
            .build()
            .unwrap();
        pool.install(|| trials(&job, seed, 400))
    };
    let one = on(1, 3);
    assert_eq!(one, on(3, 3));
    assert_ne!(one, on(3, 4));
    assert_eq!(one.trials, 400);
    assert_eq!(one.stop, Stop::Limit);
}

#[test]
fn tubes_settle_anew_in_every_trial() {
    // 1,000 trials of a set of six tubes. Means scatter by u/√1000 = 0.03 u, and the curvature of a
    // value that depends on a cut-off tube moves them further; a quarter of u would change U by 3 %.
    // Deviations scatter by 0.02 u; a tenth of u is enough to tell a trial that went astray.
    let job = sample("lookout-intercom");
    let found = trials(&job, 11, 1_000);
    let (mut astray, mut all) = (Vec::new(), 0);
    each(&job, &found, |label, expected, u, mean, standard| {
        all += 1;
        if (mean - expected).abs() > 0.25 * u || (standard - u).abs() > 0.1 * u {
            astray.push(label.to_owned());
        }
    });
    assert!(all > 20, "{all}");
    assert!(astray.is_empty(), "{astray:?}");
    assert!(found.points.iter().all(|point| point.failed == 0));
}

/// With the switch of the watch-room receiver on its turntable the line of its automatic volume control
/// floats, and a gas current drawn below zero pulls it down without end.
#[test]
fn every_trial_of_every_sample_finds_a_state() {
    for name in [
        "call-bell-board",
        "ferry-landing-amplifier",
        "gate-post-preamplifier",
        "lookout-intercom",
        "ridge-line-panel",
        "signal-shed-set",
        "watch-room-receiver",
    ] {
        let mut job = sample(name);
        // A manual that names no meter carries nothing until one is put in.
        for entry in &mut job.manual {
            entry.meter_unknown = false;
        }
        let found = trials(&job, 5, 300);
        assert!(!found.points.is_empty(), "{name}");
        for point in &found.points {
            let label = &job.manual[point.entry].point;
            assert_eq!(point.failed, 0, "{name}: {label}");
        }
    }
}

#[test]
fn an_unnamed_meter_carries_nothing_until_a_class_is_put_in() {
    let netlist =
        "ground chassis\nPS1: 90V, plus=b, minus=chassis\nR1: 10k, b to p\nR2: 10k, p to chassis\n";
    let unnamed = job(netlist, "point,at,value,meter\n1,p,44,unknown\n", &["10M"]);
    let outcome = translate(&unnamed).unwrap().points.remove(0).outcome;
    assert!(matches!(outcome, Err(translate::NotCarried::UnknownMeter)));
    let named = unnamed.with_unknown_meter(&circuit::meter_by_name("1k/V").unwrap());
    assert!(translate(&named).unwrap().points[0].outcome.is_ok());
}
