//! Shares of a whole: percent, probabilities, deviations.
//!
//! A share or a percentage comes in; text without the percent sign goes out. What it is a share of
//! is not known here.

use super::decimal;

/// A change or deviation of more than this is only said to be more.
const MOST_PERCENT: f64 = 999.5;

/// A probability in percent without the sign: `87`, and `>99` or `<1` rather than a certainty.
pub(crate) fn probability(share: f64) -> String {
    let percent = share * 100.0;
    if percent >= 99.5 {
        ">99".to_owned()
    } else if percent < 0.5 {
        "<1".to_owned()
    } else {
        decimal(percent, 0)
    }
}

/// A share of the whole in percent without the sign, to be read beside others: `43`, `0.4`, `<0.1`.
pub(crate) fn share(part: f64) -> String {
    let text = percent(part * 100.0);
    match text.as_str() {
        "0.0" if part > 0.0 => "<0.1".to_owned(),
        _ => text,
    }
}

/// Percent without the sign: whole from ten on, one decimal below.
pub(crate) fn percent(value: f64) -> String {
    decimal(value, usize::from(value.abs() < 9.95))
}

/// Percent with an explicit plus, for a change or a deviation. Beyond a thousand the number says
/// nothing but that there was next to nothing to compare with.
pub(crate) fn signed_percent(value: f64) -> String {
    if value.abs() >= MOST_PERCENT {
        let sign = if value > 0.0 { ">" } else { "<\u{2212}" };
        return format!("{sign}999");
    }
    let text = percent(value);
    let is_zero = text.chars().all(|c| matches!(c, '0' | '.'));
    if value > 0.0 && !is_zero && text != "—" {
        format!("+{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn probabilities_are_never_certain_and_shares_never_nothing() {
        let got = [0.0, 0.004, 0.006, 0.5, 0.994, 0.996, 1.0].map(probability);
        assert_eq!(got, ["<1", "<1", "1", "50", "99", ">99", ">99"]);
        assert_eq!(
            [0.43, 0.031, 0.0001, 0.0].map(share),
            ["43", "3.1", "<0.1", "0.0"]
        );
    }

    #[test]
    fn percent_with_one_or_two_digits() {
        for (value, want) in [
            (-26.7, "−27"),
            (-4.32, "−4.3"),
            (9.96, "10"),
            (-0.04, "0.0"),
            (123.4, "123"),
        ] {
            assert_eq!(percent(value), want, "{value}");
        }
        assert_eq!(signed_percent(3.42), "+3.4");
        assert_eq!(signed_percent(0.01), "0.0");
        assert_eq!(signed_percent(2.3e7), ">999");
        assert_eq!(signed_percent(-1000.0), "<\u{2212}999");
        assert_eq!(signed_percent(999.4), "+999");
        assert_eq!(signed_percent(-3.42), "−3.4");
    }
}
