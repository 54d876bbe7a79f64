//! One bad value spoils what is said of the others: the worst is taken out, the rest judged anew,
//! until none of the rest stands out.
//!
//! This is the data snooping of surveyors (W. Baarda, "A testing procedure for use in geodetic
//! networks", Delft 1968; from memory).

use crate::agreement::BELIEVABLE;
use crate::error::ReconcileError;
use crate::fit::Fit;

/// One alternative is decided against another at more than these odds.
pub const DECISIVE_ODDS: f64 = 20.0;

/// A row taken out.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TakenOut {
    pub(crate) row: usize,
    /// Rows that might as well have been taken out in its stead.
    pub(crate) rivals: Vec<usize>,
}

/// Peels a table: the fit keeps the rows that agree with one another. Those taken out come back,
/// the worst first.
///
/// # Errors
/// [`ReconcileError`] if the covariance of the rows kept cannot be inverted.
pub(crate) fn data_snooping(fit: &mut Fit) -> Result<Vec<TakenOut>, ReconcileError> {
    let mut out = Vec::new();
    while let Some(worst) = worst(fit) {
        fit.leave_out(worst.row);
        out.push(worst);
    }
    if !out.is_empty() {
        readmit(fit, &mut out);
        fit.refit()?;
    }
    Ok(out)
}

/// The row that stands out most, if any does.
fn worst(fit: &Fit) -> Option<TakenOut> {
    let sigmas = fit.sigmas();
    let most = (0..fit.len()).max_by(|a, b| sigmas[*a].total_cmp(&sigmas[*b]));
    let most = most.filter(|k| sigmas[*k] > BELIEVABLE)?;
    // Taking row k out lowers rᵀS⁻¹r by z_k², so the odds between two are exp((z_k² − z_j²)/2).
    let as_good = |k: &usize| {
        *k != most
            && sigmas[*k] > BELIEVABLE
            && sigmas[most].powi(2) - sigmas[*k].powi(2) < 2.0 * DECISIVE_ODDS.ln()
    };
    Some(TakenOut {
        row: most,
        rivals: (0..fit.len()).filter(as_good).collect(),
    })
}

/// A row taken out because of a worse one may come back, if it and all others then agree.
fn readmit(fit: &mut Fit, out: &mut Vec<TakenOut>) {
    let mut place = 0;
    while place < out.len() {
        let row = out[place].row;
        let excluded = fit.excluded(row);
        let sigmas = fit.sigmas_with(row, &excluded);
        if sigmas.iter().all(|sigma| *sigma <= BELIEVABLE) {
            fit.take_in(row, &excluded);
            out.remove(place);
            // Another may fit now that did not before.
            place = 0;
        } else {
            place += 1;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::jacobian::ScaledJacobian;
    use crate::observation::{Observation, Printed};

    fn row(residual: f64, jacobian: &[f64]) -> Observation {
        Observation {
            printed: Printed {
                value: residual,
                resolution: 0.1,
            },
            model: 0.0,
            ohms: 0.0,
            jacobian: jacobian.to_vec(),
            noise: 0.01,
            common: None,
        }
    }

    fn snooped(rows: &[Observation]) -> (Vec<usize>, Vec<TakenOut>) {
        let rows: Vec<&Observation> = rows.iter().collect();
        let mut fit = Fit::new(&rows, &ScaledJacobian::of(&rows)).unwrap();
        let out = data_snooping(&mut fit).unwrap();
        let taken = |k: &usize| out.iter().any(|out| out.row == *k);
        ((0..fit.len()).filter(|k| !taken(k)).collect(), out)
    }

    #[test]
    fn one_bad_value_does_not_take_others_with_it() {
        // Five readings of one number, one of them 20 V off.
        let mut rows = vec![row(0.1, &[5.0]); 4];
        rows.push(row(20.0, &[5.0]));
        let (kept, out) = snooped(&rows);
        assert_eq!(kept, [0, 1, 2, 3]);
        assert_eq!(out.len(), 1);
        assert!(out[0].rivals.is_empty());
    }

    #[test]
    fn of_two_that_contradict_each_other_either_may_be_wrong() {
        let rows = [row(2.0, &[5.0]), row(-2.0, &[5.0])];
        let (kept, out) = snooped(&rows);
        assert_eq!(kept.len(), 1);
        assert_eq!(out[0].rivals, kept);
    }

    #[test]
    fn an_empty_table_has_nothing_to_take_out() {
        let (kept, out) = snooped(&[]);
        assert!(kept.is_empty() && out.is_empty());
    }
}
