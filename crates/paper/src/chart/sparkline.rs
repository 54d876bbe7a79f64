//! A row of numbers as a row of letters.
//!
//! What it owns: the letters for eight heights. What comes in: numbers. What goes out: one line of text with a
//! letter for each number. Not known here: the terminal.

/// Which letters are used.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Sparks {
    /// Block elements of rising height.
    #[default]
    Blocks,
    /// Letters of the oldest code only.
    Ascii,
}

/// One letter for each value, from the lowest to the highest of them; a value that is not finite leaves a gap.
///
/// Values that are all alike stand at half height.
#[must_use]
pub fn sparkline(values: &[f64], sparks: Sparks) -> String {
    let letters = match sparks {
        Sparks::Blocks => ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'],
        Sparks::Ascii => ['_', '.', ':', '-', '=', '+', '*', '#'],
    };
    let sound = values.iter().copied().filter(|value| value.is_finite());
    let (low, high) = sound.fold((f64::INFINITY, f64::NEG_INFINITY), |(l, h), v| {
        (l.min(v), h.max(v))
    });
    let letter = |value: f64| {
        if !value.is_finite() {
            return ' ';
        }
        // Halving first keeps the difference of two huge numbers finite.
        let range = high / 2.0 - low / 2.0;
        let part = if range > 0.0 {
            (value / 2.0 - low / 2.0) / range
        } else {
            0.5
        };
        let step = (part * 7.0).round().clamp(0.0, 7.0) as usize;
        letters.get(step).copied().unwrap_or(' ')
    };
    values.iter().map(|value| letter(*value)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn eight_steps_use_eight_letters() {
        let steps: Vec<f64> = (0..8).map(f64::from).collect();
        assert_eq!(sparkline(&steps, Sparks::Blocks), "▁▂▃▄▅▆▇█");
        assert_eq!(sparkline(&steps, Sparks::Ascii), "_.:-=+*#");
    }

    #[test]
    fn gaps_and_flat_lines_are_plain() {
        assert_eq!(sparkline(&[1.0, f64::NAN, 1.0], Sparks::Ascii), "= =");
        assert_eq!(sparkline(&[], Sparks::Blocks), "");
        assert_eq!(sparkline(&[f64::MIN, f64::MAX], Sparks::Ascii), "_#");
    }
}
