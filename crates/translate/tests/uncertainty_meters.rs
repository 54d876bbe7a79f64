//! Permitted errors of meters, and what meters read through their own resistance.

use crate::cases::Cases;
use circuit::{meter_by_name, Accuracy};
use reconcile::accuracy_half_width;
use translate::{Anchor, Distribution};

const ROWS: &str = include_str!("cases/meters.csv");

fn pointer(class: f64, reading: f64, full_scale: f64) -> f64 {
    let accuracy = Accuracy::OfFullScale(class / 100.0);
    accuracy_half_width(accuracy, reading, full_scale, None).unwrap()
}

fn digital(percent: f64, counts: f64, reading: f64, range: (f64, u32)) -> f64 {
    let share = percent / 100.0;
    let accuracy = Accuracy::OfReading { share, counts };
    accuracy_half_width(accuracy, reading, range.0, Some(range.1)).unwrap()
}

#[test]
fn pointer_meters() {
    let cases = Cases::of(ROWS, 1, 5);
    let half_width = pointer(3.0, 200.0, 250.0);
    cases.check("I01a", half_width);
    cases.check("I01b", Distribution::Rectangular { half_width }.standard());
    let third = 250.0 / 3.0;
    cases.check("I02", 100.0 * pointer(3.0, third, 250.0) / third);
    for (id, class) in [("I03a", 1.0), ("I03b", 2.0), ("I04a", 2.0), ("I04b", 3.0)] {
        // The same for a reading of any size and sign.
        cases.check(id, pointer(class, -37.0, 100.0));
    }
    let meter = meter_by_name("20k/V").unwrap();
    cases.check("I05a", meter.input_ohms(meter.range(100.0)) / 100.0);
    let mut alternating = meter.clone();
    alternating.input = meter.ac.unwrap().input;
    let range = alternating.range(100.0);
    cases.check("I05b", alternating.input_ohms(range) / 100.0);
    cases.finish();
}

#[test]
fn digital_meters() {
    let cases = Cases::of(ROWS, 6, 9);
    let around = digital(1.0, 2.0, 100.0, (200.0, 2000));
    cases.check("I06a", 100.0 - around);
    cases.check("I06b", 100.0 + around);
    cases.check("I07", digital(0.5, 3.0, 2.0, (2.0, 2000)));
    cases.check("I08", digital(1.0, 3.0, -120.0, (600.0, 6000)));
    cases.check("I09", digital(0.5, 1.0, 1.755, (2.0, 2000)));
    cases.finish();
}

#[test]
fn loaded_readings() {
    let cases = Cases::of(ROWS, 10, 13);
    // An open-circuit value is a printed value whose meter drew nothing.
    let open = Anchor::stated(220e3, 0.0, 200.0);
    let meters = [
        ("I10", "1k/V"),
        ("I11", "20k/V"),
        ("I12", "11M"),
        ("I13", "10M"),
    ];
    for (id, name) in meters {
        let meter = meter_by_name(name).unwrap();
        let siemens = 1.0 / meter.input_ohms(meter.range(250.0));
        cases.check(id, open.carried(siemens).unwrap());
    }
    cases.finish();
}
