//! The normal distribution: probability of lying below, and its inverse.
//!
//! The inverse is written out here and not taken from a library, because the trials of a given
//! seed must come out alike for as long as this program lives.

use statrs::function::erf::erfc;

/// Probability that a standard normal quantity lies below `z`, Φ(z).
pub fn probability_below(z: f64) -> f64 {
    // Φ(z) = ½ erfc(−z/√2); the complement keeps its digits far out on the left.
    0.5 * erfc(-z * std::f64::consts::FRAC_1_SQRT_2)
}

/// Standard normal quantity that is not exceeded with this probability, Φ⁻¹(p): minus infinity at
/// 0, infinity at 1, not a number outside. M. J. Wichura, "Algorithm AS 241: The Percentage Points
/// of the Normal Distribution", Applied Statistics 37 (1988) 477, its double-precision form, to
/// about 16 digits.
pub fn quantile(probability: f64) -> f64 {
    let p = probability;
    if !(p > 0.0 && p < 1.0) {
        return match p {
            0.0 => f64::NEG_INFINITY,
            1.0 => f64::INFINITY,
            _ => f64::NAN,
        };
    }
    let q = p - 0.5;
    if q.abs() <= 0.425 {
        let r = 0.180_625 - q * q;
        return q * power_series(&MIDDLE_ABOVE, r) / power_series(&MIDDLE_BELOW, r);
    }
    let tail = if q < 0.0 { p } else { 1.0 - p };
    let r = (-tail.ln()).sqrt();
    let size = if r <= 5.0 {
        power_series(&SIDE_ABOVE, r - 1.6) / power_series(&SIDE_BELOW, r - 1.6)
    } else {
        power_series(&FAR_ABOVE, r - 5.0) / power_series(&FAR_BELOW, r - 5.0)
    };
    size.copysign(q)
}

/// c₀ + c₁x + c₂x² + …, by Horner's rule.
fn power_series(coefficients: &[f64; 8], x: f64) -> f64 {
    coefficients.iter().rev().fold(0.0, |sum, c| sum * x + c)
}

const MIDDLE_ABOVE: [f64; 8] = [
    3.387_132_872_796_366_5,
    133.141_667_891_784_38,
    1_971.590_950_306_551_3,
    13_731.693_765_509_46,
    45_921.953_931_549_87,
    67_265.770_927_008_7,
    33_430.575_583_588_13,
    2_509.080_928_730_122_7,
];

const MIDDLE_BELOW: [f64; 8] = [
    1.0,
    42.313_330_701_600_91,
    687.187_007_492_057_9,
    5_394.196_021_424_751,
    21_213.794_301_586_597,
    39_307.895_800_092_71,
    28_729.085_735_721_943,
    5_226.495_278_852_854,
];

const SIDE_ABOVE: [f64; 8] = [
    1.423_437_110_749_683_5,
    4.630_337_846_156_546,
    5.769_497_221_460_691,
    3.647_848_324_763_204_5,
    1.270_458_252_452_368_4,
    0.241_780_725_177_450_6,
    0.022_723_844_989_269_184,
    0.000_774_545_014_278_341_4,
];

const SIDE_BELOW: [f64; 8] = [
    1.0,
    2.053_191_626_637_759,
    1.676_384_830_183_803_8,
    0.689_767_334_985_1,
    0.148_103_976_427_480_08,
    0.015_198_666_563_616_457,
    0.000_547_593_808_499_534_5,
    1.050_750_071_644_416_9e-9,
];

const FAR_ABOVE: [f64; 8] = [
    6.657_904_643_501_103,
    5.463_784_911_164_114,
    1.784_826_539_917_291_3,
    0.296_560_571_828_504_87,
    0.026_532_189_526_576_124,
    0.001_242_660_947_388_078_4,
    2.711_555_568_743_487_6e-5,
    2.010_334_399_292_288_1e-7,
];

const FAR_BELOW: [f64; 8] = [
    1.0,
    0.599_832_206_555_888,
    0.136_929_880_922_735_8,
    0.014_875_361_290_850_615,
    0.000_786_869_131_145_613_3,
    1.846_318_317_510_054_8e-5,
    1.421_511_758_316_446e-7,
    2.044_263_103_389_939_7e-15,
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_agree_with_published_tables() {
        // NIST/SEMATECH e-Handbook of Statistical Methods, 1.3.6.7.1, and the usual ten digits;
        // each to half of its last digit.
        let rows = [
            (0.975, 1.959_963_984_5),
            (0.95, 1.644_853_626_95),
            (0.995, 2.575_829_303_5),
            (0.9999, 3.719_016_485_5),
        ];
        for (p, z) in rows {
            assert!((quantile(p) - z).abs() < 1e-10, "{p}: {}", quantile(p));
            assert!((quantile(1.0 - p) + z).abs() < 1e-9);
        }
        assert!(quantile(0.5).abs() < 1e-300);
    }

    #[test]
    fn the_inverse_undoes_the_probability_in_all_three_regions() {
        // erfc is the library's: independent of the forms here. Allowed is twice its own relative
        // error, which against the C library's erfc is 10⁻¹⁰ at worst.
        let far = (1..300).map(|k| 10f64.powi(-k));
        let middle = (1..1000).map(|k| f64::from(k) / 1000.0);
        for p in far.chain(middle) {
            let back = probability_below(quantile(p));
            assert!((back - p).abs() < 2e-10 * p, "{p}: {back}");
        }
    }

    #[test]
    fn the_ends_are_infinite_and_outside_is_not_a_number() {
        assert!(quantile(0.0) < -1e300 && quantile(1.0) > 1e300);
        assert!(quantile(-0.1).is_nan() && quantile(f64::NAN).is_nan());
    }
}
