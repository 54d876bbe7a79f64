//! What the values of many trials say: mean, standard uncertainty, coverage intervals.
//!
//! Values come in, in the order of the trials; the discrete representation G of the output's
//! distribution goes out (JCGM 101:2008, 7.5 to 7.7).

use thiserror::Error;

/// Why values of trials cannot be summed up.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum SampleError {
    /// Too few for what is asked.
    #[error("{have} values of trials are too few; at least {need} are needed")]
    TooFew {
        /// How many there are.
        have: usize,
        /// How many there should be.
        need: usize,
    },
    /// A value that is not a finite number.
    #[error("value {index} of the trials is not a finite number")]
    NotFinite {
        /// Its place.
        index: usize,
    },
    /// A probability that is not between 0 and 1.
    #[error("a coverage probability of {probability} does not lie between 0 and 1")]
    Probability {
        /// The probability.
        probability: f64,
    },
}

/// An interval, in the unit of the output.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// Its lower end.
    pub low: f64,
    /// Its upper end.
    pub high: f64,
}

impl Interval {
    /// y ± U.
    pub fn about(value: f64, expanded: f64) -> Self {
        Interval {
            low: value - expanded,
            high: value + expanded,
        }
    }

    /// Upper less lower end.
    pub fn width(&self) -> f64 {
        self.high - self.low
    }
}

/// Values of trials, sorted.
#[derive(Clone, Debug, PartialEq)]
pub struct Sample {
    sorted: Vec<f64>,
    mean: f64,
    standard: f64,
}

impl Sample {
    /// Sums up at least two values.
    ///
    /// # Errors
    /// [`SampleError::TooFew`] and [`SampleError::NotFinite`].
    pub fn of(mut values: Vec<f64>) -> Result<Self, SampleError> {
        if values.len() < 2 {
            return Err(SampleError::TooFew {
                have: values.len(),
                need: 2,
            });
        }
        if let Some(index) = values.iter().position(|value| !value.is_finite()) {
            return Err(SampleError::NotFinite { index });
        }
        // Summed in the order of the trials, one after the other, for the same bits every time.
        let count = values.len() as f64;
        let mean = values.iter().sum::<f64>() / count;
        // u² = 1/(M−1) Σ (y_r − ỹ)²                     (17), in two passes (7.6 Note 1)
        let squares: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        values.sort_unstable_by(f64::total_cmp);
        Ok(Sample {
            sorted: values,
            mean,
            standard: (squares / (count - 1.0)).sqrt(),
        })
    }

    /// Their average (16), the estimate of the output.
    pub fn mean(&self) -> f64 {
        self.mean
    }

    /// Their standard deviation (17), the standard uncertainty of the output.
    pub fn standard(&self) -> f64 {
        self.standard
    }

    /// The shortest coverage interval (7.7.2, 5.3.4).
    ///
    /// # Errors
    /// [`SampleError::Probability`], and [`SampleError::TooFew`] where the values do not reach
    /// beyond the interval.
    pub fn interval(&self, probability: f64) -> Result<Interval, SampleError> {
        if !(probability > 0.0 && probability < 1.0) {
            return Err(SampleError::Probability { probability });
        }
        let count = self.sorted.len();
        // q = pM if that is whole, else the whole part of pM + ½; the latter serves for both.
        let q = (probability * count as f64 + 0.5).floor() as usize;
        if q >= count || q == 0 {
            let rarer = probability.min(1.0 - probability);
            let need = (1.0 / rarer).ceil() as usize;
            return Err(SampleError::TooFew { have: count, need });
        }
        // [y_(r), y_(r+q)] with r counted from 1.
        let at = |r: usize| Interval {
            low: self.sorted[r - 1],
            high: self.sorted[r - 1 + q],
        };
        let shortest = (1..=count - q)
            .map(at)
            .min_by(|one, other| one.width().total_cmp(&other.width()));
        Ok(shortest.unwrap_or(at(1)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: Interval, low: f64, high: f64) -> bool {
        (got.low - low).abs() < 1e-12 && (got.high - high).abs() < 1e-12
    }

    #[test]
    fn the_interval_of_a_hundred_steps_follows_the_clause() {
        // Values 1 to 100, p = 0.95: q = 95.
        let sample = Sample::of((1..=100).rev().map(f64::from).collect()).unwrap();
        // All are equally long; the first is taken.
        let shortest = sample.interval(0.95).unwrap();
        assert!(close(shortest, 1.0, 96.0), "{shortest:?}");
        // Mean 50.5 and u² = 100·101/12, the variance of the first hundred numbers.
        assert!((sample.mean() - 50.5).abs() < 1e-12);
        assert!((sample.standard().powi(2) - 100.0 * 101.0 / 12.0).abs() < 1e-9);
    }

    #[test]
    fn the_shortest_interval_lies_where_the_values_crowd() {
        // 1, 2, 4, 8 … 512; p = 0.5: q = 5, the shortest of y_(r)..y_(r+5) is 1..32.
        let sample = Sample::of((0..10).map(|k| 2f64.powi(k)).collect()).unwrap();
        let shortest = sample.interval(0.5).unwrap();
        assert!(close(shortest, 1.0, 32.0), "{shortest:?}");
    }

    #[test]
    fn two_passes_keep_the_digits_of_a_small_spread_on_a_large_value() {
        // 10⁹ ± 10⁻³: the mean of the squares less the squared mean would have no digit left.
        let sample = Sample::of(vec![1e9 - 1e-3, 1e9 + 1e-3]).unwrap();
        // Doubles near 10⁹ are 10⁻⁷ apart.
        assert!((sample.standard() - 1e-3 * 2f64.sqrt()).abs() < 3e-7);
    }

    #[test]
    fn what_cannot_be_summed_up_is_an_error() {
        assert!(Sample::of(vec![1.0]).is_err());
        let infinite = Sample::of(vec![1.0, f64::INFINITY]);
        assert_eq!(infinite, Err(SampleError::NotFinite { index: 1 }));
        let ten = Sample::of((0..10).map(f64::from).collect()).unwrap();
        let far = ten.interval(0.999);
        assert!(matches!(far, Err(SampleError::TooFew { have: 10, .. })));
        assert!(ten.interval(1.0).is_err());
    }
}
