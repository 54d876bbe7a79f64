//! The class of meter that a manual was read with.
//!
//! A job and the entries whose meter is in question come in. The table is taken as if read with
//! each built-in class in turn, and how likely its values are then goes out:
//! `−½ rᵀS⁻¹r − ½ log|S| − ½ n log 2π`. All classes are taken as equally likely beforehand.
//!
//! A class differs from others by its load and by its accuracy: a digital one predicts a table that is
//! accurate to half a percent, so scatter is evidence against it as a wrong load is.
//!
//! A movement that is off by a whole range looks much like another load. What a meter's readings have in common
//! is not known, so three kinds are tried ([`KINDS`]): half of its error in proportion to the reading, all of it,
//! and the same volts all over a range.

use std::collections::{HashMap, HashSet};
use std::sync::Arc;

use circuit::{Job, Meter, MeterInput};

use crate::data_snooping::{data_snooping, DECISIVE_ODDS};
use crate::error::ReconcileError;
use crate::fit::Fit;
use crate::jacobian::ScaledJacobian;
use crate::manual_table::{read_table, ManualTable, Meters};
use crate::observation::Observation;
use crate::reader::Reader;

/// Fixed inputs closer than this share load a point so much alike that the rounding of a printed
/// table hides the difference: 10 MΩ and 11 MΩ differ by 10 % of a loading of a few percent.
const ALIKE: f64 = 0.2;

/// How likely beforehand a meter's readings have this in common: half of its error in proportion to the reading,
/// all of it, the same volts all over a range (common practice, no source: whoever reads sets the pointer to zero
/// first, so the last is the rarest).
const KINDS: [f64; 3] = [0.4, 0.4, 0.2];

/// One class of meter, and how likely the table makes it.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassLikelihood {
    /// The class.
    pub meter: Meter,
    /// Log marginal likelihood of the table, values in volts.
    pub log_likelihood: f64,
    /// Probability among the built-in classes; that of classes which load [`alike`] is the same.
    pub probability: f64,
}

/// What the table says of the meter.
#[derive(Clone, Debug, PartialEq)]
pub struct ClassInference {
    /// Every built-in class, the likeliest first; empty if no value of the entries in question
    /// can be predicted.
    pub likelihoods: Vec<ClassLikelihood>,
    /// Entries that fit no class at all, left out as misprints.
    pub without: Vec<usize>,
}

/// A class that stands out.
#[derive(Clone, Debug, PartialEq)]
pub struct Decided<'a> {
    /// The likeliest class.
    pub best: &'a ClassLikelihood,
    /// Classes that load a point alike, between which the table does not decide.
    pub alike: Vec<&'a ClassLikelihood>,
    /// Odds of all these together against the next class; infinite if there is none left.
    pub odds: f64,
}

/// How likely each built-in class makes the table. `vary` are indices into [`Job::manual`] of the
/// entries whose meter is in question: those that merely took the job's default. The others keep
/// the meter they state. A stated range is kept; otherwise it is the lowest of each class that
/// holds the value.
///
/// # Errors
/// As [`fn@crate::belief`].
pub fn meter_classes(job: &Job, vary: &[usize]) -> Result<ClassInference, ReconcileError> {
    let mut reader = Reader::new(&Arc::new(job.clone()));
    let mut tables: Vec<(Meter, Table)> = Vec::new();
    for meter in job.meter_classes() {
        let meters = Meters {
            vary,
            instead: Some(&meter),
        };
        let table = Table::of(read_table(&mut reader, job, meters)?)?;
        tables.push((meter, table));
    }
    let nothing = ClassInference {
        likelihoods: Vec::new(),
        without: Vec::new(),
    };
    let Some((_, first)) = tables.first() else {
        return Ok(nothing);
    };
    // A reading that one of the classes finds no state for is left out of all: likelihoods of
    // different tables cannot be compared.
    let mut common: Vec<usize> = first.entries.iter().map(|entries| entries[0]).collect();
    common.retain(|entry| {
        tables
            .iter()
            .all(|(_, table)| table.rows.contains_key(entry))
    });
    if !common.iter().any(|entry| vary.contains(entry)) {
        return Ok(nothing);
    }
    // A value that fits no class is a misprint rather than evidence of the meter.
    let misfits: HashSet<usize> = common
        .iter()
        .copied()
        .filter(|entry| tables.iter().all(|(_, table)| table.out.contains(entry)))
        .collect();
    common.retain(|entry| !misfits.contains(entry));
    let without = first.entries.iter();
    let without = without.filter(|entries| misfits.contains(&entries[0]));
    let without = without.flatten().copied().collect();

    let mut likelihoods = Vec::new();
    for (meter, table) in tables {
        likelihoods.push(ClassLikelihood {
            meter,
            log_likelihood: table.on_likeliest_ranges(&common)?,
            probability: 0.0,
        });
    }
    share_out(&mut likelihoods);
    Ok(ClassInference {
        likelihoods,
        without,
    })
}

/// Passes over a table after which its ranges are left as they are.
const MOST_PASSES: usize = 5;

/// The table as read with one class.
struct Table {
    /// The entries that print each reading.
    entries: Vec<Vec<usize>>,
    /// The place of each reading by the first of its entries.
    rows: HashMap<usize, usize>,
    /// First entries of the readings that do not agree with the others.
    out: HashSet<usize>,
    /// Every reading, and behind them those on another range, which are left out, for each kind of error that a
    /// meter's readings may have in common.
    fits: [Fit; 3],
    /// For each reading its place on the other range, and the weights of both.
    otherwise: Vec<Option<(usize, [f64; 2])>>,
    /// Logarithm of how likely the ranges are beforehand.
    weights: Vec<f64>,
}

impl Table {
    fn of(table: ManualTable) -> Result<Self, ReconcileError> {
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
    fn on_likeliest_ranges(self, entries: &[usize]) -> Result<f64, ReconcileError> {
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

/// Probabilities from likelihoods, all classes equally likely beforehand; sorts them. Classes that load
/// [`alike`] have their evidence in common: what tells them apart is their accuracy, which is
/// assumed, and a table that scatters less than one of them would is no evidence for the other.
fn share_out(likelihoods: &mut [ClassLikelihood]) {
    likelihoods.sort_by(|a, b| b.log_likelihood.total_cmp(&a.log_likelihood));
    let best = likelihoods
        .first()
        .map_or(0.0, |class| class.log_likelihood);
    // The best one's is 1, so nothing overflows.
    let odds: Vec<f64> = likelihoods
        .iter()
        .map(|class| (class.log_likelihood - best).exp())
        .collect();
    let sum: f64 = odds.iter().sum();
    let meters: Vec<Meter> = likelihoods
        .iter()
        .map(|class| class.meter.clone())
        .collect();
    for class in likelihoods {
        let together = meters.iter().zip(&odds);
        let together: Vec<f64> = together
            .filter(|(meter, _)| **meter == class.meter || alike(meter, &class.meter))
            .map(|(_, odds)| *odds)
            .collect();
        class.probability = together.iter().sum::<f64>() / together.len() as f64 / sum;
    }
}

/// Whether two meters load a point so much alike that a printed table cannot tell them apart:
/// both of fixed input, within a fifth of each other.
pub fn alike(one: &Meter, other: &Meter) -> bool {
    match (one.input, other.input) {
        (MeterInput::Fixed(a), MeterInput::Fixed(b)) => (a - b).abs() < ALIKE * a.max(b),
        _ => false,
    }
}

/// The class that stands out, if its odds against the next one are above [`DECISIVE_ODDS`].
/// Classes that load [`alike`] are counted together.
pub fn decisive(likelihoods: &[ClassLikelihood]) -> Option<Decided<'_>> {
    let by_probability = |a: &&ClassLikelihood, b: &&ClassLikelihood| {
        let likelier = || a.log_likelihood.total_cmp(&b.log_likelihood);
        a.probability.total_cmp(&b.probability).then_with(likelier)
    };
    let best = likelihoods.iter().max_by(by_probability)?;
    let others = likelihoods.iter().filter(|class| class.meter != best.meter);
    let (alike, unlike): (Vec<_>, Vec<_>) =
        others.partition(|class| alike(&class.meter, &best.meter));
    let together = alike.iter().map(|class| class.probability).sum::<f64>() + best.probability;
    let next = unlike.into_iter().max_by(by_probability);
    let odds = next.map_or(f64::INFINITY, |next| together / next.probability);
    (odds > DECISIVE_ODDS).then_some(Decided { best, alike, odds })
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::meter_by_name;

    fn class(name: &str, log_likelihood: f64) -> ClassLikelihood {
        ClassLikelihood {
            meter: meter_by_name(name).unwrap(),
            log_likelihood,
            probability: 0.0,
        }
    }

    #[test]
    fn probabilities_follow_the_likelihoods() {
        // Likelihoods 1 : 3, far below what a double can hold by themselves.
        let mut two = [class("1k/V", -2000.0 - 3f64.ln()), class("20k/V", -2000.0)];
        share_out(&mut two);
        assert_eq!(two[0].meter.name, "20k/V");
        // The logarithms are near 2000, whose last bit is 2e-13.
        assert!((two[0].probability - 0.75).abs() < 1e-12);
        assert!(decisive(&two).is_none());
    }

    #[test]
    fn meters_that_load_alike_are_decided_together() {
        let mut three = [
            class("10M", -10.0),
            class("11M", -10.5),
            class("1k/V", -10.0 - 30f64.ln()),
        ];
        share_out(&mut three);
        let decided = decisive(&three).unwrap();
        assert_eq!(decided.best.meter.name, "10M");
        assert_eq!(decided.alike[0].meter.name, "11M");
        // (1 + e^−0.5) · 30; logarithms near 10.
        assert!((decided.odds - 30.0 * (1.0 + (-0.5f64).exp())).abs() < 1e-9);
        assert!(decisive(&[]).is_none());
        // Neither is said to be likelier than the other.
        let [one, other, _] = &three;
        assert!((one.probability - other.probability).abs() < 1e-12);
        let sum: f64 = three.iter().map(|class| class.probability).sum();
        assert!((sum - 1.0).abs() < 1e-12);
    }
}
