//! Which meter did they use?
//!
//! A job and the entries whose meter is in question come in. The table is taken as if read with
//! each built-in class in turn, and how likely its values are then goes out:
//! `−½ rᵀS⁻¹r − ½ log|S| − ½ n log 2π`. All classes are taken as equally likely beforehand.
//!
//! A class is told by its load and by its accuracy: a digital one expects a table good to half a
//! percent, so scatter speaks against it as a wrong load does.

use circuit::{meter_classes as built_in, Job, Meter, MeterInput};

use crate::error::DiagnoseError;
use crate::peel::{fitted, peel, DECISIVE_ODDS};
use crate::row::{Reader, Row};
use crate::sheet::{sheet, Meters, Sheet};

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
    /// Probability among the built-in classes.
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
pub fn meter_classes(job: &Job, vary: &[usize]) -> Result<ClassInference, DiagnoseError> {
    let mut reader = Reader::new(&job.circuit);
    let mut sheets: Vec<(Meter, Sheet)> = Vec::new();
    for meter in built_in() {
        let meters = Meters {
            vary,
            instead: Some(&meter),
        };
        let sheet = sheet(&mut reader, job, meters)?;
        sheets.push((meter, sheet));
    }
    let nothing = ClassInference {
        likelihoods: Vec::new(),
        without: Vec::new(),
    };
    let Some((_, first)) = sheets.first() else {
        return Ok(nothing);
    };
    // A reading that one of the classes finds no state for is left out of all: likelihoods of
    // different tables cannot be compared.
    let mut common: Vec<usize> = first.taken.iter().map(|taken| taken.entries[0]).collect();
    common.retain(|entry| {
        sheets
            .iter()
            .all(|(_, sheet)| sheet.row_of(*entry).is_some())
    });
    if !common.iter().any(|entry| vary.contains(entry)) {
        return Ok(nothing);
    }
    // What no class can be reconciled with is a misprint rather than a sign of the meter.
    let mut misfits = common.clone();
    for (_, sheet) in &sheets {
        let out = peel(&sheet.rows)?.out;
        let entry = |row: usize| sheet.taken[row].entries[0];
        misfits.retain(|misfit| out.iter().any(|out| entry(out.row) == *misfit));
    }
    common.retain(|entry| !misfits.contains(entry));

    let mut likelihoods = Vec::new();
    for (meter, sheet) in &sheets {
        let rows: Vec<usize> = common.iter().filter_map(|e| sheet.row_of(*e)).collect();
        likelihoods.push(ClassLikelihood {
            meter: meter.clone(),
            log_likelihood: on_likeliest_ranges(sheet, &rows)?,
            probability: 0.0,
        });
    }
    share_out(&mut likelihoods);
    let misfit = |taken: &&crate::sheet::Taken| misfits.contains(&taken.entries[0]);
    let without = first.taken.iter().filter(misfit);
    Ok(ClassInference {
        likelihoods,
        without: without.flat_map(|taken| taken.entries.clone()).collect(),
    })
}

/// Passes over a table after which its ranges are left as they are.
const MOST_PASSES: usize = 5;

/// Log likelihood of some readings, each on the range that makes the whole table likeliest, with
/// the weights of those ranges: one reading after the other is tried on its other range until no
/// change makes the table likelier.
fn on_likeliest_ranges(sheet: &Sheet, rows: &[usize]) -> Result<f64, DiagnoseError> {
    let taken = |k: usize| &sheet.taken[rows[k]];
    let mut table: Vec<Row> = rows.iter().map(|row| sheet.rows[*row].clone()).collect();
    let mut weights: Vec<f64> = (0..rows.len()).map(|k| taken(k).log_weight).collect();
    let mut spare: Vec<Option<(Row, f64)>> = (0..rows.len())
        .map(|k| taken(k).otherwise.clone())
        .collect();
    let all: Vec<usize> = (0..rows.len()).collect();
    let likelihood = |table: &[Row], weights: &[f64]| -> Result<f64, DiagnoseError> {
        Ok(fitted(table, &all)?.log_likelihood() + weights.iter().sum::<f64>())
    };
    let mut best = likelihood(&table, &weights)?;
    for _ in 0..MOST_PASSES {
        let before = best;
        for k in 0..rows.len() {
            let Some((row, weight)) = &mut spare[k] else {
                continue;
            };
            std::mem::swap(row, &mut table[k]);
            std::mem::swap(weight, &mut weights[k]);
            let tried = likelihood(&table, &weights)?;
            if tried > best {
                best = tried;
            } else {
                std::mem::swap(row, &mut table[k]);
                std::mem::swap(weight, &mut weights[k]);
            }
        }
        if best <= before {
            break;
        }
    }
    Ok(best)
}

/// Probabilities from likelihoods, all classes equally likely beforehand; sorts them.
fn share_out(likelihoods: &mut [ClassLikelihood]) {
    likelihoods.sort_by(|a, b| b.log_likelihood.total_cmp(&a.log_likelihood));
    let best = likelihoods
        .first()
        .map_or(0.0, |class| class.log_likelihood);
    // The best one's is 1, so nothing overflows.
    let odds = |class: &ClassLikelihood| (class.log_likelihood - best).exp();
    let sum: f64 = likelihoods.iter().map(odds).sum();
    for class in likelihoods {
        class.probability = odds(class) / sum;
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
    let by_probability =
        |a: &&ClassLikelihood, b: &&ClassLikelihood| a.probability.total_cmp(&b.probability);
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
    }
}
