//! Tests of `fault_size`.

use super::*;

#[test]
fn densities_of_sizes_sum_to_one() {
    for near in [None, Some((0.5, true)), Some((0.4, false))] {
        let sizes = Sizes {
            from: None,
            least: 2.0,
            most: 300.0,
            near,
            unit: SizeUnit::Ohms,
        };
        let (low, high) = (sizes.least.ln(), sizes.most.ln());
        let step = (high - low) / 10_000.0;
        let sum: f64 = (0..10_000)
            .map(|k| sizes.log_density(low + step * (f64::from(k) + 0.5)).exp() * step)
            .sum();
        // The midpoint rule with steps a thousandth of the scale.
        assert!((sum - 1.0).abs() < 1e-5, "{sum}");
    }
}

#[test]
fn sizes_are_spaced_evenly_in_their_logarithm() {
    let sizes = Sizes {
        from: None,
        least: 1e4,
        most: 1e8,
        near: None,
        unit: SizeUnit::Ohms,
    };
    let got = sizes.spaced(5);
    // 10⁴ … 10⁸ in decades; logarithms below 20 round to 1e-14.
    for (k, log) in got.iter().enumerate() {
        assert!((log - (4.0 + k as f64) * 10f64.ln()).abs() < 1e-13);
    }
}
