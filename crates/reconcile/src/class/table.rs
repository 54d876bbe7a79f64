//! A manual's table as read with one class of meter, and how likely it is.
//!
//! A movement that is off by a whole range looks much like another load. What a meter's readings have in common
//! is not known, so three kinds are tried ([`KINDS`]): half of its error in proportion to the reading, all of it,
//! and the same volts all over a range.

use std::collections::{HashMap, HashSet};

use crate::data_snooping::data_snooping;
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::ManualTable;
use crate::observation::Observation;

/// How likely beforehand a meter's readings have this in common: half of its error in proportion to the reading,
/// all of it, the same volts all over a range (common practice, no source: whoever reads sets the pointer to zero
/// first, so the last is the rarest).
const KINDS: [f64; 3] = [0.4, 0.4, 0.2];

/// Passes over a table after which its ranges are left as they are.
const MOST_PASSES: usize = 5;

/// The table as read with one class.
pub(super) struct Table {
    /// The entries that print each reading.
    pub(super) entries: Vec<Vec<usize>>,
    /// The place of each reading by the first of its entries.
    pub(super) rows: HashMap<usize, usize>,
    /// First entries of the readings that do not agree with the others.
    pub(super) out: HashSet<usize>,
    /// Every reading, and behind them those on another range, which are left out, for each kind of error that a
    /// meter's readings may have in common.
    fits: [Fit; 3],
    /// For each reading its place on the other range, and the weights of both.
    otherwise: Vec<Option<(usize, [f64; 2])>>,
    /// Logarithm of how likely the ranges are beforehand.
    weights: Vec<f64>,
}

impl Table {
    pub(super) fn of(table: ManualTable) -> Result<Self, ReconcileError> {
        let count = table.rows.len();
        let mut rows: Vec<&Observation> = table.rows.iter().collect();
        let mut otherwise = vec![None; count];
        for (taken, otherwise) in table.taken.iter().zip(&mut otherwise) {
            if let Some((row, weight)) = &taken.otherwise {
                *otherwise = Some((rows.len(), [taken.log_weight, *weight]));
                rows.push(row);
            }
        }
        let kept: Vec<bool> = (0..rows.len()).map(|row| row < count).collect();
        let jacobian = ScaledJacobian::of(&rows);
        let fit = Fit::of(&rows, &jacobian, kept.clone())?;
        let off = |kind: fn(&Observation) -> Observation| {
            let rows: Vec<Observation> = rows.iter().map(|row| kind(row)).collect();
            let rows: Vec<&Observation> = rows.iter().collect();
            Fit::of(&rows, &jacobian, kept.clone())
        };
        let in_proportion = off(Observation::off_in_proportion)?;
        let at_zero = off(Observation::off_at_zero)?;
        let mut snooped = fit.clone();
        let out = data_snooping(&mut snooped)?;
        let first = |row: usize| table.taken[row].entries[0];
        Ok(Table {
            rows: (0..count).map(|row| (first(row), row)).collect(),
            out: out.iter().map(|out| first(out.row)).collect(),
            fits: [fit, in_proportion, at_zero],
            otherwise,
            weights: table.taken.iter().map(|taken| taken.log_weight).collect(),
            entries: table.taken.into_iter().map(|taken| taken.entries).collect(),
        })
    }

    /// Log likelihood of the readings that these entries are the first of, each on the range that
    /// makes the whole table likeliest, with the weights of those ranges.
    pub(super) fn on_likeliest_ranges(self, entries: &[usize]) -> Result<f64, ReconcileError> {
        let rows: Vec<usize> = entries.iter().map(|entry| self.rows[entry]).collect();
        let ranges = Ranges {
            rows: &rows,
            otherwise: &self.otherwise,
            weights: &self.weights,
        };
        let each: Vec<f64> = self
            .fits
            .into_iter()
            .map(|fit| ranges.likeliest(fit))
            .collect::<Result<_, _>>()?;
        let most = each.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let each = each.iter().zip(KINDS);
        let mean: f64 = each.map(|(log, share)| share * (log - most).exp()).sum();
        Ok(most + mean.ln())
    }
}

/// Readings, and the other range that each may have been taken on.
struct Ranges<'t> {
    rows: &'t [usize],
    otherwise: &'t [Option<(usize, [f64; 2])>],
    weights: &'t [f64],
}

impl Ranges<'_> {
    /// Log likelihood on the likeliest ranges: one reading after the other is tried on its other range until no
    /// change makes the table likelier.
    fn likeliest(&self, mut fit: Fit) -> Result<f64, ReconcileError> {
        let mut kept = vec![false; fit.len()];
        for row in self.rows {
            kept[*row] = true;
        }
        fit.keep(kept)?;
        let mut weight: f64 = self.rows.iter().map(|row| self.weights[*row]).sum();
        let mut places = self.rows.to_vec();
        for _ in 0..MOST_PASSES {
            let mut changed = false;
            for (row, place) in self.rows.iter().zip(&mut places) {
                let Some((other, [mut on, mut off])) = self.otherwise[*row] else {
                    continue;
                };
                let other = if *place == *row {
                    other
                } else {
                    std::mem::swap(&mut on, &mut off);
                    *row
                };
                if fit.gain_by(*place, other) + off - on > 0.0 {
                    fit.leave_out(*place);
                    let excluded = fit.excluded(other);
                    fit.take_in(other, &excluded);
                    weight += off - on;
                    *place = other;
                    changed = true;
                }
            }
            if !changed {
                break;
            }
        }
        fit.refit()?;
        Ok(fit.log_likelihood() + weight)
    }
}
