//! Round ends of a scale that holds some values.

use crate::figures;

/// Steps of a scale, about.
const STEPS: f64 = 5.0;

/// Both ends, and the words for them, the unit behind the second. A scale of one sign that comes near to zero
/// begins there.
pub(super) fn round_scale(values: &[f64]) -> Option<((f64, f64), [String; 2])> {
    let finite = || values.iter().copied().filter(|value| value.is_finite());
    let (low, high) = finite().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), value| {
        (low.min(value), high.max(value))
    });
    if low > high {
        return None;
    }
    let low = if low >= 0.0 && low <= 0.6 * high {
        0.0
    } else {
        low
    };
    let high = if high <= 0.0 && high >= 0.6 * low {
        0.0
    } else {
        high
    };
    let span = match high - low {
        span if span > 0.0 => span,
        _ => low.abs().max(1.0) * 0.2,
    };
    let step = round_step(span / STEPS);
    // A value right at an end would be half a mark beyond it.
    let room = 0.04 * span;
    let from = match low == 0.0 {
        true => 0.0,
        false => ((low - room) / step).floor() * step,
    };
    let to = match high == 0.0 && low < 0.0 {
        true => 0.0,
        false => ((high + room) / step).ceil() * step,
    };
    let words = |value: f64| figures::short(without_float_error(value), 4);
    Some(((from, to), [words(from), figures::with_volts(&words(to))]))
}

/// 1, 2 or 5 times a power of ten, no less than asked for.
fn round_step(least: f64) -> f64 {
    let power = 10f64.powf(least.log10().floor());
    let fits = |times: &f64| times * power >= least * (1.0 - 1e-9);
    [1.0, 2.0, 5.0].into_iter().find(fits).unwrap_or(10.0) * power
}

/// Without the last digits of a float, which a sum of steps leaves behind.
fn without_float_error(value: f64) -> f64 {
    format!("{value:.9e}").parse::<f64>().unwrap_or(value) + 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ends_are_round_and_hold_every_value() {
        // By hand: a fifth of the span, rounded up to 1, 2 or 5, is the step; ends at its multiples.
        for (values, want) in [
            (&[-18.4, -22.1, -14.7, -2.26][..], ["−25", "0 V"]),
            (&[0.359, 0.29, 0.43, 0.987], ["0", "1.2 V"]),
            (&[264.0, 319.0, 290.0, 265.2], ["260", "340 V"]),
            (&[0.0], ["0", "0.05 V"]),
        ] {
            let ((low, high), words) = round_scale(values).unwrap();
            assert!(
                values.iter().all(|v| *v >= low && *v <= high),
                "{low} {high}"
            );
            assert!(low < high);
            assert_eq!(words, want);
        }
        assert!(round_scale(&[]).is_none() && round_scale(&[f64::NAN]).is_none());
    }
}
