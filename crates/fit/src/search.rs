//! A sheet as a least-squares problem, for the routine that solves it.
//!
//! It gives the deviates of the sheet's numbers and of the priors at any set of coordinates.

use rmpfit::{MPConfig, MPError, MPFitter, MPPar, MPResult};

use crate::coordinate::Coordinate;
use crate::error::FitError;
use crate::fitting::residuals;
use crate::residual::Residual;
use crate::section::{characteristic, coordinates, CURVE_SCALE};
use crate::sheet::DataSheet;

/// Steps after which a search is given up.
const MOST_STEPS: usize = 2000;

/// Relative change of chi-squared and of the parameters at which the minimum is reached: near the
/// rounding of a float, so that the result does not depend on the path of the search.
const SETTLED: f64 = 1e-15;

/// A sheet as the least-squares routine asks for it.
pub(crate) struct Search<'a> {
    sheet: &'a DataSheet,
    pub(crate) coordinates: Vec<Coordinate>,
    limits: Vec<MPPar>,
    config: MPConfig,
    count: usize,
}

impl<'a> Search<'a> {
    pub(crate) fn new(sheet: &'a DataSheet) -> Result<Self, FitError> {
        let coordinates = coordinates(sheet)?;
        let limits = coordinates.iter().map(Coordinate::limits).collect();
        let mut search = Search {
            sheet,
            coordinates,
            limits,
            config: MPConfig {
                ftol: SETTLED,
                xtol: SETTLED,
                gtol: SETTLED,
                max_iter: MOST_STEPS,
                ..MPConfig::new()
            },
            count: 0,
        };
        let start: Vec<f64> = search.coordinates.iter().map(Coordinate::start).collect();
        search.count = search
            .deviates(&start)
            .ok_or_else(|| search.failed())?
            .len();
        Ok(search)
    }

    /// Parameters, and the scale of measured curves.
    pub(crate) fn values(&self, at: &[f64]) -> (Vec<f64>, Option<f64>) {
        let mut values: Vec<f64> = self
            .coordinates
            .iter()
            .zip(at)
            .map(|(coordinate, at)| coordinate.value(*at))
            .collect();
        let scaled = self
            .coordinates
            .last()
            .is_some_and(|last| last.name == CURVE_SCALE);
        let scale = if scaled { values.pop() } else { None };
        (values, scale)
    }

    /// Of the sheet's numbers, then of the priors.
    fn deviates(&self, at: &[f64]) -> Option<Vec<f64>> {
        let (values, scale) = self.values(at);
        let characteristic = characteristic(self.sheet, &values)?;
        let found = residuals(self.sheet, &characteristic, scale);
        let usual = self
            .coordinates
            .iter()
            .zip(at)
            .filter_map(|(coordinate, at)| coordinate.deviate(*at));
        Some(found.iter().map(Residual::deviate).chain(usual).collect())
    }

    pub(crate) fn failed(&self) -> FitError {
        FitError::SearchFailed {
            numbers: self.count,
            parameters: self.coordinates.len(),
        }
    }
}

impl MPFitter for Search<'_> {
    fn eval(&mut self, params: &[f64], deviates: &mut [f64]) -> MPResult<()> {
        let found = self.deviates(params).ok_or(MPError::Eval)?;
        if found.len() != deviates.len() {
            return Err(MPError::Eval);
        }
        deviates.copy_from_slice(&found);
        Ok(())
    }

    fn number_of_points(&self) -> usize {
        self.count
    }

    fn config(&self) -> &MPConfig {
        &self.config
    }

    fn parameters(&self) -> &[MPPar] {
        &self.limits
    }
}
