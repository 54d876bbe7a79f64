//! Tests of `modes`.

use super::*;
use crate::suspects::fault_mode::GROWN_AT;

#[test]
fn shares_of_a_kind_are_at_most_one_and_no_line_stands_twice() {
    for (place, line) in FAULT_MODES.iter().enumerate() {
        // What a hand did, what lies before a supply, the coils of an oscillator, dirt and wear are no failures of
        // the part.
        let beside = [
            Fault::TenTimes,
            Fault::ATenth,
            Fault::SetHigher,
            Fault::SetLower,
            Fault::Unfed,
            Fault::NotOscillating,
            Fault::DirtyContact,
            Fault::Aged,
        ];
        let kind = FAULT_MODES.iter().filter(|other| other.class == line.class);
        let kind = kind.filter(|other| !beside.contains(&other.fault));
        let sum: f64 = kind.map(|other| other.share).sum();
        // Shares of two digits sum without visible rounding.
        assert!(sum <= 1.0 + 1e-9, "{:?}: {sum}", line.class);
        let twice = FAULT_MODES[place + 1..].iter();
        assert!(twice
            .filter(|other| other.class == line.class)
            .all(|other| other.fault != line.fault));
    }
}

#[test]
fn growth_is_that_of_the_table_at_its_age_and_none_when_new() {
    for line in FAULT_MODES {
        assert!((line.grown(GROWN_AT) - line.growth.max(0.1)).abs() < 1e-12);
        assert!((line.grown(0.0) - 1.0).abs() < 1e-12);
    }
}
