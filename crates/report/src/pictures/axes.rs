//! Words for the ticks of an axis.
//!
//! What it owns: how a round number reads on an axis. What comes in: the number. What goes out: its words.
//! Not known here: where ticks stand.

use paper::{ticks, Scale};
use units::Unit;

use crate::figures;

/// About as many ticks as an upright axis gets.
const MOST_TICKS: usize = 8;

/// `1 kΩ`, `500 kΩ`, `10 MΩ`.
pub(crate) fn ohms_tick(ohms: f64) -> String {
    figures::stated(rounded(ohms), Unit::Ohm)
}

/// `150`, `−0.5`: a round number as it is.
fn volts_tick(volts: f64) -> String {
    figures::short(rounded(volts), 6)
}

/// `0.5`, `1.0`, `1.5`: the ticks between two ends, all with the decimals of the finest.
pub(crate) fn volts_ticks((low, high): (f64, f64)) -> impl Fn(f64) -> String {
    let behind = |word: &str| word.find('.').map_or(0, |at| word.len() - at - 1);
    let marked = ticks(Scale::Linear, low, high, MOST_TICKS);
    let words = marked.iter().map(|volts| volts_tick(*volts));
    let decimals = words.map(|word| behind(&word)).max().unwrap_or(0);
    move |volts| figures::decimal(volts, decimals)
}

/// Without the last digits of a float, which a sum of steps leaves behind.
fn rounded(value: f64) -> f64 {
    format!("{value:.6e}").parse().unwrap_or(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_short() {
        assert_eq!(
            [1e3, 500_000.000_000_1, 1e7, 1e9].map(ohms_tick),
            ["1 kΩ", "500 kΩ", "10 MΩ", "1 GΩ"]
        );
        let got = [0.30000000000000004, -0.5, 150.0, 0.0].map(volts_tick);
        assert_eq!(got, ["0.3", "−0.5", "150", "0"]);
        let words = volts_ticks((0.0, 1.6));
        assert_eq!([0.0, 1.0, 1.5].map(words), ["0.0", "1.0", "1.5"]);
    }
}
