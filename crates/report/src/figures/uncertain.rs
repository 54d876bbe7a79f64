//! A value beside its expanded uncertainty U: both end at the same place.
//!
//! U has one or two significant digits (JCGM 100:2008, 7.2.6): two if the rule for carried values
//! leaves room for them, else one. One side of a translation comes in; text goes out. How U came
//! about is not known here.

use translate::BenchSide;
use units::round_to;

use super::{carried_decimals, decimal, digits, with_volts};

/// The last place that a value and its expanded uncertainty show, as a number of decimals; −1 is
/// tens. Without an uncertainty that is [`carried_decimals`].
pub(crate) fn place_beside(value: f64, expanded: f64, resolution: f64) -> i32 {
    let carried = i32::try_from(carried_decimals(value, resolution)).unwrap_or(0);
    if !expanded.is_finite() || expanded <= 0.0 {
        return carried;
    }
    let place = |digits: i32| last_of(expanded, digits);
    carried.min(place(2)).max(place(1))
}

/// The place of the last of one or two significant digits.
fn last_of(uncertainty: f64, digits: i32) -> i32 {
    // The exponent is taken after rounding, so that 0.996 counts as 1.0.
    let rounded = format!("{uncertainty:.*e}", usize::from(digits > 1));
    let exponent: Option<i32> = rounded.split_once('e').and_then(|(_, e)| e.parse().ok());
    digits - 1 - exponent.unwrap_or(0)
}

/// Volts with their standard deviation, `0.19 V ± 0.094 V`: two significant digits of it and as many of the volts, so
/// that a reader who divides a difference by it gets the number of standard deviations that is said beside it, within
/// a tenth.
pub(crate) fn with_sigma(volts: f64, standard: f64) -> String {
    if !standard.is_finite() || standard <= 0.0 {
        return with_volts(&digits(volts, 3));
    }
    let place = last_of(standard, 2);
    let [volts, standard] = [volts, standard].map(|volts| with_volts(&at_place(volts, place)));
    format!("{volts} ± {standard}")
}

/// The last place of what a meter should show.
pub(crate) fn last_place(side: &BenchSide, resolution: f64) -> i32 {
    place_beside(side.expected, side.budget.expanded(), resolution)
}

/// A number that ends at a place as [`last_place`] gives it.
pub(crate) fn at_place(value: f64, place: i32) -> String {
    match usize::try_from(place) {
        Ok(decimals) => decimal(value, decimals),
        Err(_) => decimal(round_to(value, 10f64.powi(-place)), 0),
    }
}

/// What a meter should show.
pub(crate) fn expected(side: &BenchSide, resolution: f64) -> String {
    at_place(side.expected, last_place(side, resolution))
}

/// Its expanded uncertainty; nothing where none is known.
pub(crate) fn uncertainty(side: &BenchSide, resolution: f64) -> String {
    let expanded = side.budget.expanded();
    match expanded.is_finite() && expanded > 0.0 {
        true => at_place(expanded, last_place(side, resolution)),
        false => String::new(),
    }
}

/// What a meter should show, with its expanded uncertainty where one is known: `12.3 ± 0.4`.
pub(crate) fn expected_within(side: &BenchSide, resolution: f64) -> String {
    let volts = expected(side, resolution);
    match uncertainty(side, resolution).as_str() {
        "" => volts,
        expanded => format!("{volts} ± {expanded}"),
    }
}

/// A value and its expanded uncertainty, both ending at the same place.
pub(crate) fn beside(value: f64, expanded: f64, resolution: f64) -> [String; 2] {
    let place = place_beside(value, expanded, resolution);
    [at_place(value, place), at_place(expanded, place)]
}

/// A side to try the rules on.
#[cfg(test)]
pub(super) mod trial {
    use translate::{Band, BenchSide, Budget};

    /// A side with this band; standard uncertainty `standard` and k = 2.
    pub(in crate::figures) fn side(
        expected: f64,
        low: Option<f64>,
        high: Option<f64>,
        standard: f64,
    ) -> BenchSide {
        BenchSide {
            meter: "10M".into(),
            range: circuit::MeterRange {
                full_scale: 200.0,
                input: None,
            },
            input_ohms: 10e6,
            expected,
            by_printed: 1.0,
            standard_alone: None,
            band_basis: translate::BandBasis::Manual,
            another_set: None,
            band: Band { low, high },
            budget: Budget {
                lines: Vec::new(),
                standard,
                coverage: 2.0,
            },
        }
    }
}

#[cfg(test)]
mod tests {
    use super::trial::side;
    use super::*;

    #[test]
    fn a_standard_deviation_has_two_digits_and_the_value_ends_with_it() {
        // By hand; 0.0996 counts as 0.10.
        for (volts, standard, want) in [
            (0.1904, 0.0941, "0.190 V ± 0.094 V"),
            (0.1904, 0.0996, "0.19 V ± 0.10 V"),
            (-30.13, 1.02, "−30.1 V ± 1.0 V"),
            (1182.0, 234.0, "1180 V ± 230 V"),
        ] {
            assert_eq!(with_sigma(volts, standard), want);
        }
    }

    #[test]
    fn a_value_ends_where_its_uncertainty_ends() {
        // By hand: at most two digits of U, at most the carried digits of the value, at least one
        // digit of U.
        for (value, resolution, standard, want) in [
            (146.94, 1.0, 2.6, ("147", "5")),
            (146.94, 1.0, 6.0, ("147", "12")),
            (146.94, 1.0, 61.7, ("150", "120")),
            (306.4, 1.0, 0.24, ("306.4", "0.5")),
            (1.3134, 0.1, 0.049, ("1.31", "0.10")),
            (1.3134, 0.1, 0.1, ("1.31", "0.20")),
            (1.3134, 0.1, 0.498, ("1.3", "1.0")),
            (1.3134, 0.1, 7.0, ("1", "14")),
            (-18.63, 0.1, 0.7, ("−18.6", "1.4")),
            (0.0, 1.0, 0.3, ("0.0", "0.6")),
            (0.0, 1.0, 0.7, ("0", "1")),
            (146.94, 1.0, 0.0, ("147", "")),
            (146.94, 1.0, f64::NAN, ("147", "")),
        ] {
            let side = side(value, None, None, standard);
            let got = (expected(&side, resolution), uncertainty(&side, resolution));
            assert_eq!((got.0.as_str(), got.1.as_str()), want, "{value} {standard}");
        }
    }
}
