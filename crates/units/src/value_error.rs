//! Why a text is no value, where in it the trouble sits, and what to write instead.
//!
//! The parsers of this crate put a kind and a byte range in; message and help go out. It knows nothing
//! of files and lines: the caller adds the place of the cell.

use std::ops::Range;

use thiserror::Error;

use crate::Unit;

/// A text that could not be read as a value.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{kind}")]
pub struct ValueError {
    /// What is wrong, with the words and numbers concerned.
    pub kind: ValueErrorKind,
    /// The byte range of the trouble inside the text that was handed in, on character boundaries.
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

/// The ways in which a text fails to be a value.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum ValueErrorKind {
    /// Nothing but blanks.
    #[error("the value is missing")]
    Empty,
    /// No number at the place where one must begin.
    #[error("this is not a number")]
    NotANumber,
    /// The letters behind the number are no prefix or unit.
    #[error("`{word}` is not a known unit or prefix")]
    UnknownSuffix {
        /// The letters as typed.
        word: String,
        /// The nearest known suffix, if one is near.
        nearest: Option<String>,
    },
    /// The letters behind the number have two meanings, and old and new sheets differ.
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
        /// The text if the comma parts thousands.
        thousands: String,
    },
    /// A unit that does not fit the place.
    #[error("{} were expected here, but this is in {}", .expected.plural_name(), .found.plural_name())]
    WrongUnit {
        /// The unit that was written.
        found: Unit,
        /// The unit that the place wants.
        expected: Unit,
    },
    /// A percentage where a value with a unit belongs.
    #[error("{} were expected here, but this is a percentage", .expected.plural_name())]
    PercentOutOfPlace {
        /// The unit that the place wants.
        expected: Unit,
    },
    /// Ohms per volt where a plain value belongs.
    #[error("{} were expected here, but this is a meter's ohms per volt", .expected.plural_name())]
    SensitivityOutOfPlace {
        /// The unit that the place wants.
        expected: Unit,
    },
    /// "Open", "∞" and the like, where a number is needed.
    #[error("`{word}` is not a number")]
    NoReading {
        /// The word as typed.
        word: String,
    },
    /// More than one number in the text.
    #[error("there are two numbers here, and only one belongs")]
    TwoNumbers,
    /// A letter that a resistor or capacitor carries for its tolerance, run on to the value.
    #[error("the letter `{letter}` at the end would be a tolerance of {percent}%")]
    ToleranceLetter {
        /// The letter as typed.
        letter: char,
        /// What IEC 60062 makes of it, in percent.
        percent: f64,
        /// Value and tolerance written apart.
        suggestion: String,
    },
    /// Beyond the range of a number.
    #[error("the number is too large")]
    TooLarge,
    /// Not zero, yet too small to be told from it.
    #[error("the number is too small to be told from zero")]
    TooSmall,
    /// No percentage where one belongs.
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
    /// A tolerance with a plus alone.
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
    /// A prefix at one end of a pair of limits that may or may not hold for the other end.
    #[error("it is not clear whether the prefix holds for both limits")]
    UnclearLimits {
        /// If it holds for both.
        both: String,
        /// If it holds only where it stands.
        one: String,
    },
    /// A minus before the first of two limits that a dash parts.
    #[error("it is not clear whether the minus holds for both limits")]
    UnclearSign {
        /// If both are negative.
        negative: String,
        /// If only the first is.
        across: String,
    },
    /// `less than -2 V`, by size or by the number line.
    #[error("of a negative value it is not clear whether its size or the number itself is meant")]
    UnclearBound {
        /// The number as printed.
        number: String,
    },
    /// Said to be alternating and direct at once.
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
