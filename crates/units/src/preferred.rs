//! Preferred values of resistors: the series of IEC 60063.
//!
//! A required value comes in; the nearest preferred value goes out. Its use is not known here.

/// A series of IEC 60063.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Series {
    /// Twelve values in each decade, for parts of ±10 %.
    E12,
    /// Twenty-four, for ±5 %.
    E24,
    /// Ninety-six, for ±1 %.
    E96,
}

/// E24 as the standard lists it: eight of its values are not rounded powers of ten.
const E24: [f64; 24] = [
    1.0, 1.1, 1.2, 1.3, 1.5, 1.6, 1.8, 2.0, 2.2, 2.4, 2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 5.1, 5.6,
    6.2, 6.8, 7.5, 8.2, 9.1,
];

impl Series {
    /// Every series, from the coarsest.
    pub const ALL: [Series; 3] = [Series::E12, Series::E24, Series::E96];

    /// Its name.
    pub fn name(self) -> &'static str {
        match self {
            Series::E12 => "E12",
            Series::E24 => "E24",
            Series::E96 => "E96",
        }
    }

    /// Its values from 1 up to 10.
    pub fn decade(self) -> Vec<f64> {
        match self {
            Series::E12 => E24.iter().step_by(2).copied().collect(),
            Series::E24 => E24.to_vec(),
            // round(100·10^(n/96)), without exceptions
            Series::E96 => (0..96)
                .map(|n| (100.0 * 10f64.powf(f64::from(n) / 96.0)).round() / 100.0)
                .collect(),
        }
    }

    /// The value of the series that is nearest in ratio to a positive value, in the same unit.
    pub fn nearest(self, value: f64) -> f64 {
        let candidates = self.around(value);
        let far = |candidate: &f64| (candidate / value).ln().abs();
        candidates
            .into_iter()
            .min_by(|a, b| far(a).total_cmp(&far(b)))
            .unwrap_or(value)
    }

    /// The values of the decade of a positive value and of the two decades next to it.
    fn around(self, value: f64) -> Vec<f64> {
        let decade = value.log10().floor();
        (-1..=1)
            .flat_map(|step| {
                let power = decade + f64::from(step);
                self.decade().into_iter().map(move |own| scaled(own, power))
            })
            .collect()
    }

    /// Two values whose series or parallel connection is nearest to a positive value, in ohms.
    pub fn nearest_pair(self, value: f64) -> Pair {
        let mut best = Pair {
            joined: Joined::Series,
            first: self.nearest(value / 2.0),
            second: self.nearest(value / 2.0),
        };
        let far = |pair: &Pair| (pair.ohms() / value).ln().abs();
        for first in self.around(value) {
            for joined in [Joined::Series, Joined::Parallel] {
                let rest = match joined {
                    Joined::Series => value - first,
                    Joined::Parallel => 1.0 / (1.0 / value - 1.0 / first),
                };
                if !(rest > 0.0 && rest.is_finite()) {
                    continue;
                }
                let pair = Pair {
                    joined,
                    first,
                    second: self.nearest(rest),
                };
                if far(&pair) < far(&best) {
                    best = pair;
                }
            }
        }
        best
    }
}

/// How two resistors are connected.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Joined {
    /// In series.
    Series,
    /// In parallel.
    Parallel,
}

/// Two connected resistors of preferred values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pair {
    /// How they are connected.
    pub joined: Joined,
    /// Resistance of one, in ohms.
    pub first: f64,
    /// Resistance of the other, in ohms.
    pub second: f64,
}

impl Pair {
    /// Resistance of both together, in ohms.
    pub fn ohms(&self) -> f64 {
        match self.joined {
            Joined::Series => self.first + self.second,
            Joined::Parallel => 1.0 / (1.0 / self.first + 1.0 / self.second),
        }
    }
}

/// A value of the first decade times a power of ten, rounded to its digits.
fn scaled(own: f64, power: f64) -> f64 {
    let hundredths = (own * 100.0).round();
    match power >= 2.0 {
        true => hundredths * 10f64.powf(power - 2.0),
        false => hundredths / 10f64.powf(2.0 - power),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_series_as_the_standard_lists_them() {
        // IEC 60063: lists read at en.wikipedia.org/wiki/E_series_of_preferred_numbers and
        // qsl.net/g4usp. Eight values of E24 are not rounded powers.
        let odd: Vec<f64> = (0..24)
            .zip(Series::E24.decade())
            .filter(|(n, own)| {
                let rounded = (10.0 * 10f64.powf(f64::from(*n) / 24.0)).round() / 10.0;
                (rounded - own).abs() > 1e-9
            })
            .map(|(_, own)| own)
            .collect();
        assert_eq!(odd, [2.7, 3.0, 3.3, 3.6, 3.9, 4.3, 4.7, 8.2]);
        // E12 is every second of E24.
        let listed = [1.0, 1.2, 1.5, 1.8, 2.2, 2.7, 3.3, 3.9, 4.7, 5.6, 6.8, 8.2];
        assert_eq!(Series::E12.decade(), listed);
        // E96, some of those read at qsl.net/g4usp.
        let e96 = Series::E96.decade();
        assert_eq!(e96.len(), 96);
        for own in [1.02, 1.24, 1.96, 2.55, 3.09, 4.87, 6.34, 7.50, 8.25, 9.76] {
            assert!(e96.iter().any(|value| (value - own).abs() < 1e-12), "{own}");
        }
        // E48 is every second of E96: its third value is 1.10.
        assert!((e96[4] - 1.10).abs() < 1e-12);
    }

    #[test]
    fn nearest_by_ratio_across_decades() {
        assert!((Series::E12.nearest(256_410.0) - 270e3).abs() < 1e-6);
        assert!((Series::E24.nearest(256_410.0) - 270e3).abs() < 1e-6);
        assert!((Series::E96.nearest(256_410.0) - 255e3).abs() < 1e-6);
        assert!((Series::E24.nearest(9.7e3) - 10e3).abs() < 1e-6);
    }

    #[test]
    fn a_pair_is_never_worse_than_one() {
        for value in [123.4, 256_410.0, 4.99e6, 0.77] {
            for series in Series::ALL {
                let far = |ohms: f64| (ohms / value).ln().abs();
                let pair = series.nearest_pair(value);
                assert!(far(pair.ohms()) <= far(series.nearest(value)) + 1e-9);
            }
        }
        // 240 kΩ and 16 kΩ: 0.16 % below, by hand.
        let pair = Series::E24.nearest_pair(256_410.0);
        assert!((pair.ohms() / 256_410.0 - 1.0).abs() < 0.002, "{pair:?}");
    }
}
