//! Where a search is: numbers and discrepancies.

use super::Descent;

/// Numbers and discrepancies.
#[derive(Clone, Debug)]
pub(crate) struct Place {
    pub(crate) numbers: Vec<f64>,
    pub(crate) ports: Vec<f64>,
}

impl Place {
    pub(super) fn towards(&self, aim: &Place, share: f64) -> Place {
        let between = |from: &[f64], to: &[f64]| -> Vec<f64> {
            from.iter()
                .zip(to)
                .map(|(a, b)| a + share * (b - a))
                .collect()
        };
        Place {
            numbers: between(&self.numbers, &aim.numbers),
            ports: between(&self.ports, &aim.ports),
        }
    }

    /// The same numbers, measured in other widths.
    pub(super) fn in_widths(mut self, from: &[f64], to: &[f64]) -> Place {
        for (at, (from, to)) in self.numbers.iter_mut().zip(from.iter().zip(to)) {
            *at *= from / to;
        }
        self
    }

    /// The largest change: of a number in its standard deviations, of what a discrepancy does to a reading in
    /// those of the printed value.
    pub(super) fn farthest(&self, other: &Place, descent: &Descent<'_>) -> f64 {
        let numbers = self.numbers.iter().zip(&other.numbers);
        let numbers = numbers.map(|(a, b)| (a - b).abs());
        let discrepancies = &descent.discrepancies;
        let rows = descent.rows.iter().zip(&discrepancies.effect);
        let rows = rows
            .zip(&discrepancies.of_row)
            .map(|((row, effect), port)| {
                (effect * (self.ports[*port] - other.ports[*port])).abs() / row.noise.sqrt()
            });
        numbers.chain(rows).fold(0.0, f64::max)
    }
}
