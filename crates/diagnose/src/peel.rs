//! One bad value spoils what is said of the others: the worst is taken out, the rest judged anew,
//! until none of the rest stands out.
//!
//! This is the data snooping of surveyors (W. Baarda, "A testing procedure for use in geodetic
//! networks", Delft 1968; from memory).

use crate::error::DiagnoseError;
use crate::fit::Fit;
use crate::row::Row;

/// A value is believed within so many standard deviations of what all else says of it. A healthy
/// one lies beyond 3 by chance once in 370 times if all is normal, less often where rectangular
/// tolerances make up most of it. Of a table of 40 values some 10 % then have one doubted for
/// nothing, which a look at the page settles; a wider limit would let slips of a digit pass.
pub const BELIEVABLE: f64 = 3.0;

/// One alternative is decided against another at more than these odds.
pub const DECISIVE_ODDS: f64 = 20.0;

/// Rows kept and rows taken out.
#[derive(Clone, Debug)]
pub(crate) struct Peeled {
    /// Places of the rows that agree with one another.
    pub(crate) kept: Vec<usize>,
    /// Those taken out, the worst first.
    pub(crate) out: Vec<TakenOut>,
}

/// A row taken out.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TakenOut {
    pub(crate) row: usize,
    /// Rows that might as well have been taken out in its stead.
    pub(crate) rivals: Vec<usize>,
}

/// Peels a table.
pub(crate) fn peel(rows: &[Row]) -> Result<Peeled, DiagnoseError> {
    let mut kept: Vec<usize> = (0..rows.len()).collect();
    let mut out = Vec::new();
    while let Some(worst) = worst(rows, &kept)? {
        kept.retain(|row| *row != worst.row);
        out.push(worst);
    }
    readmit(rows, &mut kept, &mut out)?;
    Ok(Peeled { kept, out })
}

/// The rows of these places, fitted.
pub(crate) fn fitted<'r>(rows: &'r [Row], places: &[usize]) -> Result<Fit<'r>, DiagnoseError> {
    Fit::new(places.iter().map(|place| &rows[*place]).collect())
}

/// The row that stands out most, if any does.
fn worst(rows: &[Row], kept: &[usize]) -> Result<Option<TakenOut>, DiagnoseError> {
    let fit = fitted(rows, kept)?;
    let sigmas: Vec<f64> = (0..kept.len())
        .map(|k| fit.without(k).sigmas(rows[kept[k]].printed.value).abs())
        .collect();
    let most = (0..kept.len()).max_by(|a, b| sigmas[*a].total_cmp(&sigmas[*b]));
    let Some(most) = most.filter(|k| sigmas[*k] > BELIEVABLE) else {
        return Ok(None);
    };
    // Taking row k out lowers rᵀS⁻¹r by z_k², so the odds between two are exp((z_k² − z_j²)/2).
    let as_good = |k: &usize| {
        *k != most
            && sigmas[*k] > BELIEVABLE
            && sigmas[most].powi(2) - sigmas[*k].powi(2) < 2.0 * DECISIVE_ODDS.ln()
    };
    Ok(Some(TakenOut {
        row: kept[most],
        rivals: (0..kept.len()).filter(as_good).map(|k| kept[k]).collect(),
    }))
}

/// A row taken out because of a worse one may come back, if it and all others then agree.
fn readmit(
    rows: &[Row],
    kept: &mut Vec<usize>,
    out: &mut Vec<TakenOut>,
) -> Result<(), DiagnoseError> {
    let mut place = 0;
    while place < out.len() {
        let mut with = kept.clone();
        with.push(out[place].row);
        with.sort_unstable();
        if worst(rows, &with)?.is_none() {
            *kept = with;
            out.remove(place);
            // Another may fit now that did not before.
            place = 0;
        } else {
            place += 1;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::row::Printed;

    fn row(residual: f64, slopes: &[f64]) -> Row {
        Row {
            printed: Printed {
                value: residual,
                resolution: 0.1,
            },
            model: 0.0,
            slopes: slopes.to_vec(),
            noise: 0.01,
        }
    }

    #[test]
    fn one_bad_value_does_not_take_others_with_it() {
        // Five readings of one number, one of them 20 V off.
        let mut rows = vec![row(0.1, &[5.0]); 4];
        rows.push(row(20.0, &[5.0]));
        let peeled = peel(&rows).unwrap();
        assert_eq!(peeled.kept, [0, 1, 2, 3]);
        assert_eq!(peeled.out.len(), 1);
        assert!(peeled.out[0].rivals.is_empty());
    }

    #[test]
    fn of_two_that_contradict_each_other_either_may_be_wrong() {
        let rows = [row(2.0, &[5.0]), row(-2.0, &[5.0])];
        let peeled = peel(&rows).unwrap();
        assert_eq!(peeled.kept.len(), 1);
        assert_eq!(peeled.out[0].rivals, peeled.kept);
    }

    #[test]
    fn an_empty_table_has_nothing_to_take_out() {
        let peeled = peel(&[]).unwrap();
        assert!(peeled.kept.is_empty() && peeled.out.is_empty());
    }
}
