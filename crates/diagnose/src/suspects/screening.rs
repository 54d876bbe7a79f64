//! What a fault shows at a first look, at a few of its sizes, and whether an evaluation in full is
//! worth its time.

use crate::suspects::bench_model::Response;

/// A fault is tried in full unless its readings are less likely than those of the best by this many
/// natural logarithms, even if they spread [`WIDER`] times as far as in order, and further still
/// where the resistance of a port has risen: what the numbers move there rises with it.
const LEFT: f64 = 12.0;
pub(crate) const WIDER: f64 = 2.0;

/// What a first look shows.
#[derive(Clone, Debug, Default)]
pub(crate) struct Screening {
    /// Logarithms of the sizes; none for a fault without a size.
    pub(crate) logs: Vec<f64>,
    /// The views there, or the only one.
    pub(crate) responses: Vec<Response>,
    /// How far the resistance that stands for the fault may move each reading, in volts; none for a
    /// fault with a size.
    pub(crate) fault_resistance: Vec<f64>,
    /// Least `rᵀS⁻¹r` with the spread of the set in order.
    pub(crate) chi_squared: f64,
    /// The same with the widest spread that the fault may have.
    pub(crate) at_best: f64,
}

impl Screening {
    /// Whether a trial in full is worth its time, given the least `rᵀS⁻¹r` of all.
    pub(crate) fn is_plausible(&self, least: f64) -> bool {
        self.at_best <= least / WIDER.powi(2) + 2.0 * LEFT
    }

    /// Least `rᵀS⁻¹r` with the spread of the set in order.
    pub(crate) fn chi_squared(&self) -> f64 {
        self.chi_squared
    }

    /// Adds a view at a size, sorted in; one that is there already stays.
    pub(crate) fn add(&mut self, log: f64, response: Response) {
        if !self.has(log) {
            let place = self.logs.partition_point(|known| *known < log);
            self.logs.insert(place, log);
            self.responses.insert(place, response);
        }
    }

    pub(crate) fn has(&self, log: f64) -> bool {
        self.logs.iter().any(|known| (known - log).abs() < 1e-6)
    }

    /// Least `rᵀS⁻¹r` of several.
    pub(crate) fn least<'a>(screenings: impl Iterator<Item = &'a Screening>) -> f64 {
        screenings.fold(f64::INFINITY, |least, one| least.min(one.chi_squared))
    }
}
