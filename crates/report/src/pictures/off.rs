//! How far a reading lies from the nearest of its limits, in volts and in words.
//!
//! A reading and what should have been read come in; a distance goes out, positive beyond the limit. Which verdict
//! that is, is not asked here.

use circuit::{Reading, Shown};
use translate::{BenchSide, Compared, Verdict};
use units::decimals_for;

use crate::figures;

/// From how many times its limit on a reading is told so.
const TIMES: f64 = 1.15;

/// The distance from the nearest limit.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Off {
    /// Volts beyond the limit; negative inside of it.
    pub beyond: f64,
    limit: f64,
    is_upper: bool,
    read: f64,
    resolution: f64,
}

impl Off {
    /// Of a reading through a meter with these limits; none for an overrange and without limits.
    pub(super) fn of(reading: &Reading, side: &BenchSide) -> Option<Self> {
        let Shown::Value(figure) = &reading.shown else {
            return None;
        };
        let to = |limit: Option<f64>, sign: f64| {
            limit.map(|limit| Off {
                beyond: sign * (figure.value - limit),
                limit,
                is_upper: sign > 0.0,
                read: figure.value,
                resolution: figure.resolution,
            })
        };
        let both = [to(side.band.low, -1.0), to(side.band.high, 1.0)];
        let both = both.into_iter().flatten();
        both.max_by(|a, b| a.beyond.total_cmp(&b.beyond))
    }

    /// `12.4 V too positive`, `0.48 V too high, 1.9 × limit`, `1.2 V inside`; three digits at most, and no finer
    /// than the reading.
    pub(super) fn words(self) -> String {
        let exponent = match self.beyond.abs() {
            size if size > 0.0 => size.log10().floor(),
            _ => 0.0,
        };
        let decimals = (2.0 - exponent).clamp(0.0, decimals_for(self.resolution) as f64) as usize;
        let volts = figures::with_volts(&figures::decimal(self.beyond.abs(), decimals));
        if self.beyond <= 0.0 {
            return format!("{volts} inside");
        }
        let way = match (self.limit < 0.0 || self.read < 0.0, self.is_upper) {
            (true, true) => "too positive",
            (true, false) => "too negative",
            (false, true) => "too high",
            (false, false) => "too low",
        };
        let times = self.read / self.limit;
        match self.is_upper && self.limit > 0.0 && times.is_finite() && times >= TIMES {
            true => format!("{volts} {way}, {} ×\u{a0}limit", figures::short(times, 2)),
            false => format!("{volts} {way}"),
        }
    }
}

/// How bad a reading is: the verdict, then how far it lies beyond its limits in half widths of them, or in its
/// uncertainty where there is one limit only.
pub(super) fn badness(compared: &Compared, reading: &Reading) -> (u8, f64) {
    let verdict = match compared.judgement.verdict {
        Verdict::NotJudged => 0,
        Verdict::Pass => 1,
        Verdict::ConditionalPass => 2,
        Verdict::TooCoarse => 3,
        Verdict::ConditionalFail => 4,
        Verdict::Fail => 5,
    };
    let far = compared.expected.as_ref().and_then(|side| {
        let half = match (side.band.low, side.band.high) {
            (Some(low), Some(high)) => (high - low) / 2.0,
            _ => 0.0,
        };
        let measure = half.max(side.budget.expanded()).max(f64::MIN_POSITIVE);
        Off::of(reading, side).map(|off| off.beyond / measure)
    });
    let far = match reading.shown {
        Shown::Overrange => f64::INFINITY,
        Shown::Value(_) => far.unwrap_or(f64::NEG_INFINITY),
    };
    (verdict, far)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_way_and_the_volts_are_told() {
        let words = |read: f64, limit: f64, is_upper: bool, resolution: f64| {
            let sign = if is_upper { 1.0 } else { -1.0 };
            let beyond = sign * (read - limit);
            Off {
                beyond,
                limit,
                is_upper,
                read,
                resolution,
            }
            .words()
        };
        // By hand: −2.255 is 12.445 above −14.7; 38.53 is 14.33 above 24.2 and 1.59 times it.
        assert_eq!(words(-2.255, -14.7, true, 0.001), "12.4 V too positive");
        assert_eq!(words(-60.0, -55.3, false, 0.1), "4.7 V too negative");
        assert_eq!(
            words(38.53, 24.2, true, 0.01),
            "14.3 V too high, 1.6 ×\u{a0}limit"
        );
        assert_eq!(words(98.0, 121.0, false, 0.1), "23.0 V too low");
        assert_eq!(words(265.2, 264.0, false, 0.1), "1.2 V inside");
        assert_eq!(words(0.0, 0.0, true, 0.1), "0.0 V inside");
    }
}
