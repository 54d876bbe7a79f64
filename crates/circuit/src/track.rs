//! The track of a potentiometer: its pieces between the wiper, the taps and the ends.

use crate::part::Potentiometer;

impl Potentiometer {
    /// The pieces of the track between wiper, taps and ends, with the wiper at the share `turn` (0
    /// to 1), from the clockwise end down: the terminals at both ends of each piece, and its share
    /// of the resistance. Their number is the number of taps plus 2.
    pub fn lengths(&self, turn: f64) -> Vec<(usize, usize, f64)> {
        let mut places = vec![(1, turn)];
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
}
