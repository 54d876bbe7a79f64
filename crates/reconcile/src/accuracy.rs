//! A meter's permitted error in volts.
//!
//! The maker's statement and what the meter shows come in, a half-width goes out. Whether the
//! meter still keeps to it is not known here.

use circuit::Accuracy;
use thiserror::Error;

/// Why no permitted error can be given.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
pub enum AccuracyError {
    /// Counts are stated, but not how many the display has.
    #[error("{counts} counts of accuracy, but the number of counts of the display is not known")]
    NoCounts {
        /// The counts of the accuracy.
        counts: f64,
    },
    /// No range to take a share of.
    #[error("a full scale of {full_scale} V is no range")]
    FullScale {
        /// The full scale in volts.
        full_scale: f64,
    },
}

/// Greatest permitted error, in volts, of a meter that shows `reading` volts on a range of
/// `full_scale` volts; `display` is the number of counts of a digital display.
///
/// A pointer meter's class is a share of full scale, the same in volts anywhere on the scale
/// (class index of IEC 60051-1); a digital meter's two parts are added up (JCGM 100:2008, 4.3.7
/// Example 2). The result is the half-width of a rectangular spread (F.2.4.2).
///
/// # Errors
/// [`AccuracyError`] where a needed number is missing or not positive.
pub fn accuracy_half_width(
    accuracy: Accuracy,
    reading: f64,
    full_scale: f64,
    display: Option<u32>,
) -> Result<f64, AccuracyError> {
    if !(full_scale > 0.0 && full_scale.is_finite()) {
        return Err(AccuracyError::FullScale { full_scale });
    }
    match accuracy {
        // a = class/100 · full scale
        Accuracy::OfFullScale(share) => Ok(share * full_scale),
        // a = p/100 · |reading| + n · (full scale / counts)
        Accuracy::OfReading { share, counts } => {
            let one_count = match display {
                Some(display) if display > 0 => full_scale / f64::from(display),
                _ if counts == 0.0 => 0.0,
                _ => return Err(AccuracyError::NoCounts { counts }),
            };
            Ok(share * reading.abs() + counts * one_count)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn counts_without_a_display_are_an_error_and_no_counts_are_none() {
        let stated = |counts| Accuracy::OfReading {
            share: 0.01,
            counts,
        };
        let error = accuracy_half_width(stated(2.0), 5.0, 10.0, None);
        assert_eq!(error, Err(AccuracyError::NoCounts { counts: 2.0 }));
        // 1 % of 5 V, by hand.
        let alone = accuracy_half_width(stated(0.0), -5.0, 10.0, None).unwrap();
        assert!((alone - 0.05).abs() < 1e-12);
        assert!(accuracy_half_width(stated(0.0), 5.0, 0.0, None).is_err());
    }
}
