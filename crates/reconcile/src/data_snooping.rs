//! One wrong value distorts the predictions of the others: the worst is left out and the rest judged
//! again, until none of the rest stands out.
//!
//! This is the data snooping of surveyors (W. Baarda, "A testing procedure for use in geodetic
//! networks", Delft 1968; from memory).

use nalgebra::DVector;

use crate::agreement::BELIEVABLE;
use crate::error::ReconcileError;
use crate::excluded::Excluded;
use crate::fit::{sigmas, Fit};

/// One alternative is decided against another at more than these odds.
pub const DECISIVE_ODDS: f64 = 20.0;

/// A row taken out.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct TakenOut {
    pub(crate) row: usize,
    /// Rows that might as well have been left out instead.
    pub(crate) rivals: Vec<usize>,
}

/// Leaves out the rows that do not agree with the others and returns them, the worst first.
///
/// # Errors
/// [`ReconcileError`] if the covariance of the rows kept cannot be inverted.
pub(crate) fn data_snooping(fit: &mut Fit) -> Result<Vec<TakenOut>, ReconcileError> {
    let mut out = Vec::new();
    let mut rest = Rest::of(fit);
    while let Some(worst) = rest.worst() {
        rest.leave_out(worst.row);
        out.push(worst);
    }
    if !out.is_empty() {
        fit.kept = rest.kept;
        fit.refit()?;
        if readmit(fit, &mut out) {
            fit.refit()?;
        }
    }
    Ok(out)
}

/// What a fit becomes as one reading after the other is left out, without writing `S⁻¹` anew each time: with
/// `e` the column of a reading in what is left of it, `S⁻¹` loses `e eᵀ/e_k`.
struct Rest<'f> {
    fit: &'f Fit,
    kept: Vec<bool>,
    /// The diagonal of `S⁻¹`.
    own: DVector<f64>,
    /// `S⁻¹r`
    weighted: DVector<f64>,
    /// `e/√e_k` of each reading left out.
    taken: Vec<DVector<f64>>,
}

impl<'f> Rest<'f> {
    fn of(fit: &'f Fit) -> Self {
        Rest {
            fit,
            kept: fit.kept.clone(),
            own: fit.inverse.diagonal(),
            weighted: fit.weighted.clone(),
            taken: Vec::new(),
        }
    }

    fn leave_out(&mut self, k: usize) {
        let mut column = self.fit.inverse.column(k).into_owned();
        for taken in &self.taken {
            column.axpy(-taken[k], taken, 1.0);
        }
        self.weighted
            .axpy(-self.weighted[k] / column[k], &column, 1.0);
        column /= column[k].sqrt();
        for (own, taken) in self.own.iter_mut().zip(&column) {
            *own -= taken * taken;
        }
        self.taken.push(column);
        self.kept[k] = false;
    }

    /// The row that stands out most, if any does.
    fn worst(&self) -> Option<TakenOut> {
        let sigmas = sigmas(&self.kept, &self.own, &self.weighted);
        let most = (0..sigmas.len()).max_by(|a, b| sigmas[*a].total_cmp(&sigmas[*b]));
        let most = most.filter(|k| sigmas[*k] > BELIEVABLE)?;
        // Taking row k out lowers rᵀS⁻¹r by z_k², so the odds between two are exp((z_k² − z_j²)/2).
        let as_good = |k: &usize| {
            *k != most
                && sigmas[*k] > BELIEVABLE
                && sigmas[most].powi(2) - sigmas[*k].powi(2) < 2.0 * DECISIVE_ODDS.ln()
        };
        Some(TakenOut {
            row: most,
            rivals: (0..sigmas.len()).filter(as_good).collect(),
        })
    }
}

/// A row taken out because of a worse one may come back, if it and all others then agree. Whether any
/// did.
fn readmit(fit: &mut Fit, out: &mut Vec<TakenOut>) -> bool {
    let mut readmitted = false;
    loop {
        let rows: Vec<usize> = out.iter().map(|out| out.row).collect();
        let each = fit.each_excluded(&rows);
        let mut each = each.iter().enumerate();
        let agrees = |(place, excluded): &(usize, &Excluded)| {
            let sigmas = fit.sigmas_with(rows[*place], excluded);
            sigmas.iter().all(|sigma| *sigma <= BELIEVABLE)
        };
        // Once one is back, another may fit that did not before.
        let Some((place, excluded)) = each.find(agrees) else {
            return readmitted;
        };
        fit.take_in(rows[place], excluded);
        out.remove(place);
        readmitted = true;
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
