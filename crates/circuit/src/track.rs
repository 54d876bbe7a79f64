//! The track of a potentiometer: its pieces between the wiper, the taps and the ends.

use crate::circuit::Circuit;
use crate::part::{PartKind, Potentiometer};
use crate::setting::{Setting, SettingValue};

impl Potentiometer {
    /// Index of the wiper among its terminals.
    pub const WIPER: usize = 1;

    /// Where the wiper is, as a share of the travel, if it is said to be at `turn`: its offset added to the
    /// logarithm of the travel below it over that above it, `ln(s/(1−s))`, between the ends or taps next to it. So it
    /// never leaves these, and an end, which a hand feels, is exact.
    pub fn moved(&self, turn: f64) -> f64 {
        match self.beside(turn) {
            Some((below, above)) if self.offset != 0.0 => {
                let (left, right) = (turn - below, (above - turn) * (-self.offset).exp());
                below + (above - below) * left / (left + right)
            }
            _ => turn,
        }
    }

    /// Derivative of [`Potentiometer::moved`] by the offset.
    pub fn by_offset(&self, turn: f64) -> f64 {
        // ds/d ln(s/(1−s)) = s(1−s)
        self.beside(turn).map_or(0.0, |(below, above)| {
            let at = self.moved(turn);
            (at - below) * (above - at) / (above - below)
        })
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

impl Circuit {
    /// The same drawing, with the position of a control stated that one of these puts off its ends: where it has a
    /// scale for some rows, it has it for all.
    pub fn with_wipers_stated<'a>(mut self, settings: impl Iterator<Item = &'a Setting>) -> Self {
        for setting in settings {
            let on_its_way =
                matches!(setting.value, SettingValue::Turn(at) if 0.0 < at && at < 1.0);
            if let (PartKind::Potentiometer(pot), true) =
                (&mut self.part_mut(setting.part).kind, on_its_way)
            {
                pot.is_stated = true;
            }
        }
        self
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::circuit::{CircuitBuilder, PartId};
    use crate::part::Part;

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
        let moved = |offset, turn| control(vec![0.2], offset).moved(turn);
        // A few float operations on shares below 1.
        assert!((moved(2f64.ln(), 0.6) - (0.2 + 0.8 * 2.0 / 3.0)).abs() < 1e-14);
        assert!((moved(0.2, 0.6) - 0.6 - 0.05 * 0.8).abs() < 1e-3);
        let far = moved(-20.0, 0.6);
        assert!(0.2 < far && far < 0.21, "{far}");
        for exact in [0.0, 0.2, 1.0] {
            assert!(moved(3.0, exact).total_cmp(&exact).is_eq());
            assert!(control(vec![0.2], 3.0).by_offset(exact).abs() < f64::MIN_POSITIVE);
        }
    }

    #[test]
    fn its_derivative_is_what_differences_of_it_say() {
        for (turn, offset) in [(0.5, 0.0), (0.03, 0.7), (0.9, -1.5)] {
            let step = 1e-5;
            let at = |offset| control(vec![0.4], offset).moved(turn);
            let slope = (at(offset + step) - at(offset - step)) / (2.0 * step);
            let miss = (control(vec![0.4], offset).by_offset(turn) - slope).abs();
            // A central difference of 1e-5 leaves 1e-10 of a third derivative below 1, and rounding of 1e-11.
            assert!(miss < 1e-9, "{turn}: {miss}");
        }
    }

    /// One row puts R1 half way and one on its end; R2 is only ever put on an end.
    #[test]
    fn a_row_that_puts_a_control_off_its_ends_states_its_position() {
        let mut builder = CircuitBuilder::new();
        let node = builder.node("a");
        for name in ["R1", "R2"] {
            let pot = Potentiometer {
                is_stated: false,
                ..control(Vec::new(), 0.0)
            };
            builder.part(Part::new(name, PartKind::Potentiometer(pot), vec![node; 3]));
        }
        let settings = [(0, 0.5), (0, 1.0), (1, 0.0), (1, 1.0)].map(|(part, at)| Setting {
            part: PartId(part),
            value: SettingValue::Turn(at),
        });
        let circuit = builder.finish().with_wipers_stated(settings.iter());
        let stated = circuit.parts().iter().map(|part| match &part.kind {
            PartKind::Potentiometer(pot) => pot.is_stated,
            _ => unreachable!(),
        });
        assert_eq!(stated.collect::<Vec<_>>(), [true, false]);
    }
}
