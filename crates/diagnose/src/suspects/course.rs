//! The course of the predictions along a fault's size: what lies between the sizes that were solved, and where
//! those do not show it.
//!
//! Between the sizes the predictions are interpolated by cubics in the logarithm of the size. A cubic through a
//! place where the circuit switches over, such as an output stage that goes to its rail, errs by volts for an
//! interval on either side; there one more size is wanted.

use nalgebra::DMatrix;

/// Two parabolas through neighbouring nodes that part by more standard deviations than this do not show the course
/// between them: something switches there, such as an output stage that goes to its rail.
const PARTED: f64 = 1.0;

/// Intervals narrower than this, in the logarithm of the size, are divided no more.
const NARROW: f64 = 0.02;

/// Predictions at sizes whose logarithms rise.
pub(crate) struct Nodes<'a> {
    /// Logarithms of the sizes.
    pub(crate) sizes: &'a [f64],
    /// Predicted volts of every reading at each.
    pub(crate) predicted: &'a [Vec<f64>],
}

/// The first of the (up to four) nodes round a place, and their weights after Lagrange.
pub(crate) fn cubic(nodes: &[f64], at: f64) -> (usize, [f64; 4]) {
    let count = nodes.len().min(4);
    let interval = nodes.partition_point(|node| *node <= at).max(1) - 1;
    let first = interval.saturating_sub(1).min(nodes.len() - count);
    (first, lagrange(&nodes[first..first + count], at))
}

/// Weights of up to four nodes after Lagrange.
fn lagrange(nodes: &[f64], at: f64) -> [f64; 4] {
    let mut weights = [0.0; 4];
    for (k, weight) in weights.iter_mut().enumerate().take(nodes.len()) {
        *weight = (0..nodes.len())
            .filter(|j| *j != k)
            .map(|j| (at - nodes[j]) / (nodes[k] - nodes[j]))
            .product();
    }
    weights
}

/// The intervals whose course the nodes do not show, each by the size that a straight line makes likeliest, well
/// inside, and the `rᵀS⁻¹r` there.
pub(crate) fn bends<'a>(
    nodes: &'a [f64],
    products: &'a DMatrix<f64>,
) -> impl Iterator<Item = (f64, f64)> + 'a {
    // The first three of four neighbours and the last three see the middle of any interval among them.
    let parted = move |interval: usize| {
        let first = interval.saturating_sub(1).min(nodes.len() - 4);
        let middle = 0.5 * (nodes[interval] + nodes[interval + 1]);
        let [a, b, c, _] = lagrange(&nodes[first..first + 3], middle);
        let [d, e, f, _] = lagrange(&nodes[first + 1..first + 4], middle);
        quadratic(products, (first, [a, b - d, c - e, -f])) > PARTED * PARTED
    };
    let intervals = 0..nodes.len().saturating_sub(1);
    let intervals = intervals.filter(move |_| nodes.len() >= 4);
    let wide = intervals.filter(|k| nodes[k + 1] - nodes[*k] > NARROW);
    wide.filter(move |k| parted(*k)).map(|k| {
        // (1−t)²·r₀ᵀr₀ + 2t(1−t)·r₀ᵀr₁ + t²·r₁ᵀr₁ is least where its derivative is nought.
        let (here, both, next) = (
            products[(k, k)],
            products[(k, k + 1)],
            products[(k + 1, k + 1)],
        );
        let t = (here - both) / (here - 2.0 * both + next);
        let t = if t.is_nan() { 0.5 } else { t };
        let least = |t: f64| (1.0 - t).powi(2) * here + 2.0 * t * (1.0 - t) * both + t * t * next;
        let inside = t.clamp(0.25, 0.75);
        (
            nodes[k] + inside * (nodes[k + 1] - nodes[k]),
            least(t.clamp(0.0, 1.0)),
        )
    })
}

/// A quadratic form of what is interpolated, from the products of the nodes.
pub(crate) fn quadratic(products: &DMatrix<f64>, (first, weights): (usize, [f64; 4])) -> f64 {
    let mut sum = 0.0;
    for (i, a) in weights.iter().enumerate() {
        for (j, b) in weights.iter().enumerate() {
            if *a != 0.0 && *b != 0.0 {
                sum += a * b * products[(first + i, first + j)];
            }
        }
    }
    sum
}

/// Predictions at a size between the nodes.
pub(crate) fn interpolated(nodes: &Nodes<'_>, size: f64) -> Vec<f64> {
    let (first, weights) = cubic(nodes.sizes, size);
    let readings = nodes.predicted.first().map_or(0, Vec::len);
    let mut volts = vec![0.0; readings];
    for (k, weight) in weights.iter().enumerate().filter(|(_, w)| **w != 0.0) {
        for (sum, value) in volts.iter_mut().zip(&nodes.predicted[first + k]) {
            *sum += weight * value;
        }
    }
    volts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cubics_are_exact_for_cubics() {
        let nodes = [0.0, 0.7, 1.1, 2.0, 3.5];
        let law = |x: f64| 1.0 - x + 0.5 * x * x - 0.25 * x.powi(3);
        for at in [0.2, 0.9, 1.5, 3.0, 3.5] {
            let (first, weights) = cubic(&nodes, at);
            let got: f64 = (0..4).map(|k| weights[k] * law(nodes[first + k])).sum();
            // A dozen operations on numbers below 10.
            assert!((got - law(at)).abs() < 1e-13);
        }
    }

    /// An output that follows the size up to 3 and is at its rail of 20 V beyond, σ = 1 V, read as 2.4 V. A cubic
    /// through the rail errs below it too: `cubic(2.5)` of 1, 2, 3 and 20 is off by −1/16 of the jump of 16 V.
    #[test]
    fn a_switch_over_asks_for_sizes_on_both_sides_and_a_smooth_course_for_none() {
        let nodes: Vec<f64> = (0..7).map(f64::from).collect();
        let wanted = |volts: &dyn Fn(f64) -> f64| -> Vec<f64> {
            let left: Vec<f64> = nodes.iter().map(|size| 2.4 - volts(*size)).collect();
            let products = DMatrix::from_fn(7, 7, |i, j| left[i] * left[j]);
            bends(&nodes, &products).map(|(size, _)| size).collect()
        };
        assert!(wanted(&|size| 1.0 + size + 0.5 * size * size).is_empty());
        let found = wanted(&|size| if size > 3.5 { 20.0 } else { size });
        let interval = |k: f64| found.iter().find(|size| (k..k + 1.0).contains(*size));
        assert!(interval(3.0).is_some(), "{found:?}");
        // 2 V and 3 V: 2.4 V lies 0.4 of the way, without regard to the cubic.
        assert!((interval(2.0).unwrap() - 2.4).abs() < 1e-9, "{found:?}");
        assert_eq!(interval(0.0), None, "{found:?}");
    }
}
