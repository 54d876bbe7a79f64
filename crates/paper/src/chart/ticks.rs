//! Which values of an axis get a tick.

use super::Scale;

/// Values for the ticks of an axis, in rising order: steps of 1, 2 or 5 times a power of ten on a linear
/// scale; the decades on a logarithmic one, with 2 and 5 in between while there is room.
///
/// Gives at most `at_most` values (two are always allowed), and none if the ends make no scale.
#[must_use]
pub fn ticks(scale: Scale, low: f64, high: f64, at_most: usize) -> Vec<f64> {
    let at_most = at_most.clamp(2, 100);
    if !(low < high && (high - low).is_finite()) {
        return Vec::new();
    }
    match scale {
        Scale::Linear => linear(low, high, at_most),
        Scale::Logarithmic if low > 0.0 => logarithmic(low, high, at_most),
        Scale::Logarithmic => Vec::new(),
    }
}

fn linear(low: f64, high: f64, at_most: usize) -> Vec<f64> {
    let least = (high - low) / (at_most - 1).max(1) as f64;
    let power = 10_f64.powf(least.log10().floor());
    let step = [1.0, 2.0, 5.0, 10.0, 20.0]
        .map(|m| m * power)
        .into_iter()
        .find(|s| *s >= least * (1.0 - 1e-9));
    let Some(step) = step.filter(|s| s.is_finite() && *s > 0.0) else {
        return Vec::new();
    };
    // A tick that is meant to fall on an end must not be lost to rounding.
    let slack = 1e-9;
    let first = (low / step - slack).ceil();
    let last = (high / step + slack).floor();
    let count = (last - first + 1.0).clamp(0.0, at_most as f64) as usize;
    // The sum with zero turns a negative zero into a plain one.
    (0..count)
        .map(|n| (first + n as f64) * step + 0.0)
        .collect()
}

fn logarithmic(low: f64, high: f64, at_most: usize) -> Vec<f64> {
    let (first, last) = (low.log10().floor() as i32, high.log10().ceil() as i32);
    let within = |value: &f64| *value >= low * (1.0 - 1e-9) && *value <= high * (1.0 + 1e-9);
    let with = |between: &[f64], every: usize| -> Vec<f64> {
        let decades = (first..=last).step_by(every);
        decades
            .flat_map(|d| between.iter().map(move |m| m * 10_f64.powi(d)))
            .filter(within)
            .collect()
    };
    let fine = [with(&[1.0, 2.0, 5.0], 1), with(&[1.0, 3.0], 1)];
    if let Some(chosen) = fine
        .into_iter()
        .find(|ticks| ticks.len() <= at_most && ticks.len() >= 2)
    {
        // Once there are enough decades, ticks between them are clutter.
        let decades = with(&[1.0], 1);
        return if decades.len() >= 4 { decades } else { chosen };
    }
    (1..=64)
        .map(|every| with(&[1.0], every))
        .find(|ticks| ticks.len() <= at_most)
        .unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(got: &[f64], want: &[f64]) {
        assert_eq!(got.len(), want.len(), "{got:?}");
        for (g, w) in got.iter().zip(want) {
            // Products of small integers and powers of ten: a few units of the last place.
            assert!((g - w).abs() <= 1e-9 * w.abs().max(1.0), "{got:?}");
        }
    }

    #[test]
    fn steps_are_one_two_or_five() {
        close(
            &ticks(Scale::Linear, 0.0, 10.0, 6),
            &[0.0, 2.0, 4.0, 6.0, 8.0, 10.0],
        );
        close(
            &ticks(Scale::Linear, -0.3, 0.3, 7),
            &[-0.3, -0.2, -0.1, 0.0, 0.1, 0.2, 0.3],
        );
        close(&ticks(Scale::Linear, 3.0, 96.0, 5), &[50.0]);
        close(
            &ticks(Scale::Linear, 3.0, 96.0, 6),
            &[20.0, 40.0, 60.0, 80.0],
        );
    }

    #[test]
    fn decades_are_filled_while_there_is_room() {
        close(
            &ticks(Scale::Logarithmic, 1.0, 100.0, 8),
            &[1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0],
        );
        close(
            &ticks(Scale::Logarithmic, 1e3, 1e7, 8),
            &[1e3, 1e4, 1e5, 1e6, 1e7],
        );
        close(
            &ticks(Scale::Logarithmic, 1.0, 1e12, 5),
            &[1.0, 1e3, 1e6, 1e9, 1e12],
        );
    }

    #[test]
    fn ends_that_make_no_scale_give_no_ticks() {
        for (low, high) in [
            (1.0, 1.0),
            (2.0, 1.0),
            (f64::NAN, 1.0),
            (0.0, f64::INFINITY),
        ] {
            assert!(ticks(Scale::Linear, low, high, 5).is_empty());
        }
        assert!(ticks(Scale::Logarithmic, 0.0, 10.0, 5).is_empty());
    }
}
