//! What is wrong with the set on the bench, and where it is dangerous to touch.
//!
//! A [`circuit::Job`] with bench readings comes in; the parts that may be at fault, how likely each
//! is, and where to probe next go out, and for each place the highest volts that a fault could put
//! there. Texts and printing are not known here.

mod hazard;
mod rating;
mod suspects;
mod worst_case;

pub use hazard::{
    Danger, Hazard, Hazards, CHECK_RATING, HAZARDOUS_AC, HAZARDOUS_DC, LETHAL_AC, LETHAL_DC,
};
pub use rating::{overrated, Burden, Overrated};
pub use suspects::{
    alteration, candidates, entropy_bits, expected_gain_bits, suspects, suspects_of,
    suspects_watched, with_fault, AgeFactors, AmbiguityGroup, Candidate, Conclusion, Fault,
    FaultMode, Faulty, GoOn, Hypothesis, Member, Misreading, NextOhms, NextPart, NextProbe,
    NotComputed, OhmPrediction, PartClass, PartPrediction, PartReads, PartStep, Predicted,
    ProbePrediction, ReadingUsed, Size, SizeOf, SizeRule, SizeUnit, Sizes, StepKind,
    SuspectOptions, Suspects, Unused, WhyUnused, FAULT_MODES, GROWN_AT, NONE_OF_THESE,
    NOTHING_WRONG, READING_WRONG, STEP_COSTS, USUAL_AGE,
};
pub use worst_case::WorstCaseVolts;
