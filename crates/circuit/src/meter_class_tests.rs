//! Tests of `meter_class`.

use super::*;

#[test]
fn ranges_rise_and_names_are_found_as_people_write_them() {
    for meter in meter_classes() {
        let rising = meter
            .ranges
            .windows(2)
            .all(|pair| pair[0].full_scale < pair[1].full_scale);
        assert!(rising, "{}", meter.name);
        assert!(meter_by_name(&meter.name).is_some());
    }
    assert_eq!(meter_by_name("20 kΩ/V").unwrap().name, "20k/V");
    for (words, class) in [
        ("VTVM", "11M"),
        ("electronic voltmeter", "11M"),
        ("vacuum-tube voltmeter", "11M"),
        ("DMM", "10M"),
    ] {
        assert_eq!(meter_by_name(words).unwrap().name, class, "{words}");
    }
    assert_eq!(meter_by_name("11m").unwrap().name, "11M");
    assert!(meter_by_name("3k/V").is_none());
}
