//! The manual's printed values and the drawn circuit, reconciled.
//!
//! A [`circuit::Job`] comes in; which printed values can be believed, what slip would explain the
//! others, which parts the table makes likely, and which class of meter it was read with go out.
//! Nothing is ever applied: a doubted value stays as printed until a person changes it. Texts and
//! printing are not known here.

mod accuracy;
mod agreement;
mod another_set;
mod belief;
mod class;
mod covariance;
mod data_snooping;
mod descent;
mod discrepancy;
mod discrepancy_found;
mod doubts;
mod drawing_slips;
mod error;
mod excluded;
mod expected;
mod explain;
mod explanation;
mod fit;
mod jacobian;
mod manual_table;
mod misprint;
mod observation;
mod overload;
mod permitted_error;
mod place;
mod posterior_reading;
mod prediction;
mod prior;
mod range_candidates;
mod range_choice;
mod reader;
mod reconciled;
mod resolution;
mod sample;
mod scale_mixture;
mod search;
mod second_set;
mod slips;
mod states;
mod uncertainty_terms;
mod value_status;
mod wrong_number;

pub use accuracy::{accuracy_half_width, AccuracyError};
pub use agreement::{Agreement, BELIEVABLE};
pub use another_set::SHARED_BY_SETS;
pub use belief::{belief, belief_of, explained_belief, Belief, Judged};
pub use class::{alike, decisive, meter_classes, ClassInference, ClassLikelihood, Decided};
pub use covariance::Covariance;
pub use data_snooping::DECISIVE_ODDS;
pub use discrepancy_found::DiscrepancyFound;
pub use drawing_slips::{DrawingChange, DrawingSlip, LikelyValue};
pub use error::ReconcileError;
pub use expected::Expected;
pub use explain::{Explained, EXPLAINS};
pub use explanation::Explanation;
pub use fit::LikelyNumber;
pub use manual_table::{LeftOut, WhyLeftOut};
pub use observation::noise_of;
pub use permitted_error::{permitted_error, PermittedError};
pub use posterior_reading::PosteriorReading;
pub use prediction::Prediction;
pub use range_choice::{choose_range, settle_range, RangeChoice};
pub use reconciled::{reconcile, Reconciled};
pub use resolution::read_to;
pub use sample::{PosteriorDraw, PriorDraw};
pub use second_set::{Lack, SecondSet, Unseen};
pub use states::{seen_in_manual, stable_state, Seen, States};
pub use uncertainty_terms::{Term, TermInput};
pub use value_status::ValueStatus;
