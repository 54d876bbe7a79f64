//! One linear source fitted to readings with different loads, by weighted least squares.

use crate::unload::UnloadError;

/// A step smaller than this share of a value ends the search: far below any meter's digits.
const SETTLED: f64 = 1e-13;

/// Steps after which it has to end.
const MOST_STEPS: usize = 60;

/// A reading as the fit needs it.
#[derive(Clone, Copy)]
pub(crate) struct LoadedPoint {
    /// What was read, without its sign, in volts.
    pub(crate) volts: f64,
    /// Load of the meter in siemens.
    pub(crate) siemens: f64,
    /// Inverse of the variance of the reading, in V⁻².
    pub(crate) weight: f64,
}

impl LoadedPoint {
    /// Volts by a source of these volts and ohms.
    pub(crate) fn at(&self, volts: f64, ohms: f64) -> f64 {
        volts / (1.0 + self.siemens * ohms)
    }
}

/// The point with the least load; there has to be one.
pub(crate) fn lightest(points: &[LoadedPoint]) -> LoadedPoint {
    let least = points.iter().min_by(|a, b| a.siemens.total_cmp(&b.siemens));
    least.copied().unwrap_or(points[0])
}

/// The point with the most load, likewise.
pub(crate) fn heaviest(points: &[LoadedPoint]) -> LoadedPoint {
    let most = points.iter().max_by(|a, b| a.siemens.total_cmp(&b.siemens));
    most.copied().unwrap_or(points[0])
}

/// The closed form of two readings; none where no source with a resistance makes them.
pub(crate) fn two(heavy: &LoadedPoint, light: &LoadedPoint) -> Option<(f64, f64)> {
    // R = (V_b − V_a)/(V_a g_a − V_b g_b)
    let ohms =
        (light.volts - heavy.volts) / (heavy.volts * heavy.siemens - light.volts * light.siemens);
    (ohms >= 0.0 && ohms.is_finite()).then_some((light.volts * (1.0 + light.siemens * ohms), ohms))
}

/// Entries of `JᵀWJ` and `JᵀWr`.
fn normal(points: &[LoadedPoint], volts: f64, ohms: f64) -> ([f64; 3], [f64; 2]) {
    let (mut a, mut b) = ([0.0; 3], [0.0; 2]);
    for point in points {
        let share = 1.0 / (1.0 + point.siemens * ohms);
        // ∂V/∂E and ∂V/∂R
        let (by_volts, by_ohms) = (share, -volts * point.siemens * share * share);
        let r = point.volts - volts * share;
        a[0] += point.weight * by_volts * by_volts;
        a[1] += point.weight * by_volts * by_ohms;
        a[2] += point.weight * by_ohms * by_ohms;
        b[0] += point.weight * by_volts * r;
        b[1] += point.weight * by_ohms * r;
    }
    (a, b)
}

/// Volts and ohms of the source, by Gauss-Newton steps from a start.
pub(crate) fn fit(points: &[LoadedPoint], start: (f64, f64)) -> Result<(f64, f64), UnloadError> {
    let (mut volts, mut ohms) = start;
    let light = 1.0 / heaviest(points).siemens;
    for _ in 0..MOST_STEPS {
        let (a, b) = normal(points, volts, ohms);
        let determinant = a[0] * a[2] - a[1] * a[1];
        if !(determinant > 0.0 && determinant.is_finite()) {
            return Err(UnloadError::NoFit);
        }
        let by_volts = (a[2] * b[0] - a[1] * b[1]) / determinant;
        let by_ohms = (a[0] * b[1] - a[1] * b[0]) / determinant;
        volts += by_volts;
        // The model has a pole at −1/g.
        ohms = (ohms + by_ohms).max(-0.5 * light);
        if by_volts.abs() <= SETTLED * volts.abs()
            && by_ohms.abs() <= SETTLED * (ohms.abs() + light)
        {
            return Ok((volts, ohms));
        }
    }
    // If the start was exact, the last steps are only rounding.
    let (_, b) = normal(points, volts, ohms);
    match b.iter().all(|one| one.is_finite()) {
        true => Ok((volts, ohms)),
        false => Err(UnloadError::NoFit),
    }
}

/// Standard uncertainties from the covariance `(JᵀWJ)⁻¹`.
pub(crate) fn standards(
    points: &[LoadedPoint],
    volts: f64,
    ohms: f64,
) -> Result<(f64, f64), UnloadError> {
    let (a, _) = normal(points, volts, ohms);
    let determinant = a[0] * a[2] - a[1] * a[1];
    if !(determinant > 0.0 && determinant.is_finite()) {
        return Err(UnloadError::NoFit);
    }
    Ok(((a[2] / determinant).sqrt(), (a[0] / determinant).sqrt()))
}
