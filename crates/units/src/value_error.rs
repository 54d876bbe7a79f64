//! Why a text is not a value, the place of the fault, and what to write instead.
//!
//! A kind and a byte range come in from the parsers of this crate; message and help go out. Files
//! and lines are not known here: the caller adds the place of the cell.

use std::ops::Range;

use thiserror::Error;

use crate::Unit;

/// A text that could not be read as a value.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{kind}")]
pub struct ValueError {
    /// What is wrong, with the words and numbers concerned.
    pub kind: ValueErrorKind,
    /// The byte range of the fault in the text that was parsed, on character boundaries.
    pub span: Range<usize>,
}

impl ValueError {
    pub(crate) fn new(kind: ValueErrorKind, span: Range<usize>) -> ValueError {
        ValueError { kind, span }
    }

    /// What to write instead, where that can be said.
    pub fn help(&self) -> Option<String> {
        self.kind.help()
    }
}

/// The reasons why a text is not a value.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ValueErrorKind {
    /// Nothing but blanks.
    #[error("the value is missing")]
    Empty,
    /// No number at the place where one must begin.
    #[error("this is not a number")]
    NotANumber,
    /// The letters after the number are not a prefix or unit.
    #[error("`{word}` is not a known unit or prefix")]
    UnknownSuffix {
        /// The letters as typed.
        word: String,
        /// The nearest known suffix, if one is near.
        nearest: Option<String>,
    },
    /// The letters after the number have two meanings: old and new sheets differ.
    #[error("`{word}` can mean `{small}` or `{large}`")]
    AmbiguousSuffix {
        /// The letters as typed.
        word: String,
        /// The smaller reading.
        small: &'static str,
        /// The larger reading.
        large: &'static str,
    },
    /// A comma where a decimal point belongs.
    #[error("a comma is not a decimal point")]
    DecimalComma {
        /// The same text with a decimal point.
        suggestion: String,
    },
    /// A comma between thousands.
    #[error("thousands are written without a comma")]
    ThousandsComma {
        /// The same text without the commas.
        suggestion: String,
    },
    /// A comma that could be either, such as `1,500`.
    #[error("the comma may be a decimal point or part thousands")]
    UnclearComma {
        /// The text if the comma is a decimal point.
        decimal: String,
        /// The text if the comma separates thousands.
        thousands: String,
    },
    /// A unit that does not fit the place.
    #[error("{} were expected here, but this is in {}", .expected.plural_name(), .found.plural_name())]
    WrongUnit {
        /// The unit that was written.
        found: Unit,
        /// The unit that is expected.
        expected: Unit,
    },
    /// A percentage where a value with a unit belongs.
    #[error("{} were expected here, but this is a percentage", .expected.plural_name())]
    PercentOutOfPlace {
        /// The unit that is expected.
        expected: Unit,
    },
    /// Ohms per volt where a plain value belongs.
    #[error("{} were expected here, but this is a meter's ohms per volt", .expected.plural_name())]
    SensitivityOutOfPlace {
        /// The unit that is expected.
        expected: Unit,
    },
    /// "Open", "∞" and the like where a number is needed.
    #[error("`{word}` is not a number")]
    NoReading {
        /// The word as typed.
        word: String,
    },
    /// More than one number in the text.
    #[error("there are two numbers here, and only one belongs")]
    TwoNumbers,
    /// A tolerance letter of a resistor or capacitor, directly after the value.
    #[error("the letter `{letter}` at the end would be a tolerance of {percent}%")]
    ToleranceLetter {
        /// The letter as typed.
        letter: char,
        /// Its tolerance by IEC 60062, in percent.
        percent: f64,
        /// Value and tolerance written separately.
        suggestion: String,
    },
    /// Beyond the range of a number.
    #[error("the number is too large")]
    TooLarge,
    /// Not zero, but too small to be distinguished from it.
    #[error("the number is too small to be told from zero")]
    TooSmall,
    /// No percentage where one is expected.
    #[error("this is not a percentage")]
    BadPercent {
        /// How the number might be written, if there is one.
        suggestion: Option<String>,
    },
    /// A negative tolerance or share.
    #[error("a tolerance cannot be negative")]
    Negative {
        /// The same text without the sign.
        suggestion: String,
    },
    /// A tolerance with a plus sign only.
    #[error("a tolerance holds both ways, and this has a plus alone")]
    OneSided {
        /// The same text with plus and minus, if it has no second amount for the other side.
        suggestion: Option<String>,
    },
    /// A tolerance without `%` and without a unit.
    #[error("a tolerance needs `%` or a unit")]
    BareTolerance {
        /// As a percentage.
        percent: String,
        /// As an amount with a unit.
        absolute: String,
    },
    /// A lower limit above the upper one.
    #[error("the lower limit is above the upper one")]
    BadLimits {
        /// The limits the other way round.
        suggestion: String,
    },
    /// A prefix at one of two limits that may or may not apply to the other.
    #[error("it is not clear whether the prefix holds for both limits")]
    UnclearLimits {
        /// The text if it applies to both.
        both: String,
        /// The text if it applies only to its own limit.
        one: String,
    },
    /// A minus before the first of two limits that a dash separates.
    #[error("it is not clear whether the minus holds for both limits")]
    UnclearSign {
        /// The text if both are negative.
        negative: String,
        /// The text if only the first is negative.
        across: String,
    },
    /// `less than -2 V`, which may refer to the size or to the signed value.
    #[error("of a negative value it is not clear whether its size or the number itself is meant")]
    UnclearBound {
        /// The number as printed.
        number: String,
    },
    /// Marked as both alternating and direct.
    #[error("this is said to be alternating and direct at once")]
    BothKinds,
    /// A full scale of zero or less.
    #[error("the full scale of a range must be above zero")]
    RangeNotPositive,
    /// No "per volt" in a meter's sensitivity.
    #[error("a meter's sensitivity is written in ohms per volt")]
    NotPerVolt {
        /// How the number might be written, if there is one.
        suggestion: Option<String>,
    },
    /// A sensitivity of zero or less.
    #[error("a meter's sensitivity must be above zero")]
    NotPositive {
        /// The number found, in ohms per volt.
        value: f64,
    },
}

impl ValueErrorKind {
    /// What to write instead, where that can be said.
    fn help(&self) -> Option<String> {
        use ValueErrorKind as K;
        match self {
            K::Empty | K::NotANumber => {
                Some("write a number, with its unit if you like: `150 V`, `4.7k`".to_string())
            }
            K::UnknownSuffix { nearest, word } => Some(match nearest {
                Some(near) => format!("did you mean `{near}`?"),
                None if word.chars().all(|letter| matches!(letter, 'O' | 'o')) => {
                    "that is the letter O; write the digit `0`".to_string()
                }
                None => "write the number and its unit only: `150 V`, `4.7k`".to_string(),
            }),
            K::AmbiguousSuffix { small, large, .. } => {
                Some(format!("write `{small}` or `{large}`"))
            }
            K::DecimalComma { suggestion }
            | K::ThousandsComma { suggestion }
            | K::ToleranceLetter { suggestion, .. }
            | K::Negative { suggestion }
            | K::BadLimits { suggestion } => Some(format!("write `{suggestion}`")),
            K::OneSided { suggestion } => {
                let text = suggestion.as_deref().unwrap_or("±20%");
                Some(format!(
                    "write the same amount for both sides, such as `{text}`"
                ))
            }
            K::UnclearComma { decimal, thousands } => {
                Some(format!("write `{decimal}` or `{thousands}`"))
            }
            K::WrongUnit { expected, .. }
            | K::PercentOutOfPlace { expected }
            | K::SensitivityOutOfPlace { expected } => Some(format!(
                "write a value in {}, such as `{}`",
                expected.plural_name(),
                expected.example()
            )),
            K::NoReading { .. } => {
                Some("only a cell of ohms may say that there is no reading".to_string())
            }
            K::TwoNumbers => Some(
                "write one number without blanks inside it; limits are written `130..160 V`, \
                 and only as a tolerance"
                    .to_string(),
            ),
            K::TooLarge | K::TooSmall => Some("check the exponent and the prefix".to_string()),
            K::BadPercent { suggestion } => {
                let text = suggestion.as_deref().unwrap_or("10%");
                Some(format!("write it with a percent sign, such as `{text}`"))
            }
            K::BareTolerance { percent, absolute } => {
                Some(format!("write `{percent}` or `{absolute}`"))
            }
            K::UnclearLimits { both, one } => Some(format!("write `{both}` or `{one}`")),
            K::UnclearSign { negative, across } => {
                Some(format!("write `{negative}` or `{across}`"))
            }
            K::UnclearBound { number } => Some(format!("write `max {number}` or `min {number}`")),
            K::BothKinds => Some("leave one of the two out: `6.3 V AC` or `6.3 V DC`".to_string()),
            K::RangeNotPositive => Some("write it as `145 @250`".to_string()),
            K::NotPerVolt { suggestion } => {
                let text = suggestion.as_deref().unwrap_or("20k/V");
                Some(format!("write it per volt, such as `{text}`"))
            }
            K::NotPositive { .. } => Some("write it as `20k/V`".to_string()),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Figure;

    #[test]
    fn volts_where_ohms_belong_says_both() {
        let error = Figure::parse("150 V", Unit::Ohm).unwrap_err();
        assert_eq!(
            error.to_string(),
            "ohms were expected here, but this is in volts"
        );
        assert_eq!(error.span, 4..5);
        assert_eq!(
            error.help().as_deref(),
            Some("write a value in ohms, such as `4.7k`")
        );
    }
}
