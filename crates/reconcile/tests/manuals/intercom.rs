//! A whole set: its manual is believed as it stands, and planted slips are found and named.
//!
//! The sample is an invented set; what each slip should read is worked out beside it.

use super::jobs::{entry, figure, intercom};
use circuit::{meter_by_name, Job};
use reconcile::{belief, decisive, meter_classes, Explanation, Judged};

/// The entry of this label printing something else, judged. All others must stay believed.
fn doubted(job: &mut Job, label: &str, prints: &str) -> Judged {
    let index = entry(job, label);
    job.manual[index].figure = figure(prints);
    let belief = belief(job).unwrap();
    for judged in &belief.points {
        let other = judged.entry != index;
        assert_eq!(judged.believable(), other, "{:?}", job.manual[judged.entry]);
        assert!(judged.believable() || judged.rivals.is_empty());
        assert!(judged.explanations.is_empty() == other);
    }
    let mut points = belief.points.into_iter();
    points.find(|judged| judged.entry == index).unwrap()
}

fn first(judged: &Judged) -> &Explanation {
    &judged.explanations[0].explanation
}

/// Sums of powers of ten.
fn is(got: f64, want: f64) -> bool {
    (got - want).abs() < 1e-9
}

#[test]
fn the_manual_is_believed_with_its_chart_and_without() {
    for chart in [false, true] {
        let job = intercom(chart);
        let belief = belief(&job).unwrap();
        assert!(belief.points.iter().all(Judged::believable));
        assert_eq!(
            belief.points.len() + belief.left_out.len(),
            job.manual.len()
        );
        // 28 readings in the table; the chart repeats most of them.
        assert!(belief.points.len() >= 28);
        assert!(!chart || belief.agreement.readings < belief.points.len());
    }
}

#[test]
fn a_lost_sign() {
    let judged = doubted(&mut intercom(false), "11", "13.0");
    assert!(matches!(first(&judged), Explanation::WrongSign { reads_as } if is(*reads_as, -13.0)));
}

#[test]
fn swapped_digits() {
    // 135 at the plate of the microphone stage.
    let judged = doubted(&mut intercom(false), "5", "315");
    assert!(
        matches!(first(&judged), Explanation::SwappedDigits { reads_as } if is(*reads_as, 135.0))
    );
}

#[test]
fn a_dropped_decimal_point() {
    let judged = doubted(&mut intercom(false), "6", "13");
    assert!(matches!(first(&judged), Explanation::DecimalPoint { reads_as } if is(*reads_as, 1.3)));
}

#[test]
fn a_misplaced_decimal_point() {
    let judged = doubted(&mut intercom(false), "16", "-0.80");
    assert!(
        matches!(first(&judged), Explanation::DecimalPoint { reads_as } if is(*reads_as, -8.0))
    );
}

#[test]
fn another_range() {
    // 150 V of the regulator through 220 kΩ and 150 kΩ: 60.7 V behind 89.2 kΩ. On the range of
    // 50 V, 50 kΩ at 1 kΩ/V, that reads 21.8 V; the manual says 250 V.
    let judged = doubted(&mut intercom(false), "17", "22");
    assert!(
        matches!(first(&judged), Explanation::OtherRange { range } if is(range.full_scale, 50.0)),
        "{:?}",
        judged.explanations
    );
}

#[test]
fn another_meter() {
    // The same 60.7 V behind 89.2 kΩ and 470 kΩ. At 1 kΩ/V on 250 V that reads 18.7 V, at
    // 20 kΩ/V 54.6 V.
    let mut job = intercom(false);
    let index = entry(&job, "18");
    job.manual[index].range = Some(250.0);
    let judged = doubted(&mut job, "18", "19");
    let wanted = meter_by_name("1k/V").unwrap();
    assert!(
        matches!(first(&judged), Explanation::OtherMeter { meter, .. } if **meter == wanted),
        "{:?}",
        judged.explanations
    );
}

#[test]
fn another_row_of_the_socket_chart() {
    // Cathode and plate of one triode change places in the chart; the table has them right.
    let mut job = intercom(true);
    let [plate, cathode] = ["V1 pin 1", "V1 pin 3"].map(|label| entry(&job, label));
    job.manual[plate].figure = figure("1.2");
    job.manual[cathode].figure = figure("125");
    let belief = belief(&job).unwrap();
    for (index, meant) in [(plate, cathode), (cathode, plate)] {
        let mut points = belief.points.iter();
        let judged = points.find(|judged| judged.entry == index).unwrap();
        let there = |found: &reconcile::Explained| {
            matches!(found.explanation, Explanation::OtherPlace { port, .. }
                if Some(port) == job.manual[meant].port)
        };
        assert!(judged.explanations.iter().any(there));
    }
    assert_eq!(belief.points.iter().filter(|p| !p.believable()).count(), 2);
}

#[test]
fn another_pin_of_the_same_tube() {
    // The plate's 270 V in the row of the cathode.
    let mut job = intercom(false);
    let plate = entry(&job, "20");
    let judged = doubted(&mut job, "19", "270");
    let at_plate = |explanation: &Explanation| {
        matches!(explanation, Explanation::OtherPlace { port, entries }
            if Some(*port) == job.manual[plate].port && entries.contains(&plate))
    };
    let all = || judged.explanations.iter().map(|found| &found.explanation);
    assert!(all().any(at_plate), "{:?}", judged.explanations);
}

#[test]
fn three_slips_in_one_table() {
    let mut job = intercom(false);
    let planted = [("5", "315"), ("11", "13.0"), ("14", "-4.5")];
    for (label, prints) in planted {
        let index = entry(&job, label);
        job.manual[index].figure = figure(prints);
    }
    let belief = belief(&job).unwrap();
    let doubted = belief.points.iter().filter(|judged| !judged.believable());
    let labels: Vec<&str> = doubted
        .map(|judged| job.manual[judged.entry].point.as_str())
        .collect();
    assert_eq!(labels, ["5", "11", "14"]);
}

#[test]
fn the_class_of_the_table() {
    let job = intercom(false);
    let default = meter_by_name("20k/V").unwrap();
    let vary: Vec<usize> = (0..job.manual.len())
        .filter(|index| job.manual[*index].meter == default)
        .collect();
    let inferred = meter_classes(&job, &vary).unwrap();
    let decided = decisive(&inferred.likelihoods).unwrap();
    assert_eq!(decided.best.meter.name, "20k/V");
    assert!(inferred.without.is_empty() && decided.alike.is_empty());

    // A slip that no meter explains neither decides nor stands in the way.
    let mut with_slip = job;
    let index = entry(&with_slip, "11");
    with_slip.manual[index].figure = figure("13.0");
    let inferred = meter_classes(&with_slip, &vary).unwrap();
    assert_eq!(inferred.without, [index]);
    let decided = decisive(&inferred.likelihoods).unwrap();
    assert_eq!(decided.best.meter.name, "20k/V");
}
