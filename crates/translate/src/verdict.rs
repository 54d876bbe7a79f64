//! What is to be said of one reading.
//!
//! A reading, what it should have been with its uncertainty, and the width of the guard band come
//! in; a word and a probability go out. The words and the guard band are those of
//! ILAC-G8:09/2019, 4.2.3, the probability that of JCGM 106:2012, 7.2 to 7.4.

use circuit::Shown;

use crate::bench::BenchSide;
use crate::uncertainty::{conformance_probability, guarded, too_coarse, Conformity, Measured};

/// The word for a reading.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Verdict {
    /// Inside the band by more than the guard band.
    Pass,
    /// Inside, but not by more than the guard band.
    ConditionalPass,
    /// Outside, but not by more than the guard band.
    ConditionalFail,
    /// Outside by more than the guard band.
    Fail,
    /// The uncertainty is too large for so narrow a band: even the middle of it would not be
    /// known to lie inside.
    TooCoarse,
    /// The manual gives no value or tolerance for it, or the reading is an overrange that does
    /// not settle it.
    NotJudged,
}

impl Verdict {
    /// The word for it in output.
    pub fn word(self) -> &'static str {
        match self {
            Verdict::Pass => "pass",
            Verdict::ConditionalPass => "conditional pass",
            Verdict::ConditionalFail => "conditional fail",
            Verdict::Fail => "fail",
            Verdict::TooCoarse => "too coarse to decide",
            Verdict::NotJudged => "not judged",
        }
    }
}

/// A word, and the probability behind it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Judgement {
    /// The word.
    pub verdict: Verdict,
    /// Probability that the true value conforms; none where nothing is judged, or where an
    /// overrange leaves the value open.
    pub conformity: Option<f64>,
    /// Whether the reading itself lies outside the band, however well that is known.
    pub outside: bool,
}

impl Judgement {
    /// Whether the set has to be looked at for it: a reading outside the band, be it a fail, a
    /// conditional one, or too coarse to decide.
    pub fn is_finding(&self) -> bool {
        self.outside
    }

    /// No judgement.
    pub(crate) const NONE: Judgement = Judgement {
        verdict: Verdict::NotJudged,
        conformity: None,
        outside: false,
    };
}

impl From<Conformity> for Verdict {
    fn from(word: Conformity) -> Self {
        match word {
            Conformity::Pass => Verdict::Pass,
            Conformity::ConditionalPass => Verdict::ConditionalPass,
            Conformity::ConditionalFail => Verdict::ConditionalFail,
            Conformity::Fail => Verdict::Fail,
        }
    }
}

/// Judges a reading; the guard band is so many times its expanded uncertainty.
pub(crate) fn judge(shown: &Shown, side: &BenchSide, guard: f64) -> Judgement {
    if side.band.is_open() {
        return Judgement::NONE;
    }
    let width = guard * side.budget.expanded();
    match shown {
        Shown::Value(figure) => judge_value(figure.value, side, width),
        Shown::Overrange => {
            let verdict = overrange(side, width);
            Judgement {
                verdict,
                conformity: None,
                outside: verdict != Verdict::NotJudged,
            }
        }
    }
}

fn judge_value(value: f64, side: &BenchSide, width: f64) -> Judgement {
    let standard = side.budget.standard;
    let measured = Measured { value, standard };
    // Neither can fail for finite figures and an ordered band.
    let (Ok(word), Ok(conformity)) = (
        guarded(value, side.band, width),
        conformance_probability(measured, side.band),
    ) else {
        return Judgement::NONE;
    };
    let coarse = match (side.band.low, side.band.high) {
        (Some(low), Some(high)) => too_coarse((high - low) / 2.0, standard),
        _ => false,
    };
    // What lies outside by more than the guard band is a fail however coarse the meter.
    let verdict = match word {
        Conformity::Fail => Verdict::Fail,
        _ if coarse => Verdict::TooCoarse,
        word => word.into(),
    };
    Judgement {
        verdict,
        conformity: Some(conformity),
        outside: !side.band.holds(value),
    }
}

/// An overrange is more than full scale of either sign, for its sign is not recorded: a fail if
/// both directions lie outside the band.
fn overrange(side: &BenchSide, width: f64) -> Verdict {
    let beyond = |margin: f64| {
        let above = side
            .band
            .high
            .is_some_and(|high| high + margin < side.range.full_scale);
        let below = side
            .band
            .low
            .is_some_and(|low| low - margin > -side.range.full_scale);
        above && below
    };
    if beyond(width) {
        Verdict::Fail
    } else if beyond(0.0) {
        Verdict::ConditionalFail
    } else {
        Verdict::NotJudged
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::band::{Band, BandBasis};
    use crate::budget::Budget;
    use circuit::MeterRange;
    use units::{Figure, Unit};

    /// 100 V ± 20 V on a 200 V range, u = `standard`, k = 2.
    fn side(standard: f64) -> BenchSide {
        BenchSide {
            meter: "10M".into(),
            range: MeterRange {
                full_scale: 200.0,
                input: None,
            },
            input_ohms: 10e6,
            expected: 100.0,
            by_printed: 1.0,
            standard_alone: None,
            band_basis: BandBasis::Manual,
            another_set: None,
            band: Band {
                low: Some(80.0),
                high: Some(120.0),
            },
            budget: Budget {
                lines: Vec::new(),
                standard,
                coverage: 2.0,
            },
        }
    }

    fn word(text: &str, standard: f64, guard: f64) -> Verdict {
        let shown = Shown::Value(Figure::parse(text, Unit::Volt).unwrap());
        judge(&shown, &side(standard), guard).verdict
    }

    #[test]
    fn words_follow_the_guard_band() {
        // U = 5 V: the words change at 85, 80, 75 and 115, 120, 125 V (ILAC-G8:09/2019, 4.2.3).
        let words = ["74", "76", "81", "100", "116", "124", "126"].map(|v| word(v, 2.5, 1.0));
        use Verdict::{ConditionalFail as Cf, ConditionalPass as Cp, Fail, Pass};
        assert_eq!(words, [Fail, Cf, Cp, Pass, Cp, Cf, Fail]);
        // Simple acceptance.
        assert_eq!(["79", "81"].map(|v| word(v, 2.5, 0.0)), [Fail, Pass]);
    }

    #[test]
    fn a_coarse_meter_decides_only_what_is_far_off() {
        // 1.96 · 11 V > 20 V. Beyond 120 + 22 V it is a fail all the same.
        assert_eq!(word("100", 11.0, 1.0), Verdict::TooCoarse);
        assert_eq!(word("141", 11.0, 1.0), Verdict::TooCoarse);
        assert_eq!(word("143", 11.0, 1.0), Verdict::Fail);
        // 1.96 · 10 V < 20 V.
        assert_ne!(word("100", 10.0, 1.0), Verdict::TooCoarse);
    }

    #[test]
    fn findings_are_what_lies_outside() {
        let found = |text, standard| {
            let shown = Shown::Value(Figure::parse(text, Unit::Volt).unwrap());
            judge(&shown, &side(standard), 1.0).is_finding()
        };
        assert!(found("126", 2.5) && found("121", 2.5));
        assert!(!found("119", 2.5) && !found("100", 2.5));
        // Too coarse to decide, on either side of the limit; far outside it fails.
        assert!(!found("119", 15.0) && found("121", 15.0) && found("151", 15.0));
    }

    #[test]
    fn an_overrange_is_an_inequality() {
        let judged = |standard| judge(&Shown::Overrange, &side(standard), 1.0);
        assert_eq!(judged(2.5).verdict, Verdict::Fail);
        assert!(judged(2.5).conformity.is_none());
        // 120 + 2·41 V reaches beyond 200 V.
        assert_eq!(judged(41.0).verdict, Verdict::ConditionalFail);
        let mut open = side(2.5);
        open.band.high = None;
        assert_eq!(
            judge(&Shown::Overrange, &open, 1.0).verdict,
            Verdict::NotJudged
        );
    }

    #[test]
    fn half_the_limit_is_an_even_chance() {
        let shown = Shown::Value(Figure::parse("120", Unit::Volt).unwrap());
        let p = judge(&shown, &side(2.5), 1.0).conformity.unwrap();
        // The lower limit is 16 u away.
        assert!((p - 0.5).abs() < 1e-12);
    }
}
