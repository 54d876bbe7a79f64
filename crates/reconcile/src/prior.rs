//! The prior: what is known of the parts before the manual's values are used.
//!
//! Every number of the circuit is its written value, spread by its tolerance or by the default of
//! its kind ([`circuit::spread_of`]). Limits with nothing known about the inside are rectangular:
//! `σ² = a²/3` (JCGM 100:2008, 4.3.7). Each is measured in its own standard deviations,
//! ohms and shares by their logarithm; the numbers are taken as independent, so `P` is the identity.

use std::collections::HashMap;
use std::sync::Arc;

use circuit::{spread_of, Job, PartId, PartParameter, PartSpread, SpreadScale};
use solver::{Numbers, ParameterId, Sensitivities};

use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::scale_mixture::{Likelihood, ScaleMixture};

/// The numbers met so far, each with its spread.
#[derive(Clone, Debug)]
pub(crate) struct Prior {
    pub(crate) job: Arc<Job>,
    places: HashMap<(PartId, PartParameter), usize>,
    /// The numbers of the last row and their places; most rows have the same numbers.
    last: Option<(Arc<Numbers>, Arc<[usize]>)>,
    /// In the order in which they were met.
    pub(crate) numbers: Vec<(ParameterId, PartSpread)>,
    /// Present deviation of each from its written value, in standard deviations.
    pub(crate) at: Vec<f64>,
    /// One standard deviation of each number in its own unit, where it is taken to be.
    slopes: Vec<f64>,
    /// How many times its tolerance each number is spread.
    widths: Vec<f64>,
    /// Probability of each width, as estimated from the table so far.
    probabilities: Option<[f64; 4]>,
}

/// A written number may differ from that of the set: widths of its distribution as multiples of its
/// tolerance, and how many numbers of each width represent the prior knowledge.
const WIDTHS: ScaleMixture<4> = ScaleMixture {
    sizes: [1.0, 3.0, 10.0, 30.0],
    known: [30.0, 0.5, 0.5, 0.2],
};

/// Derivative of a reading by a number on which no row depends: volts for one standard deviation.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Unmet {
    pub(crate) id: ParameterId,
    pub(crate) spread: PartSpread,
    pub(crate) volts: f64,
}

impl Prior {
    pub(crate) fn new(job: &Arc<Job>) -> Self {
        Prior {
            job: Arc::clone(job),
            places: HashMap::new(),
            last: None,
            numbers: Vec::new(),
            at: Vec::new(),
            slopes: Vec::new(),
            widths: Vec::new(),
            probabilities: None,
        }
    }

    /// Derivatives of a reading by each number, in volts for one standard deviation of it: a row
    /// of `H √P`. Numbers met later are beyond its end and count as zero.
    pub(crate) fn scaled(&mut self, sensitivities: &Sensitivities) -> Vec<f64> {
        let places = self.known_places(&sensitivities.numbers);
        let places = places.unwrap_or_else(|| {
            let ids = sensitivities.numbers.ids.iter();
            let places: Arc<[usize]> = ids.map(|id| self.place(*id)).collect();
            self.last = Some((Arc::clone(&sensitivities.numbers), Arc::clone(&places)));
            places
        });
        self.row(&sensitivities.values, &places)
    }

    /// The places of the numbers of a row that has the same ones as the last.
    fn known_places(&self, numbers: &Arc<Numbers>) -> Option<Arc<[usize]>> {
        let (last, places) = self.last.as_ref()?;
        // Every solution has a list of its own.
        let same = Arc::ptr_eq(last, numbers) || last.ids == numbers.ids;
        same.then(|| Arc::clone(places))
    }

    /// A row of `H √P` from `λᵀ ∂F/∂θ` of numbers at these places.
    fn row(&self, values: &[f64], places: &[usize]) -> Vec<f64> {
        let mut row = vec![0.0; self.numbers.len()];
        for (value, place) in values.iter().zip(places) {
            // dy = −λᵀ ∂F/∂θ dθ
            row[*place] -= value * self.slopes[*place];
        }
        row
    }

    /// The same without adding numbers: those that are known, and those that are not.
    pub(crate) fn scaled_known(&self, sensitivities: &Sensitivities) -> (Vec<f64>, Vec<Unmet>) {
        if let Some(places) = self.known_places(&sensitivities.numbers) {
            return (self.row(&sensitivities.values, &places), Vec::new());
        }
        let mut row = vec![0.0; self.numbers.len()];
        let mut unmet = Vec::new();
        for sensitivity in sensitivities.iter() {
            let id = (sensitivity.id.part, sensitivity.id.parameter);
            match self.places.get(&id) {
                Some(place) => row[*place] -= sensitivity.value * self.slopes[*place],
                None => {
                    let spread = spread_of(
                        self.job.circuit.part(sensitivity.id.part),
                        sensitivity.id.parameter,
                    );
                    unmet.push(Unmet {
                        id: sensitivity.id,
                        spread,
                        volts: -sensitivity.value * spread.slope(0.0),
                    });
                }
            }
        }
        (row, unmet)
    }

    /// Estimates from the table which numbers lie beyond their tolerances, with the Jacobian and the fit
    /// under the present widths: `a = mᵀS⁻¹m` and `b = mᵀS⁻¹r` for each number. Returns the ratio of each
    /// new width to the last.
    pub(crate) fn learn(&mut self, jacobian: &ScaledJacobian, fit: &Fit) -> Vec<f64> {
        self.widths.resize(self.numbers.len(), 1.0);
        let likelihoods = self.likelihoods(jacobian, fit);
        let variances = WIDTHS.variances(&likelihoods, &mut self.probabilities);
        let mut ratios = vec![1.0; self.numbers.len()];
        let mut at = self.at.clone();
        for (place, variance) in variances.into_iter().enumerate() {
            let Some(variance) = variance else { continue };
            let width = variance.sqrt();
            let ratio = width / self.widths[place];
            self.widths[place] = width;
            self.numbers[place].1.half_width *= ratio;
            at[place] /= ratio;
            ratios[place] = ratio;
        }
        self.move_to(at);
        ratios
    }

    /// Likelihood of each number's deviation from everything else, in its written standard deviations.
    fn likelihoods(&self, jacobian: &ScaledJacobian, fit: &Fit) -> Vec<Likelihood> {
        let written = self.numbers.iter().take(jacobian.numbers()).enumerate();
        let written = written.filter(|(_, (_, spread))| Self::widths_of(spread).is_some());
        let written: Vec<usize> = written.map(|(place, _)| place).collect();
        let squares = jacobian.squares_at(&written, &fit.inverse);
        let sums = jacobian.times(&fit.weighted);
        let mut likelihoods = vec![Likelihood::NONE; self.numbers.len()];
        for (place, a) in written.into_iter().zip(squares) {
            // Off the present width to the written one.
            let width = self.width(place);
            likelihoods[place] =
                Likelihood::of(a / width.powi(2), sums[place] / width, width.powi(2));
        }
        likelihoods
    }

    /// The same with one number spread so many times as far, and itself where it is.
    pub(crate) fn widened(&self, place: usize, by: f64) -> Prior {
        let mut prior = self.clone();
        prior.numbers[place].1.half_width *= by;
        let mut at = self.at.clone();
        at[place] /= by;
        prior.move_to(at);
        prior
    }

    /// The same with one number, so many of its present standard deviations off what is written, spread as far
    /// as a wrong one may be, for a descent that begins there.
    pub(crate) fn elsewhere(&self, place: usize, sigmas: f64) -> Prior {
        let widest = WIDTHS.sizes[WIDTHS.sizes.len() - 1];
        let mut prior = self.widened(place, widest);
        prior.widths.resize(prior.numbers.len(), 1.0);
        prior.widths[place] *= widest;
        let mut at = prior.at.clone();
        at[place] = sigmas / widest;
        prior.move_to(at);
        prior
    }

    /// How much more likely the table is with all widths that the numbers may have than with the one variance that
    /// stands for them: logarithm.
    pub(crate) fn log_gain(&self, jacobian: &ScaledJacobian, fit: &Fit) -> f64 {
        let likelihoods = self.likelihoods(jacobian, fit);
        let each = likelihoods.iter().enumerate();
        each.map(|(place, own)| WIDTHS.log_gain(own, self.width(place).powi(2)))
            .sum()
    }

    /// How many times its tolerance a number is spread now.
    pub(crate) fn width(&self, place: usize) -> f64 {
        self.widths.get(place).copied().unwrap_or(1.0)
    }

    /// How many times its tolerance a number may be spread, with the probability of each beforehand, once
    /// itself included; none for a number that is never another one than is written.
    pub(crate) fn widths_of(spread: &PartSpread) -> Option<[(f64, f64); 4]> {
        let shares = WIDTHS.probabilities();
        match spread.scale {
            SpreadScale::Ohms | SpreadScale::Volts => {
                Some(std::array::from_fn(|k| (shares[k], WIDTHS.sizes[k])))
            }
            _ => None,
        }
    }

    /// The changes of all numbers from what is written, in their own units.
    pub(crate) fn changes(&self) -> Vec<(PartId, PartParameter, f64)> {
        let each = self.numbers.iter().zip(&self.at);
        each.map(|((id, spread), at)| (id.part, id.parameter, spread.change(*at)))
            .collect()
    }

    /// Takes every number to deviate by so many standard deviations; those beyond the end do not.
    pub(crate) fn move_to(&mut self, mut at: Vec<f64>) {
        at.resize(self.numbers.len(), 0.0);
        self.at = at;
        let each = self.numbers.iter().zip(&self.at);
        self.slopes = each.map(|((_, spread), at)| spread.slope(*at)).collect();
    }

    fn place(&mut self, id: ParameterId) -> usize {
        let next = self.numbers.len();
        let place = *self.places.entry((id.part, id.parameter)).or_insert(next);
        if place == next {
            let spread = spread_of(self.job.circuit.part(id.part), id.parameter);
            self.numbers.push((id, spread));
            self.at.push(0.0);
            self.slopes.push(spread.slope(0.0));
        }
        place
    }
}
