//! A number as it stands on a sheet.

use serde::{Serialize, Serializer};
use units::fixed;

use crate::figures::{carried_decimals, decimal};

/// A value rounded to some decimals; none where it is not a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) struct Rounded {
    value: f64,
    decimals: usize,
}

impl Rounded {
    /// Rounded to so many decimals.
    pub(crate) fn to(value: f64, decimals: usize) -> Option<Self> {
        let value = value.is_finite().then(|| fixed(value, decimals))?;
        let value = value.parse().ok()?;
        Some(Rounded { value, decimals })
    }

    /// Rounded as a value carried over from one printed with this resolution.
    pub(crate) fn carried(value: f64, resolution: f64) -> Option<Self> {
        Self::to(value, carried_decimals(value, resolution))
    }

    /// For people, with the typographic minus.
    pub(crate) fn text(self) -> String {
        decimal(self.value, self.decimals)
    }

    /// For machines, with the ASCII minus.
    pub(crate) fn plain(self) -> String {
        fixed(self.value, self.decimals)
    }
}

impl Serialize for Rounded {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_f64(self.value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_number_is_rounded_once_and_written_both_ways() {
        let number = Rounded::carried(-0.8123, 0.1).unwrap();
        assert_eq!(
            (number.text(), number.plain()),
            ("−0.81".into(), "-0.81".into())
        );
        assert_eq!(serde_json::to_string(&number).unwrap(), "-0.81");
        assert!(Rounded::to(f64::INFINITY, 1).is_none());
    }
}
