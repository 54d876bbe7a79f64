//! What is wrong with the set on the bench?
//!
//! A job with bench readings comes in; every fault of every part, tried against the readings and
//! ranked by its probability, goes out, with what to measure next and whether anything can be told
//! at all. Plain data: words and printing are not known here.
//!
//! Posterior ∝ weight × likelihood. The weight is rate × share × growth with age ([`FAULT_MODES`]); the
//! likelihood is that of all readings together, each through its own meter and range, normal about
//! what the faulty circuit shows, with the tolerances of all other parts and the errors of both
//! meters. Faults that no reading tells apart are given as one suspect.

mod all_faults;
mod altered_set;
mod amperes;
mod bench_model;
mod beside;
mod bounds;
mod cold;
mod conclusion;
mod costs;
mod course;
mod device_laws;
mod doubted;
mod entropy;
mod evaluation;
mod failing;
mod fault;
mod fault_mode;
mod fault_predictions;
mod fault_size;
mod faulty;
mod group;
mod highest_volts;
mod hypotheses;
mod hypothesis;
mod joined_points;

mod lifting;
mod likelihood;
mod likely_set;
mod misread;
mod misreading;
mod modes;
mod nameless;
mod next;
mod next_ohms;
mod next_parts;
mod next_places;
mod options;
mod pairs;
mod part_alone;
mod part_class;
mod priors;
mod probe_set;
mod rank;
mod ranking;
mod reading;
mod repaired;
mod screening;
mod size;
mod spreads_kept;
mod steps;
mod trial;
mod unread;
mod unseen;

pub use altered_set::PartStep;
pub use conclusion::Conclusion;
pub use costs::{StepKind, STEP_COSTS};
pub use entropy::{entropy_bits, expected_gain_bits, Predicted};
pub use fault::Fault;
pub use fault_mode::{FaultMode, SizeOf, SizeRule, GROWN_AT, USUAL_AGE};
pub use fault_size::{Size, SizeUnit, Sizes};
pub use faulty::{alteration, with_fault, Faulty};
pub use group::{AmbiguityGroup, Member};
pub(crate) use highest_volts::highest_volts;
pub use hypotheses::{candidates, Candidate};
pub use hypothesis::Hypothesis;
pub use misreading::Misreading;
pub use modes::FAULT_MODES;
pub use next::{NextProbe, ProbePrediction};
pub use next_ohms::{NextOhms, OhmPrediction};
pub use next_parts::{NextPart, PartPrediction, PartReads};
pub use options::{GoOn, SuspectOptions};
pub use part_class::PartClass;
pub use priors::{AgeFactors, NONE_OF_THESE, NOTHING_WRONG, READING_WRONG};
pub use rank::{suspects, suspects_of, suspects_watched};
pub use ranking::{NotComputed, Suspects};
pub use reading::{ReadingUsed, Unused, WhyUnused};
