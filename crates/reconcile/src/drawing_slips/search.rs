//! The search, in the full circuit, for what the manual's values ask of a changed drawing.

use std::sync::Arc;

use circuit::{Job, PartSpread};
use solver::ParameterId;

use super::LikelyValue;
use crate::agreement::{Agreement, BELIEVABLE};
use crate::doubts::read_with;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::ManualTable;
use crate::observation::Observation;
use crate::prior::Prior;
use crate::reader::Reader;
use crate::reconciled::Reconciled;

/// Only those changes are searched further whose logarithm of the likelihood at the start is within this of the
/// best.
const WORTH_A_SEARCH: f64 = 8.0;

/// Steps at most from a start.
const MOST_STEPS: usize = 8;

/// Longest step of the free number, in its own wide standard deviations.
const LONGEST: f64 = 0.5;

/// The furthest that it is taken from what is written, a factor of a thousand.
const FURTHEST: f64 = 2.1;

/// The furthest of all other numbers, in their standard deviations: rectangular limits end at 1.7.
const FURTHEST_OTHER: f64 = 3.0;

/// The search has converged where it moves by no more than this share of a standard deviation.
const SETTLED: f64 = 0.01;

/// The circuit and table of a search.
#[derive(Clone, Copy)]
pub(crate) struct SlipSearch<'a> {
    pub(crate) reader: &'a Reader,
    pub(crate) job: &'a Arc<Job>,
    pub(crate) table: &'a ManualTable,
}

/// Where a search is: the table fitted by the tangents there.
pub(super) struct Fitted {
    /// The number that may be anything, by its place; none where the change has no such number.
    pub(super) free: Option<usize>,
    pub(super) prior: Prior,
    fit: Fit,
    jacobian: ScaledJacobian,
}

impl<'a> SlipSearch<'a> {
    /// Of a circuit and table that have been reconciled.
    pub(super) fn of(reconciled: &'a Reconciled) -> Self {
        SlipSearch {
            reader: &reconciled.reader,
            job: &reconciled.job,
            table: &reconciled.table,
        }
    }

    /// The table read and fitted with the numbers where this takes them to be; none where the circuit has no
    /// state.
    pub(super) fn at(&self, free: Option<usize>, mut prior: Prior) -> Option<Fitted> {
        let rows = read_with(self.reader, self.job, self.table, &mut prior)?;
        Fitted::of(free, prior, &rows)
    }

    /// The best of some starts of the free number, given in its wide standard deviations.
    pub(super) fn begun(
        &self,
        free: usize,
        wide: &Prior,
        starts: impl Iterator<Item = f64>,
    ) -> Option<Fitted> {
        let fitted = starts.filter_map(|start| {
            let mut prior = wide.clone();
            let mut at = prior.at.clone();
            at[free] = start;
            prior.move_to(at);
            self.at(Some(free), prior)
        });
        fitted.max_by(|one, other| one.log_likelihood().total_cmp(&other.log_likelihood()))
    }

    /// On to where the tangents lead no further.
    pub(super) fn finished(&self, mut reached: Fitted) -> Fitted {
        for _ in 0..MOST_STEPS {
            let next = reached.next();
            let each = next.iter().zip(&reached.prior.at);
            let moved = each.map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            let mut prior = reached.prior.clone();
            prior.move_to(next);
            let Some(there) = self.at(reached.free, prior) else {
                break;
            };
            reached = there;
            if moved < SETTLED {
                break;
            }
        }
        reached
    }
}

/// Leaves out the starts that are far less likely than the best.
pub(super) fn worth_a_search<T>(begun: &mut Vec<T>, fitted: impl Fn(&T) -> &Fitted) {
    let each = begun.iter().map(|one| fitted(one).log_likelihood());
    let best = each.fold(f64::NEG_INFINITY, f64::max);
    begun.retain(|one| best - fitted(one).log_likelihood() < WORTH_A_SEARCH);
}

impl Fitted {
    /// Rows linearised where the numbers are taken to be; none where they cannot be fitted.
    pub(super) fn of(free: Option<usize>, prior: Prior, rows: &[Observation]) -> Option<Self> {
        let rows: Vec<&Observation> = rows.iter().collect();
        let jacobian = ScaledJacobian::of(&rows);
        let fit = Fit::new(&rows, &jacobian).ok()?;
        Some(Fitted {
            free,
            prior,
            fit,
            jacobian,
        })
    }

    /// Logarithm of how likely the changed drawing makes the table.
    pub(super) fn log_likelihood(&self) -> f64 {
        self.fit.log_likelihood()
    }

    /// The solution of the linearised problem, not too far off.
    fn next(&self) -> Vec<f64> {
        let aim = self.jacobian.times(&self.fit.weighted);
        let each = self.prior.at.iter().enumerate();
        let limited = each.map(|(place, at)| {
            let aim = aim.get(place).copied().unwrap_or(0.0);
            match Some(place) == self.free {
                true => aim
                    .clamp(at - LONGEST, at + LONGEST)
                    .clamp(-FURTHEST, FURTHEST),
                false => aim.clamp(-FURTHEST_OTHER, FURTHEST_OTHER),
            }
        });
        limited.collect()
    }

    /// How well all values agree.
    pub(super) fn agreement(&self) -> Agreement {
        self.fit.agreement()
    }

    /// Whether every one of them does.
    pub(super) fn agrees(&self) -> bool {
        let believed = self.fit.sigmas().iter().all(|sigma| *sigma <= BELIEVABLE);
        believed && !self.agreement().disagrees()
    }

    /// The free number with its wide spread.
    pub(super) fn free_number(&self) -> Option<(ParameterId, PartSpread)> {
        Some(self.prior.numbers[self.free?])
    }

    /// Mean and standard deviation of the free number, in its wide standard deviations.
    pub(super) fn free_posterior(&self) -> Option<(f64, f64)> {
        let place = self.free?;
        let at = *self.jacobian.times(&self.fit.weighted).get(place)?;
        let learnt = self.jacobian.squares_at(&[place], &self.fit.inverse)[0];
        Some((at, (1.0 - learnt).max(0.0).sqrt()))
    }

    /// The same in its own unit.
    pub(super) fn likely(&self) -> Option<LikelyValue> {
        let (_, spread) = self.free_number()?;
        let (at, standard) = self.free_posterior()?;
        let number = |at: f64| spread.nominal + spread.change(at);
        Some(LikelyValue {
            value: number(at),
            low: number(at - 1.96 * standard),
            high: number(at + 1.96 * standard),
        })
    }
}
