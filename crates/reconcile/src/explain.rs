//! The slips that would explain a doubted value.
//!
//! A doubted value and the fit of the believed ones come in. Each slip that could have led to it
//! is tried by reading the circuit anew, and those that fit go out, the likeliest first. None is
//! ever applied: a printed value is changed by a person with the page in hand, or not at all.

use std::collections::hash_map::{Entry, HashMap};

use circuit::{Job, Port, Quantity, Setting};

use crate::error::ReconcileError;
use crate::explanation::Explanation;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::{Taken, AT_ONCE};
use crate::observation::{NoObservation, Observation, Printed};
use crate::prediction::{NoiselessPrediction, Prediction};
use crate::reader::Reader;
use crate::slips::{Doubted, ReadingKey, Slip};

/// A slip explains a value that it brings within so many standard deviations: tighter than what
/// is believed unasked, since several slips are tried for each value and one in twenty wrong ones
/// may then still fit.
pub const EXPLAINS: f64 = 2.0;

/// A meter or range explains a value by its load only if it removes at least this share of the misfit in
/// volts; otherwise a coarse range would explain anything by its error alone.
const LEAST_SHIFT: f64 = 0.5;

/// An explanation and how well it fits.
#[derive(Clone, Debug, PartialEq)]
pub struct Explained {
    /// What may have happened.
    pub explanation: Explanation,
    /// What the value should then be.
    pub predicted: Prediction,
    /// Distance of the value from it in standard deviations, within [`EXPLAINS`].
    pub residual_sigma: f64,
    /// Logarithm of the probability that this slip prints just these digits, up to a constant
    /// that is the same for all explanations of one value.
    pub log_likelihood: f64,
}

/// Evaluates slips against a fit. No place is computed twice with one load.
pub(crate) struct Slips<'a> {
    job: &'a Job,
    fit: &'a Fit,
    jacobian: &'a ScaledJacobian,
    entries_at: HashMap<Port, Vec<usize>>,
    settings: Vec<&'a [Setting]>,
    /// What the fit says there; none where the circuit says nothing.
    predictions: HashMap<ReadingKey, Option<NoiselessPrediction>>,
}

impl<'a> Slips<'a> {
    pub(crate) fn new(job: &'a Job, fit: &'a Fit, jacobian: &'a ScaledJacobian) -> Self {
        let mut entries_at: HashMap<Port, Vec<usize>> = HashMap::new();
        for (index, entry) in job.manual.iter().enumerate() {
            // A row of ohms or of a current at the place is none that a voltage was taken at.
            let port = entry.port.filter(|_| entry.quantity == Quantity::DcVolts);
            if let Some(port) = port {
                entries_at.entry(port).or_default().push(index);
            }
        }
        Slips {
            job,
            fit,
            jacobian,
            entries_at,
            settings: Vec::new(),
            predictions: HashMap::new(),
        }
    }

    /// Every slip that explains a value, the likeliest first. `misfit` is that of the value as
    /// printed, in volts.
    ///
    /// # Errors
    /// [`ReconcileError::Unsolved`], which cannot be where the value itself was read.
    pub(crate) fn explain(
        &mut self,
        reader: &mut Reader,
        taken: &Taken,
        misfit: f64,
    ) -> Result<Vec<Explained>, ReconcileError> {
        let doubted = Doubted {
            job: self.job,
            taken,
            entries_at: &self.entries_at,
        };
        let mut slips = doubted.slips();
        slips.retain(|(slip, _)| slip.noise().is_some());
        let settings = self.job.manual[taken.entries[0]].settings.as_slice();
        let known = self.settings.iter().position(|known| *known == settings);
        let place = known.unwrap_or_else(|| {
            self.settings.push(settings);
            self.settings.len() - 1
        });
        self.predict(reader, place, &slips)?;
        let slips = slips.into_iter();
        let tried = slips.filter_map(|(slip, share)| self.tried(place, slip, share, misfit));
        let mut found: Vec<Explained> = tried.collect();
        found.sort_by(|a, b| b.log_likelihood.total_cmp(&a.log_likelihood));
        Ok(found)
    }

    /// Computes the predictions that are not known yet.
    fn predict(
        &mut self,
        reader: &mut Reader,
        settings: usize,
        slips: &[(Slip, f64)],
    ) -> Result<(), ReconcileError> {
        let mut new: Vec<(ReadingKey, &Slip)> = Vec::new();
        for (slip, _) in slips {
            let key = slip.key(settings);
            if let Entry::Vacant(place) = self.predictions.entry(key) {
                place.insert(None);
                new.push((key, slip));
            }
        }
        let settings = self.settings[settings];
        for some in new.chunks(AT_ONCE) {
            let model_reading = |(_, slip): &(ReadingKey, &Slip)| {
                reader.model_reading(slip.port, settings, slip.setup(settings).siemens())
            };
            let seen: Vec<_> = parallel::map(some, model_reading);
            let mut rows = Vec::new();
            for ((key, slip), seen) in some.iter().zip(seen) {
                match seen.and_then(|seen| reader.row(&slip.setup(settings), slip.printed, &seen)) {
                    Ok(row) => rows.push((*key, row)),
                    Err(NoObservation::Unsolved(error)) => return Err(error.into()),
                    Err(_) => {}
                }
            }
            let each: Vec<&Observation> = rows.iter().map(|(_, row)| row).collect();
            let predictions = self.fit.predictions(self.jacobian, &each);
            for ((key, _), prediction) in rows.iter().zip(predictions) {
                self.predictions.insert(*key, Some(prediction));
            }
        }
        Ok(())
    }

    fn tried(&self, settings: usize, slip: Slip, share: f64, misfit: f64) -> Option<Explained> {
        let prediction = (*self.predictions.get(&slip.key(settings))?)?;
        let Printed { value, resolution } = slip.printed;
        let predicted = prediction.read_with(slip.noise()?);
        let residual_sigma = predicted.sigmas(value);
        let by_load = matches!(
            slip.explanation,
            Explanation::OtherRange { .. } | Explanation::OtherMeter { .. }
        );
        let left = (value - predicted.volts).abs();
        let shifted_enough = !by_load || left <= (1.0 - LEAST_SHIFT) * misfit.abs();
        // Any figure comes near to nothing with its decimal point far enough to the left.
        let is_shifted = matches!(slip.explanation, Explanation::DecimalPoint { .. });
        let says_nothing = is_shifted
            && predicted.sigmas(0.0).abs() <= EXPLAINS
            && value.abs() < predicted.standard;
        if residual_sigma.abs() > EXPLAINS || !shifted_enough || says_nothing {
            return None;
        }
        // The digits stand for an interval of one resolution: p = share · δ/s · exp(−z²/2)/√2π
        let density = resolution / predicted.standard;
        Some(Explained {
            explanation: slip.explanation,
            predicted,
            residual_sigma,
            log_likelihood: (share * density).ln() - 0.5 * residual_sigma.powi(2),
        })
    }
}
