//! The track of a potentiometer: its pieces between the wiper, the taps and the ends.

use crate::part::Potentiometer;

impl Potentiometer {
    /// Index of the wiper among its terminals.
    pub const WIPER: usize = 1;

    /// Where the wiper is, as a share of the travel, where `set` is what a row states and the drawing's own position
    /// counts without it: the offset added to the logarithm of the travel below it over that above it, `ln(s/(1−s))`,
    /// between the ends or taps next to it. So it never leaves these, and an end, which a hand feels, is exact.
    pub fn moved(&self, set: Option<f64>) -> f64 {
        let turn = set.unwrap_or(self.setting);
        match self.play(set) {
            Some((below, above)) if self.offset != 0.0 => {
                let (left, right) = (turn - below, (above - turn) * (-self.offset).exp());
                below + (above - below) * left / (left + right)
            }
            _ => turn,
        }
    }

    /// Derivative of [`Potentiometer::moved`] by the offset.
    pub fn by_offset(&self, set: Option<f64>) -> f64 {
        // ds/d ln(s/(1−s)) = s(1−s)
        self.play(set).map_or(0.0, |(below, above)| {
            let at = self.moved(set);
            (at - below) * (above - at) / (above - below)
        })
    }

    /// The ends or taps between which the offset moves a wiper; none if it does not: from one of them, and from a
    /// position that a row states where the drawing leaves it open. One offset cannot say both how far off a known
    /// position is and where an unknown one is.
    fn play(&self, set: Option<f64>) -> Option<(f64, f64)> {
        let moves = self.is_stated || set.is_none();
        self.beside(set.unwrap_or(self.setting)).filter(|_| moves)
    }

    /// The offset that moves the wiper from where the drawing has it to a place between the same ends or taps;
    /// infinite for one that lies beyond them, and 0 if the drawing has the wiper on one of them.
    pub fn offset_to(&self, at: f64) -> f64 {
        self.beside(self.setting).map_or(0.0, |(below, above)| {
            let logarithm = |at: f64| ((at - below).max(0.0) / (above - at).max(0.0)).ln();
            logarithm(at) - logarithm(self.setting)
        })
    }

    /// The ends or taps between which this position lies; none if it lies on one.
    pub fn beside(&self, turn: f64) -> Option<(f64, f64)> {
        let places = || self.taps.iter().copied().chain([0.0, 1.0]);
        let below = places().filter(|at| *at <= turn).max_by(f64::total_cmp)?;
        let above = places().filter(|at| *at >= turn).min_by(f64::total_cmp)?;
        (below < turn && turn < above).then_some((below, above))
    }

    /// The pieces of the track between wiper, taps and ends, with the wiper at the share `turn` (0
    /// to 1), from the clockwise end down: the terminals at both ends of each piece, and its share
    /// of the resistance. Their number is the number of taps plus 2.
    pub fn lengths(&self, turn: f64) -> Vec<(usize, usize, f64)> {
        let mut places = vec![(Self::WIPER, turn)];
        places.extend(self.taps.iter().enumerate().map(|(tap, at)| (3 + tap, *at)));
        places.sort_by(|a, b| b.1.total_cmp(&a.1));
        places.insert(0, (0, 1.0));
        places.push((2, 0.0));
        let pairs = places.windows(2);
        pairs
            .map(|ends| (ends[0].0, ends[1].0, ends[0].1 - ends[1].1))
            .collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::part::PartKind;

    /// By hand: the wiper above the tap at 20 % and below it; the lengths add up to the whole.
    #[test]
    fn a_tapped_track_is_parted_at_the_wiper_and_at_its_taps() {
        let pot = Potentiometer {
            ohms: 1e4,
            tolerance: None,
            setting: 0.6,
            is_stated: true,
            offset: 0.0,
            taps: vec![0.2],
        };
        for (turn, want) in [
            (0.6, [(0, 1, 0.4), (1, 3, 0.4), (3, 2, 0.2)]),
            (0.1, [(0, 3, 0.8), (3, 1, 0.1), (1, 2, 0.1)]),
        ] {
            let got = pot.lengths(turn);
            assert_eq!(got.len(), want.len());
            for (got, want) in got.into_iter().zip(want) {
                assert_eq!((got.0, got.1), (want.0, want.1));
                // Differences of decimal fractions.
                assert!((got.2 - want.2).abs() < 1e-12, "{got:?}");
            }
        }
        assert_eq!(
            PartKind::Potentiometer(pot).terminals(),
            ["cw", "wiper", "ccw", "tap"]
        );
    }

    fn control(taps: Vec<f64>, offset: f64) -> Potentiometer {
        Potentiometer {
            ohms: 500e3,
            tolerance: None,
            setting: 0.5,
            is_stated: true,
            offset,
            taps,
        }
    }

    /// By hand: of a travel of 0.4 below the wiper and 0.4 above it, the part below counts twice; the wiper stays off
    /// the tap at 20 % however far it moves. On an end or a tap it does not move.
    #[test]
    fn an_offset_moves_a_wiper_between_its_neighbours() {
        let moved = |offset, turn| control(vec![0.2], offset).moved(Some(turn));
        // A few float operations on shares below 1.
        assert!((moved(2f64.ln(), 0.6) - (0.2 + 0.8 * 2.0 / 3.0)).abs() < 1e-14);
        assert!((moved(0.2, 0.6) - 0.6 - 0.05 * 0.8).abs() < 1e-3);
        let far = moved(-20.0, 0.6);
        assert!(0.2 < far && far < 0.21, "{far}");
        for exact in [0.0, 0.2, 1.0] {
            assert!(moved(3.0, exact).total_cmp(&exact).is_eq());
            assert!(control(vec![0.2], 3.0).by_offset(Some(exact)).abs() < f64::MIN_POSITIVE);
        }
    }

    #[test]
    fn its_derivative_is_what_differences_of_it_say() {
        for (turn, offset) in [(0.5, 0.1), (0.03, 0.7), (0.9, -1.5)] {
            let step = 1e-5;
            let at = |offset| control(vec![0.4], offset).moved(Some(turn));
            let slope = (at(offset + step) - at(offset - step)) / (2.0 * step);
            let miss = (control(vec![0.4], offset).by_offset(Some(turn)) - slope).abs();
            // A central difference of 1e-5 leaves 1e-10 of a third derivative below 1, and rounding of 1e-11.
            assert!(miss < 1e-9, "{turn}: {miss}");
        }
    }

    /// By hand: e²/(1 + e²) where the drawing leaves it open.
    #[test]
    fn a_row_states_a_position_that_the_drawing_leaves_open() {
        let pot = Potentiometer {
            is_stated: false,
            ..control(Vec::new(), 2.0)
        };
        assert!((pot.moved(None) - 0.880_797).abs() < 1e-6);
        assert!((pot.moved(Some(0.4)) - 0.4).abs() < 1e-12);
        assert!(pot.by_offset(Some(0.4)).abs() < 1e-12);
    }
}
