//! The manual's printed values and the drawn circuit, reconciled.
//!
//! A [`circuit::Job`] comes in; which printed values can be believed, what slip would explain the
//! others, which parts the table makes likely, and which class of meter it was read with go out.
//! Nothing is ever applied: a doubted value stays as printed until a person changes it. Texts and
//! printing are not known here.

mod accuracy;
mod agreement;
mod belief;
mod class;
mod covariance;
mod descent;
mod discrepancy;
mod error;
mod explain;
mod fit;
mod misprint;
mod newcomer;
mod outlook;
mod peel;
mod permitted_error;
mod place;
mod prior;
mod range_choice;
mod recheck;
mod reconciled;
mod resolution;
mod row;
mod sample;
mod scale_mixture;
mod second_set;
mod sheet;
mod sights;
mod slips;
mod slopes;
mod standing;
mod states;

pub use accuracy::{accuracy_half_width, AccuracyError};
pub use agreement::Agreement;
pub use belief::{belief, belief_of, Belief, Judged};
pub use class::{alike, decisive, meter_classes, ClassInference, ClassLikelihood, Decided};
pub use covariance::Covariance;
pub use error::ReconcileError;
pub use explain::{Explained, Explanation, EXPLAINS};
pub use fit::{LikelyNumber, Prediction};
pub use outlook::{DiscrepancyFound, Expected, Outlook, Term, TermInput};
pub use peel::{BELIEVABLE, DECISIVE_ODDS};
pub use permitted_error::{permitted_error, PermittedError};
pub use range_choice::{choose_range, settle_range, RangeChoice};
pub use reconciled::{reconcile, Reconciled};
pub use resolution::read_to;
pub use row::noise_of;
pub use sample::{PosteriorDraw, PriorDraw};
pub use second_set::{Lack, SecondSet};
pub use sheet::{LeftOut, WhyLeftOut};
pub use standing::Standing;
pub use states::States;
