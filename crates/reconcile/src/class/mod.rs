//! The class of meter that a manual was read with.
//!
//! A job and the entries whose meter is in question come in. The table is taken as if read with
//! each built-in class in turn, and how likely its values are then goes out:
//! `−½ rᵀS⁻¹r − ½ log|S| − ½ n log 2π`. All classes are taken as equally likely beforehand.
//!
//! A class differs from others by its load and by its accuracy: a digital one predicts a table that is
//! accurate to half a percent, so scatter is evidence against it as a wrong load is.

mod table;

use std::collections::HashSet;
use std::sync::Arc;

use circuit::{Job, Meter, MeterInput};

use crate::class::table::Table;
use crate::data_snooping::DECISIVE_ODDS;
use crate::error::ReconcileError;
use crate::manual_table::{read_table, Meters};
use crate::reader::Reader;

/// Fixed inputs closer than this share load a point so much alike that the rounding of a printed
/// table hides the difference: 10 MΩ and 11 MΩ differ by 10 % of a loading of a few percent.
const ALIKE: f64 = 0.2;

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
