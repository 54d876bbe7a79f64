//! Slips of the pen and of the typesetter: the values that a printed figure may have been meant to
//! show.
//!
//! A figure comes in, what it would read without the slip goes out. Whether that fits anything is
//! not known here.

use units::{Figure, Unit};

use crate::observation::Printed;

/// How far a decimal point is looked for, in digits either way. Beyond two it is a wrong unit
/// rather than a slip, and nearly any value would fit somewhere.
const DECIMAL_SHIFTS: [i32; 4] = [-2, -1, 1, 2];

/// The figure with each two unlike neighbours among its digits swapped.
pub(crate) fn swapped(figure: &Figure) -> Vec<Printed> {
    let letters: Vec<char> = figure.text.chars().collect();
    let digits: Vec<usize> = letters
        .iter()
        .enumerate()
        .skip_while(|(_, letter)| !letter.is_ascii_digit())
        .take_while(|(_, letter)| letter.is_ascii_digit() || **letter == '.')
        .filter(|(_, letter)| letter.is_ascii_digit())
        .map(|(place, _)| place)
        .collect();
    digits
        .windows(2)
        .filter(|pair| letters[pair[0]] != letters[pair[1]])
        .filter_map(|pair| {
            let mut other = letters.clone();
            other.swap(pair[0], pair[1]);
            // Nobody prints 54 as 054.
            let padded = other[digits[0]] == '0'
                && letters[digits[0]] != '0'
                && other.get(digits[0] + 1).is_some_and(char::is_ascii_digit);
            let text: String = other.into_iter().collect();
            let figure = Figure::parse(&text, Unit::Volt).ok()?;
            (!padded).then_some(Printed {
                value: figure.value,
                resolution: figure.resolution,
            })
        })
        .collect()
}

/// The figure with its decimal point elsewhere.
pub(crate) fn shifted(printed: Printed) -> Vec<Printed> {
    let by = |shift: &i32| Printed {
        value: printed.value * 10f64.powi(*shift),
        resolution: printed.resolution * 10f64.powi(*shift),
    };
    match printed.value.abs() > 0.0 {
        true => DECIMAL_SHIFTS.iter().map(by).collect(),
        false => Vec::new(),
    }
}

/// The figure with its sign turned.
pub(crate) fn negated(printed: Printed) -> Vec<Printed> {
    match printed.value.abs() > 0.0 {
        true => vec![Printed {
            value: -printed.value,
            ..printed
        }],
        false => Vec::new(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn values(printed: &[Printed]) -> Vec<f64> {
        printed.iter().map(|printed| printed.value).collect()
    }

    fn near(got: &[f64], want: &[f64]) -> bool {
        // A power of ten times a short number: off by the last bit at most.
        got.len() == want.len() && got.iter().zip(want).all(|(g, w)| (g - w).abs() < 1e-12)
    }

    fn of(text: &str) -> Vec<f64> {
        values(&swapped(&Figure::parse(text, Unit::Volt).unwrap()))
    }

    #[test]
    fn neighbours_are_swapped_over_the_point_too() {
        assert!(near(&of("145"), &[415.0, 154.0]));
        assert!(near(&of("-13.5 V"), &[-31.5, -15.3]));
        assert!(near(&of("0.35"), &[3.05, 0.53]));
        // 101 would be 011 the one way.
        assert!(near(&of("101"), &[110.0]));
        assert!(of("55").is_empty() && of("7").is_empty());
    }

    #[test]
    fn points_move_and_signs_turn() {
        let printed = Printed {
            value: 14.5,
            resolution: 0.1,
        };
        let moved = shifted(printed);
        assert!(near(&values(&moved), &[0.145, 1.45, 145.0, 1450.0]));
        assert!((moved[2].resolution - 1.0).abs() < 1e-12);
        assert!(near(&values(&negated(printed)), &[-14.5]));
        let zero = Printed {
            value: 0.0,
            resolution: 1.0,
        };
        assert!(shifted(zero).is_empty() && negated(zero).is_empty());
    }
}
