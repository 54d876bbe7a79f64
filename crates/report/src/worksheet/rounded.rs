//! A number as it stands on a sheet.

use serde::{Serialize, Serializer};
use translate::BenchSide;
use units::{fixed, round_to};

use crate::figures::{decimal, last_place};

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

    /// What a meter should show, rounded beside its uncertainty; the value was carried over from one
    /// printed with this resolution.
    pub(crate) fn expected(side: &BenchSide, resolution: f64) -> Option<Self> {
        Self::at(side.expected, last_place(side, resolution))
    }

    /// The expanded uncertainty beside that value; none where there is none.
    pub(crate) fn uncertainty(side: &BenchSide, resolution: f64) -> Option<Self> {
        let expanded = side.budget.expanded();
        let known = expanded.is_finite() && expanded > 0.0;
        known.then(|| Self::at(expanded, last_place(side, resolution)))?
    }

    fn at(value: f64, place: i32) -> Option<Self> {
        match usize::try_from(place) {
            Ok(decimals) => Self::to(value, decimals),
            Err(_) => Self::to(round_to(value, 10f64.powi(-place)), 0),
        }
    }

    /// The rounded number itself.
    pub(crate) fn value(self) -> f64 {
        self.value
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

#[cfg(feature = "schema")]
impl schemars::JsonSchema for Rounded {
    fn inline_schema() -> bool {
        true
    }

    fn schema_name() -> std::borrow::Cow<'static, str> {
        f64::schema_name()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        f64::json_schema(generator)
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
        let number = Rounded::to(-0.8123, 2).unwrap();
        assert_eq!(
            (number.text(), number.plain()),
            ("−0.81".into(), "-0.81".into())
        );
        assert_eq!(serde_json::to_string(&number).unwrap(), "-0.81");
        assert!(Rounded::to(f64::INFINITY, 1).is_none());
        assert_eq!(Rounded::at(146.9, -1).unwrap().plain(), "150");
    }
}
