//! Carries the manual's values over to another meter.
//!
//! A [`circuit::Job`] comes in; for each point what the manual's meter did to it, what the bench
//! meter should show, and the band that the manual allows go out, and for each bench reading a
//! verdict. It solves circuits through `solver` and knows nothing of texts or of printing.

mod anchor;
mod band;
mod bench;
mod budget;
mod compare;
mod curve;
mod derivative;
mod drawn_point;
mod imitate;
mod linear_source;
mod manual_side;
mod nonlinear;
mod not_carried;
mod point;
mod point_model;
mod quantity;
mod rails;
mod sources;
mod table;
mod trials;
mod uncertainty;
mod unload;
mod unprinted;
mod verdict;

pub use anchor::Anchor;
pub use band::{Band, BandBasis, LimitsFrom};
pub use bench::BenchSide;
pub use budget::{Budget, BudgetLine, Input, COVERAGE};
pub use compare::{compare, compare_translated, Compared, Comparison};
pub use curve::{curve_resistances, reading_curve, side_of, side_on, CurveSample};
pub use derivative::Derivatives;
pub use drawn_point::{Alone, DrawnPoint};
pub use imitate::{imitate, Clip, ImitateError, Imitation, Nearest, NoClip};
pub use manual_side::{range_of_reading, ManualSide};
pub use not_carried::NotCarried;
pub use point::{Carried, Model, NeighbourAnswer, PointOutcome, Remark};
pub use point_model::PointModel;
pub use quantity::{
    alternating_seen, hangs_on_diodes, ohms_by_parts, ohms_seen, quantities, DrawnValue, NoAnswer,
    OhmsByParts, OhmsSeen, QuantityCarried, QuantityPoint, QuantityRemark, QuantitySide, Said,
};
pub use rails::{rails_as_read, RailAsRead, RailsError};
pub use sources::SourcesAlone;
pub use table::{translate, translate_reconciled, Translation};
pub use trials::{
    translation_trials, PointTrials, TranslationTrials, TrialsRequest, TrialsSummary,
};
pub use uncertainty::{
    block_size, combine, conformance_probability, coverage_of_sum, expanded, guarded,
    numerical_tolerance, probability_below, quantile, run_trials, too_coarse, validate, Conformity,
    ConformityError, Contribution, Distribution, Draws, FailedTrial, FirstFailure, Interval,
    Measured, ModelValue, Progress, Sample, SampleError, Stop, Trials, TrialsPlan, Validation,
    USUAL_COVERAGE,
};
pub use unload::{unload, LoadedReading, UnloadError, UnloadWarning, Unloaded};
pub use unprinted::{unprinted, Predicted};
pub use verdict::{Judgement, Verdict};
