//! The two limits of a band: equally fine, and no finer than the value they stand beside.
//!
//! One side of a translation comes in; text goes out, an ellipsis between the limits. What is
//! judged by them is not known here.

use translate::{Band, BenchSide};
use units::fixed;

use super::{carried_decimals, decimal, last_place};

/// Between the two limits of a band.
pub(crate) const BETWEEN: &str = " … ";

/// Before two limits that are one number in the digits shown.
const BOTH: &str = "both";

/// Decimals that a limit may get beyond its own to be told apart from a reading.
const MOST_EXTRA: usize = 4;

/// Decimals for both limits of a band: those of the coarser one, more where they would then hardly
/// differ, and no more than the expected value beside them shows.
pub(crate) fn band_decimals(side: &BenchSide, resolution: f64) -> usize {
    let own = [side.band.low, side.band.high]
        .iter()
        .flatten()
        .map(|limit| carried_decimals(*limit, resolution))
        .min()
        .unwrap_or(0);
    let shown = usize::try_from(last_place(side, resolution)).unwrap_or(0);
    let told_apart = |decimals: &usize| match (side.band.low, side.band.high) {
        (Some(low), Some(high)) => high - low >= 2.0 / 10_f64.powi(*decimals as i32),
        _ => true,
    };
    (own..shown).find(told_apart).unwrap_or(shown)
}

/// Both limits: `121 … 182`; `both 0.00` where they differ by less than is shown; `max 0.5` or `min 3` where one side is open; nothing where both are.
pub(crate) fn band(side: &BenchSide, resolution: f64) -> String {
    limits(side.band, band_decimals(side, resolution))
}

/// The limits beside a reading: with as many more decimals as it takes to show on which side of
/// them the reading lies, so that no verdict seems to contradict the figures next to it.
pub(crate) fn band_beside(side: &BenchSide, resolution: f64, reading: f64) -> String {
    limits(side.band, decimals_beside(side, resolution, reading))
}

/// The same limits as numbers, rounded as they are shown.
pub(crate) fn shown_band(side: &BenchSide, resolution: f64, reading: f64) -> Band {
    let decimals = decimals_beside(side, resolution, reading);
    let shown = |limit: f64| fixed(limit, decimals).parse().unwrap_or(limit);
    Band {
        low: side.band.low.map(shown),
        high: side.band.high.map(shown),
    }
}

fn decimals_beside(side: &BenchSide, resolution: f64, reading: f64) -> usize {
    let start = band_decimals(side, resolution);
    let band = side.band;
    let honest = |decimals: usize| {
        let same_side = |limit: f64| {
            let shown: f64 = fixed(limit, decimals).parse().unwrap_or(limit);
            (reading >= limit) == (reading >= shown) && (reading <= limit) == (reading <= shown)
        };
        [band.low, band.high].into_iter().flatten().all(same_side)
    };
    let decimals = (start..start + MOST_EXTRA).find(|decimals| honest(*decimals));
    decimals.unwrap_or(start)
}

/// Both limits of a band by themselves: those of the coarser one decide.
pub(crate) fn limits_alone(band: Band, resolution: f64) -> String {
    let own = [band.low, band.high]
        .into_iter()
        .flatten()
        .map(|limit| carried_decimals(limit, resolution));
    limits(band, own.min().unwrap_or(0))
}

fn limits(band: Band, decimals: usize) -> String {
    let text = |limit| decimal(limit, decimals);
    match (band.low, band.high) {
        (Some(low), Some(high)) => between(&text(low), &text(high)),
        (None, Some(high)) => format!("max {}", text(high)),
        (Some(low), None) => format!("min {}", text(low)),
        (None, None) => String::new(),
    }
}

/// Two limits as shown. A range from a number to itself reads as a mistake, so that says `both`.
pub(crate) fn between(low: &str, high: &str) -> String {
    match low == high {
        true => format!("{BOTH} {high}"),
        false => format!("{low}{BETWEEN}{high}"),
    }
}

#[cfg(test)]
mod tests {
    use super::super::uncertain::trial::side;
    use super::*;

    #[test]
    fn limits_share_their_decimals_and_are_no_finer_than_the_value() {
        let of = |low, high, resolution, standard| {
            let side = side(1.3, low, high, standard);
            band(&side, resolution)
        };
        assert_eq!(of(Some(121.3), Some(182.0), 1.0, 0.01), "121 … 182");
        assert_eq!(of(Some(-0.96), Some(-0.64), 0.1, 0.01), "−0.96 … −0.64");
        assert_eq!(of(Some(-0.96), Some(-0.64), 0.1, 0.6), "−1.0 … −0.6");
        assert_eq!(of(Some(9.51), Some(14.26), 1.0, 0.01), "9.5 … 14.3");
        assert_eq!(of(Some(89.13), Some(133.7), 1.0, 0.01), "89 … 134");
        // A printed 0 has one decimal; a narrow band beside a fine value gets more.
        assert_eq!(of(Some(-0.004), Some(0.004), 0.5, 0.001), "−0.004 … 0.004");
        assert_eq!(of(None, Some(0.5), 0.1, 0.01), "max 0.50");
        assert_eq!(of(Some(3.0), None, 1.0, 0.01), "min 3.0");
        assert_eq!(of(None, None, 1.0, 0.01), "");
    }

    #[test]
    fn limits_closer_than_the_digits_shown_are_one_number() {
        // ±4 mV beside an uncertainty of 0.07 V, which leaves two decimals.
        let side = |half: f64| side(0.0, Some(-half), Some(half), 0.035);
        assert_eq!(band(&side(0.004), 0.1), "both 0.00");
        assert_eq!(band(&side(0.006), 0.1), "−0.01 … 0.01");
        let rail = super::super::uncertain::trial::side(114.0, Some(114.1), Some(114.3), 1.5);
        assert_eq!(band(&rail, 1.0), "both 114");
        // Beside a reading that lies inside of them they show it, unless that takes too many digits.
        assert_eq!(band_beside(&side(0.004), 0.1, 0.003), "−0.004 … 0.004");
        assert_eq!(band_beside(&side(4e-9), 0.1, 0.0), "both 0.00");
    }

    #[test]
    fn limits_never_seem_to_contradict_a_verdict() {
        let side = side(147.0, Some(117.5), Some(176.3), 2.6);
        // 117.6 lies inside, though the limit rounds to 118; 150 needs no decimals.
        assert_eq!(band_beside(&side, 1.0, 117.6), "117.5 … 176.3");
        assert_eq!(band_beside(&side, 1.0, 150.0), "118 … 176");
    }
}
