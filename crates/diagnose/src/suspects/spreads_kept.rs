//! The spreads of the likeliest faults of a large set.
//!
//! How the readings follow the numbers with a fault, and their covariance, are matrices of the size of the table. A
//! set of hundreds of parts has thousands of plausible faults, whose matrices together would take tens of gigabytes.
//! So those that count least scatter as a set in order does once all have been evaluated.

use std::sync::Mutex;

use crate::suspects::evaluation::Evaluator;

/// Bytes that all spreads may take together.
const MOST_BYTES: usize = 1 << 30;

/// Faults that keep theirs in any case: more than are ever looked at one by one.
const LEAST_KEPT: usize = 64;

/// How many faults of a set keep their spread.
pub(crate) fn most_spreads(evaluator: &Evaluator<'_>) -> usize {
    let (readings, numbers) = evaluator.in_order.sensitivities.shape();
    // The derivatives, and four matrices of the covariance.
    let each = size_of::<f64>() * readings * (numbers + 4 * readings);
    (MOST_BYTES / each.max(1)).max(LEAST_KEPT)
}

/// What belongs to those faults that count most so far, with their places.
pub(crate) struct Kept<T> {
    most: usize,
    kept: Mutex<Vec<(f64, usize, T)>>,
}

impl<T> Kept<T> {
    /// At most so many of them.
    pub(crate) fn new(most: usize) -> Self {
        Kept {
            most,
            kept: Mutex::default(),
        }
    }

    /// Adds what belongs to the fault at a place, by how much it counts; drops what counts least where there are too
    /// many. What is left in the end does not depend on the order of the calls.
    pub(crate) fn keep(&self, counts: f64, place: usize, own: T) {
        let Ok(mut kept) = self.kept.lock() else {
            return;
        };
        kept.push((counts, place, own));
        if kept.len() > self.most {
            let each = kept.iter().enumerate();
            let least = each
                .min_by(|(_, one), (_, other)| one.0.total_cmp(&other.0).then(other.1.cmp(&one.1)));
            if let Some((least, _)) = least {
                kept.swap_remove(least);
            }
        }
    }

    /// The places, and what belongs to each.
    pub(crate) fn given_back(self) -> impl Iterator<Item = (usize, T)> {
        let kept = self.kept.into_inner().unwrap_or_default();
        kept.into_iter().map(|(_, place, own)| (place, own))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn those_that_count_most_are_left_in_whatever_order_they_come() {
        // Of the two that count alike the one at the earlier place.
        let all = [(-3.0, 0), (-1.0, 1), (-7.0, 2), (-3.0, 3), (-0.5, 4)];
        let left = |order: [usize; 5]| {
            let kept = Kept::new(3);
            for at in order {
                let (counts, place) = all[at];
                kept.keep(counts, place, place);
            }
            let mut left: Vec<(usize, usize)> = kept.given_back().collect();
            left.sort_unstable();
            left
        };
        for order in [[0, 1, 2, 3, 4], [4, 3, 2, 1, 0], [2, 3, 0, 4, 1]] {
            assert_eq!(left(order), [(0, 0), (1, 1), (4, 4)]);
        }
    }
}
