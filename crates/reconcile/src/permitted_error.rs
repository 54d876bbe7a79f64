//! The permitted error of a meter on a range, and whether it is stated or assumed.
//!
//! A meter, a range and a reading come in, a half-width in volts goes out. A meter that states no
//! accuracy has that of the built-in class of its kind, and the answer says that it was assumed.

use circuit::{meter_by_name, Accuracy, Meter, MeterRange, SpreadBasis};

use crate::accuracy::{accuracy_half_width, AccuracyError};

/// The limits of a meter's error.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PermittedError {
    /// Half of the distance between the limits, in volts.
    pub half_width: f64,
    /// Whether the meter states its accuracy, or that of a class of its kind is used.
    pub basis: SpreadBasis,
}

/// Limits of the error of a meter that shows so many volts on a range.
///
/// # Errors
/// [`AccuracyError`] where the range has no full scale, or counts are stated without a display.
pub fn permitted_error(
    meter: &Meter,
    range: MeterRange,
    volts: f64,
) -> Result<PermittedError, AccuracyError> {
    let (accuracy, counts, basis) = match meter.accuracy {
        Some(accuracy) => (accuracy, meter.counts, SpreadBasis::Stated),
        None => {
            let (accuracy, counts) = of_its_kind(meter);
            (accuracy, counts, SpreadBasis::Assumed)
        }
    };
    Ok(PermittedError {
        half_width: accuracy_half_width(accuracy, volts, range.full_scale, counts)?,
        basis,
    })
}

/// The accuracy of the digital or the pointer class.
fn of_its_kind(meter: &Meter) -> (Accuracy, Option<u32>) {
    let name = if meter.counts.is_some() {
        "10M"
    } else {
        "20k/V"
    };
    let class = meter_by_name(name);
    let accuracy = class.as_ref().and_then(|class| class.accuracy);
    let counts = meter.counts.or(class.and_then(|class| class.counts));
    (accuracy.unwrap_or(Accuracy::OfFullScale(0.0)), counts)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_meter_without_an_accuracy_has_that_of_its_kind_and_says_so() {
        for name in ["1k/V", "20k/V", "10M"] {
            let stated = meter_by_name(name).unwrap();
            let mut silent = stated.clone();
            silent.accuracy = None;
            let range = stated.range_for(8.0).unwrap();
            let one = permitted_error(&stated, range, 8.0).unwrap();
            let other = permitted_error(&silent, range, 8.0).unwrap();
            assert_eq!(one.basis, SpreadBasis::Stated);
            assert_eq!(other.basis, SpreadBasis::Assumed);
            // The same operations on the same numbers.
            assert!((one.half_width - other.half_width).abs() < 1e-15, "{name}");
        }
    }
}
