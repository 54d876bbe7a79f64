//! Uncertainty of a value and the decisions that follow from it, independent of circuits.
//!
//! Half-widths, sensitivities and models come in; standard uncertainties, coverage intervals,
//! probabilities and judgements go out. What an input stands for is not known here.
//!
//! Sources: JCGM 100:2008 (the GUM), JCGM 101:2008 (its Monte Carlo supplement), JCGM 106:2012
//! (conformity) and ILAC-G8:09/2019 (decision rules).

mod adaptive;
mod conformity;
mod distribution;
mod dominant;
mod draws;
mod first_order;
mod normal;
mod sample;
mod trials;
mod validation;

pub use adaptive::{block_size, Steadiness, Stop};
pub use conformity::{
    conformance_probability, guarded, too_coarse, Conformity, ConformityError, Measured,
};
pub use distribution::Distribution;
pub use dominant::coverage_of_sum;
pub use draws::Draws;
pub use first_order::{combine, expanded, Contribution, USUAL_COVERAGE};
pub use normal::{probability_below, quantile};
pub use sample::{Interval, Sample, SampleError};
pub use trials::{run_trials, FailedTrial, FirstFailure, ModelValue, Progress, Trials, TrialsPlan};
pub use validation::{numerical_tolerance, validate, Validation};
