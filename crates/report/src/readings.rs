//! Bench readings in words: what was read with what, the verdict, and how far from its limits.

use circuit::{Job, Quantity, Reading, Shown};
use translate::{BenchSide, Compared, Comparison, Verdict};
use units::decimals_for;

use crate::figures::{self, range};
use crate::tone::Tone;

/// A reading and what became of it.
pub(crate) type Taken<'a> = (&'a Compared, &'a Reading);

/// Readings with what became of them, in the job's order.
pub(crate) fn taken<'a>(
    job: &'a Job,
    comparison: &'a Comparison,
) -> impl Iterator<Item = Taken<'a>> {
    let each = comparison.readings.iter();
    each.filter_map(|compared| Some((compared, job.readings.get(compared.reading)?)))
}

/// The set and the date of some readings; empty where neither is noted.
pub(crate) fn caption(set: &str, date: &str) -> String {
    let set = match set {
        "" => String::new(),
        set => format!("Set {set}"),
    };
    let words = [set.as_str(), date].into_iter();
    let words: Vec<&str> = words.filter(|words| !words.is_empty()).collect();
    words.join(", ")
}

/// The verdict's word in a table, a bad one in capitals; cut short where it would not fit.
pub(crate) fn verdict(verdict: Verdict) -> (&'static str, Tone) {
    match verdict {
        Verdict::Pass => ("pass", Tone::Good),
        Verdict::ConditionalPass => ("cond. pass", Tone::Likely),
        Verdict::ConditionalFail => ("COND. FAIL", Tone::Doubtful),
        Verdict::Fail => ("FAIL", Tone::Bad),
        Verdict::TooCoarse => ("TOO COARSE", Tone::Open),
        Verdict::NotJudged => ("not judged", Tone::Plain),
    }
}

/// The verdict's word where there is room for it, a bad one in capitals.
pub(crate) fn whole_verdict(judged: Verdict) -> (&'static str, Tone) {
    let word = match judged {
        Verdict::ConditionalFail => "CONDITIONAL FAIL",
        Verdict::Fail => "FAIL",
        Verdict::TooCoarse => "TOO COARSE TO DECIDE",
        Verdict::Pass | Verdict::ConditionalPass | Verdict::NotJudged => judged.word(),
    };
    (word, verdict(judged).1)
}

/// What stood on the meter; `OL` for an overrange.
pub(crate) fn shown(shown: &Shown, quantity: Quantity) -> String {
    match (shown, quantity) {
        // No prefix is chosen by a zero; its column is in milliamperes.
        (Shown::Value(figure), Quantity::DcMilliamperes) if figure.value == 0.0 => {
            "0 mA".to_owned()
        }
        (Shown::Value(figure), quantity) => figures::in_table(figure, quantity),
        (Shown::Overrange, _) => "OL".to_owned(),
    }
}

/// `10M 200 V`; the range is left away where a meter lists none.
pub(crate) fn meter_and_range(compared: &Compared, reading: &Reading) -> String {
    if compared.quantity.is_some() {
        // Its volt ranges say nothing of how ohms or a current were read.
        return reading.meter.name.clone();
    }
    match bench_range(compared, reading) {
        Some(range) => format!("{} {range}", reading.meter.name),
        None => reading.meter.name.clone(),
    }
}

/// The range; none where a meter lists none and none was noted.
pub(crate) fn bench_range(compared: &Compared, reading: &Reading) -> Option<String> {
    let unknown = reading.meter.ranges.is_empty() && compared.range.assumed;
    let chosen = compared.range;
    (!unknown).then(|| range(chosen.range.full_scale, chosen.assumed))
}

/// How far a reading lies from the nearest of its limits.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Distance {
    /// Volts beyond the limit; negative inside of it.
    pub beyond: f64,
    /// The limit, in volts.
    pub limit: f64,
    /// Whether it is the upper one.
    pub upper: bool,
    /// The reading, in volts.
    pub read: f64,
    /// Whether the limits lie on both sides of zero, or one of them at it.
    pub about_zero: bool,
}

impl Distance {
    /// Of a reading from the limits as they are shown for a value of this resolution; none for an
    /// overrange and without limits.
    pub(crate) fn of(reading: &Reading, side: &BenchSide, resolution: f64) -> Option<Self> {
        let Shown::Value(figure) = &reading.shown else {
            return None;
        };
        let band = figures::shown_band(side, resolution, figure.value);
        let to = |limit: Option<f64>, upper: bool| {
            let limit = limit?;
            let sign = if upper { 1.0 } else { -1.0 };
            Some(Distance {
                beyond: sign * (figure.value - limit),
                limit,
                upper,
                read: figure.value,
                about_zero: band.low.is_some_and(|low| low <= 0.0),
            })
        };
        let both = [to(band.low, false), to(band.high, true)];
        let both = both.into_iter().flatten();
        both.max_by(|a, b| a.beyond.total_cmp(&b.beyond))
    }

    /// `12.4 V too positive`, `0.48 V too high, 1.9 × limit`, `1.2 V inside its upper limit`, `at its
    /// upper limit`; volts no finer than the reading.
    pub(crate) fn words(self, resolution: f64) -> String {
        let decimals = figures::three_digits(self.beyond).min(decimals_for(resolution));
        let which = if self.upper { "upper" } else { "lower" };
        if self.beyond == 0.0 {
            return format!("at its {which} limit");
        }
        // The last place of the reading; a distance below half of it is not nothing.
        let least = 10_f64.powi(-i32::try_from(decimals).unwrap_or(0));
        let volts = match self.beyond.abs() < least / 2.0 {
            true => format!("under {}", figures::decimal(least, decimals)),
            false => figures::decimal(self.beyond.abs(), decimals),
        };
        let volts = figures::with_volts(&volts);
        if self.beyond < 0.0 {
            return format!("{volts} inside its {which} limit");
        }
        let way = match (self.limit < 0.0 || self.read < 0.0, self.upper) {
            (true, true) => "too positive",
            (true, false) => "too negative",
            (false, true) => "too high",
            (false, false) => "too low",
        };
        format!("{volts} {way}{}", self.times())
    }

    /// `, 1.9 × limit` where that says more than the volts. Of limits on both sides of zero no multiple
    /// says anything.
    fn times(self) -> String {
        let times = self.read / self.limit;
        let says = self.limit > 0.0 && times.is_finite() && self.upper && times >= 1.15;
        match says && !self.about_zero {
            true => format!(", {} × limit", figures::short(times, 2)),
            false => String::new(),
        }
    }
}

/// What the meter should have shown, whatever was measured.
pub(crate) fn expected(compared: &Compared) -> Option<&BenchSide> {
    let apart = compared.quantity.as_ref().map(|(_, side)| &side.side);
    compared.expected.as_ref().or(apart)
}

/// How bad a reading is: worse verdicts first, and of one verdict what lies further out in half widths
/// of its limits, or in its uncertainty where there is one limit only.
pub(crate) fn badness((compared, reading): Taken<'_>) -> (u8, f64) {
    let far = expected(compared).and_then(|side| {
        let Shown::Value(figure) = &reading.shown else {
            return None;
        };
        let beyond = [
            side.band.low.map(|limit| limit - figure.value),
            side.band.high.map(|limit| figure.value - limit),
        ];
        let beyond = beyond.into_iter().flatten().max_by(f64::total_cmp)?;
        let half = match (side.band.low, side.band.high) {
            (Some(low), Some(high)) => (high - low) / 2.0,
            _ => 0.0,
        };
        let measure = half.max(side.budget.expanded()).max(f64::MIN_POSITIVE);
        Some(beyond / measure)
    });
    let far = match reading.shown {
        Shown::Overrange => f64::INFINITY,
        Shown::Value(_) => far.unwrap_or(f64::NEG_INFINITY),
    };
    (severity(compared.judgement.verdict), far)
}

/// Verdicts from the one that says nothing to the worst.
pub(crate) fn severity(verdict: Verdict) -> u8 {
    match verdict {
        Verdict::NotJudged => 0,
        Verdict::Pass => 1,
        Verdict::ConditionalPass => 2,
        Verdict::TooCoarse => 3,
        Verdict::ConditionalFail => 4,
        Verdict::Fail => 5,
    }
}

/// The worst first; readings that are equally bad in the order in which they came.
pub(crate) fn worst_first(readings: &mut [Taken<'_>]) {
    readings.sort_by(|a, b| {
        let (a, b) = (badness(*a), badness(*b));
        b.0.cmp(&a.0).then(b.1.total_cmp(&a.1))
    });
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_distance_says_how_far_and_which_way() {
        let words = |read: f64, limit: f64, upper: bool, resolution: f64| {
            let sign = if upper { 1.0 } else { -1.0 };
            let distance = Distance {
                beyond: sign * (read - limit),
                limit,
                upper,
                read,
                about_zero: false,
            };
            distance.words(resolution)
        };
        // −2.255 is 12.4 V above −14.7, 38.53 − 24.2 = 14.33 and 1.59 times it.
        assert_eq!(words(-2.255, -14.7, true, 0.001), "12.4 V too positive");
        assert_eq!(words(-60.0, -55.3, false, 0.1), "4.7 V too negative");
        assert_eq!(
            words(38.53, 24.2, true, 0.01),
            "14.3 V too high, 1.6 × limit"
        );
        assert_eq!(words(98.0, 121.0, false, 0.1), "23.0 V too low");
        assert_eq!(
            words(265.2, 264.0, false, 0.1),
            "1.2 V inside its lower limit"
        );
        assert_eq!(words(180.3, 180.19, true, 0.1), "0.1 V too high");
        // Less than half of the reading's last place is not nothing.
        assert_eq!(words(0.5, 0.498, true, 0.1), "under 0.1 V too high");
        assert_eq!(
            words(0.5, 0.502, true, 0.1),
            "under 0.1 V inside its upper limit"
        );
        assert_eq!(words(0.0, 0.0, true, 0.01), "at its upper limit");
    }

    #[test]
    fn what_was_not_judged_is_never_the_worst() {
        let order = [
            Verdict::NotJudged,
            Verdict::Pass,
            Verdict::ConditionalPass,
            Verdict::TooCoarse,
            Verdict::ConditionalFail,
            Verdict::Fail,
        ];
        assert!(order.map(severity).is_sorted());
    }
}
