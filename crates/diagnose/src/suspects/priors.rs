//! How likely each fault is before any reading is looked at: the table of fault modes at the age of
//! the set, with the factors of the job.

use crate::suspects::fault::Fault;
use crate::suspects::fault_mode::USUAL_AGE;
use crate::suspects::modes::mode_of;
use crate::suspects::part_class::PartClass;

/// The age of a set, and factors on the rates by class of part; 1 for those not named.
#[derive(Clone, Debug, PartialEq)]
pub struct AgeFactors {
    /// Years.
    pub years: f64,
    factors: Vec<(PartClass, f64)>,
}

impl Default for AgeFactors {
    fn default() -> Self {
        AgeFactors {
            years: USUAL_AGE,
            factors: Vec::new(),
        }
    }
}

/// Weight of a set in order among all that may be found on a bench: common practice, no source.
/// Somebody brought the set in, so this is well below one half; but many tubes pulled from sets
/// were found good (one in three in an airline study), so it is not next to nothing.
pub const NOTHING_WRONG: f64 = 0.25;

/// How often a reading is not what it is taken for: one in a hundred (common practice, no source).
/// The set is then taken to be in order otherwise.
pub const READING_WRONG: f64 = 0.01;

/// Weight of something that no table of single faults has: a slip in the drawing, a wire at the wrong
/// lug, two faults at once (common practice, no source).
pub const NONE_OF_THESE: f64 = 0.02;

/// Classes by the names that a job uses ([`circuit::AGE_CLASSES`]).
const NAMED: [(&str, &[PartClass]); 11] = [
    ("resistor", &[PartClass::Resistor]),
    ("potentiometer", &[PartClass::Potentiometer]),
    ("paper capacitor", &[PartClass::Paper]),
    ("mica or ceramic capacitor", &[PartClass::Mica]),
    ("electrolytic capacitor", &[PartClass::Electrolytic]),
    (
        "coil or transformer",
        &[PartClass::Coil, PartClass::Transformer],
    ),
    ("supply", &[PartClass::Supply]),
    ("tube", &[PartClass::Tube]),
    (
        "semiconductor",
        &[
            PartClass::Diode,
            PartClass::Regulator,
            PartClass::Transistor,
            PartClass::FieldEffect,
        ],
    ),
    ("contact", &[PartClass::Contact]),
    ("lamp", &[PartClass::Lamp]),
];

impl AgeFactors {
    /// The factors of a job, by the names of [`circuit::AGE_CLASSES`]; other names are left aside.
    pub fn named(factors: &[(String, f64)]) -> Self {
        let mut ages = AgeFactors::default();
        for (name, factor) in factors {
            let classes = NAMED.iter().find(|(known, _)| known == name);
            for class in classes.map_or(&[][..], |(_, classes)| classes) {
                ages = ages.with(*class, *factor);
            }
        }
        ages
    }

    /// The same with one class's factor set.
    pub fn with(mut self, class: PartClass, factor: f64) -> Self {
        self.factors.retain(|(known, _)| *known != class);
        self.factors.push((class, factor));
        self
    }

    /// The same for a set of so many years; that of [`USUAL_AGE`] if none are stated.
    pub fn at(mut self, years: Option<f64>) -> Self {
        self.years = years.filter(|years| *years >= 0.0).unwrap_or(USUAL_AGE);
        self
    }

    /// The factor of a class.
    pub fn of(&self, class: PartClass) -> f64 {
        let named = self.factors.iter().find(|(known, _)| *known == class);
        named.map_or(1.0, |(_, factor)| *factor)
    }
}

/// Rate × share × growth × factor of one fault of a kind of part; none if the table has no such line.
pub(crate) fn weight(class: PartClass, fault: Fault, ages: &AgeFactors) -> Option<f64> {
    let line = mode_of(class, fault)?;
    let age = ages.of(class);
    let factor = if age.is_finite() { age.max(0.0) } else { 1.0 };
    Some(line.rate * line.share * line.grown(ages.years) * factor)
}

/// Probability that a set in order has all of so many readings right, and that just this one of them
/// is wrong: one factor a reading, so that with many readings none of them is left with nothing.
pub(crate) fn slips(readings: usize) -> (f64, f64) {
    let right = 1.0 - READING_WRONG;
    let count = i32::try_from(readings).unwrap_or(i32::MAX);
    let all = right.powi(count);
    // Only one slip at a time is tried: those that share a set with others go to the one.
    let each = (1.0 - all) / f64::from(count.max(1));
    (NOTHING_WRONG * all, NOTHING_WRONG * each)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_class_that_a_job_can_name_is_known() {
        for name in circuit::AGE_CLASSES {
            let ages = AgeFactors::named(&[(name.to_owned(), 7.0)]);
            assert!(!ages.factors.is_empty(), "{name}");
        }
    }

    #[test]
    fn an_age_factor_scales_its_class_alone() {
        // Composition resistor open when new: 1 × .31, by hand; three times that with its factor.
        let new = AgeFactors::default().at(Some(0.0));
        let ages = new.with(PartClass::Resistor, 3.0);
        let open = weight(PartClass::Resistor, Fault::Open, &ages).unwrap();
        assert!((open - 0.93).abs() < 1e-12);
        let coil = weight(PartClass::Coil, Fault::Open, &ages).unwrap();
        assert!((coil - 3.3 * 0.42).abs() < 1e-12);
        assert!(weight(PartClass::Coil, Fault::Gassy, &ages).is_none());
    }

    #[test]
    fn with_many_readings_slips_never_take_more_than_the_sets_in_order() {
        for readings in [1, 10, 400, 100_000] {
            let (all, each) = slips(readings);
            // Sums of a few products of numbers below one.
            assert!((all + each * readings as f64 - NOTHING_WRONG).abs() < 1e-9);
        }
    }
}
