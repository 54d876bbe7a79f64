//! Products of numbers that lie side by side in memory.
//!
//! The general vectors allow for strides, which keeps a compiler from taking several numbers at once.

/// Numbers taken at once.
const LANES: usize = 4;

/// Adds a multiple of some numbers to others, one by one.
pub(crate) fn add_scaled(into: &mut [f64], by: f64, numbers: &[f64]) {
    for (into, number) in into.iter_mut().zip(numbers) {
        *into += by * number;
    }
}

/// The inner product.
pub(crate) fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; LANES];
    let (in_fours, with) = (a.chunks_exact(LANES), b.chunks_exact(LANES));
    let left = in_fours.remainder().iter().zip(with.remainder());
    let left: f64 = left.map(|(a, b)| a * b).sum();
    for (a, b) in in_fours.zip(with) {
        for (sum, (a, b)) in sums.iter_mut().zip(a.iter().zip(b)) {
            *sum += a * b;
        }
    }
    sums.iter().sum::<f64>() + left
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whole numbers have no rounding, so the sums are exact whatever their order.
    #[test]
    fn products_of_whole_numbers_are_exact() {
        for count in [0, 1, 3, 4, 7, 8, 13] {
            let a: Vec<f64> = (0..count).map(|k| f64::from(k) - 3.0).collect();
            let b: Vec<f64> = (0..count).map(|k| f64::from(k * k)).collect();
            let want: f64 = (0..count).map(|k| f64::from((k - 3) * k * k)).sum();
            assert!((dot(&a, &b) - want).abs() < 0.5, "{count}");
            let mut into = a.clone();
            add_scaled(&mut into, 2.0, &b);
            let all = into.iter().zip(&a).zip(&b);
            assert!(all
                .into_iter()
                .all(|((into, a), b)| (into - a - 2.0 * b).abs() < 0.5));
        }
    }
}
