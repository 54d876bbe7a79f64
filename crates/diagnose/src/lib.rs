//! What the numbers of a manual say about the manual itself.
//!
//! A [`circuit::Job`] comes in; which printed values can be believed, what slip would explain the
//! others, which parts the table makes likely, and which class of meter it was read with go out.
//! Nothing is ever applied: a doubted value stays as printed until a person changes it. Texts and
//! printing are not known here.
//!
//! Everything is to first order about the numbers written on the parts, and taken as normal.

mod belief;
mod class;
mod covariance;
mod error;
mod explain;
mod fit;
mod hazard;
mod misprint;
mod newcomer;
mod peel;
mod place;
mod prior;
mod rating;
mod row;
mod sheet;
mod sights;
mod slips;
mod slopes;
mod suspects;

pub use belief::{belief, Belief, Judged};
pub use class::{alike, decisive, meter_classes, ClassInference, ClassLikelihood, Decided};
pub use error::DiagnoseError;
pub use explain::{Explained, Explanation, EXPLAINS};
pub use fit::{Agreement, LikelyNumber, Prediction};
pub use hazard::{
    hazards, Danger, Hazard, Reach, CHECK_RATING, HAZARDOUS_AC, HAZARDOUS_DC, LETHAL_AC, LETHAL_DC,
};
pub use peel::{BELIEVABLE, DECISIVE_ODDS};
pub use rating::{overrated, Burden, Overrated};
pub use sheet::{LeftOut, WhyLeftOut};
pub use suspects::{
    alteration, candidates, entropy_bits, expected_gain_bits, suspects, with_fault, AgeFactors,
    Candidate, Fault, FaultPrior, Faulty, Hypothesis, Member, Misreading, NextProbe, NotComputed,
    PartClass, Predicted, ProbePrediction, ReadingUsed, Settled, Size, SizeUnit, Sizes, Suspect,
    SuspectOptions, Suspects, Unused, WhyUnused, FAULT_PRIORS, NOTHING_WRONG, READING_WRONG,
};
