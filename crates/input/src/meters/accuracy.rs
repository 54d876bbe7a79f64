//! A maker's statement of accuracy: `3% of full scale`, `0.05% + 3 counts`, `1% of reading`.
//!
//! Words come in, an [`Accuracy`] or a reported fault goes out.

use circuit::Accuracy;
use units::parse_percent;

use crate::diagnostic::Diagnostic;
use crate::settings::tree::Section;
use crate::values::Reported;
use crate::words::Words;

const HELP: &str = "write `3% of full scale`, `0.05% + 3 counts` or `1% of reading`";

/// The accuracy that a section states; `no_counts` where those of the display are not known, and `help`
/// says how to state them.
pub(super) fn stated(
    section: &Section<'_>,
    no_counts: bool,
    help: &str,
    out: &mut Vec<Diagnostic>,
) -> Result<Option<Accuracy>, Reported> {
    let Some(words) = section.words("accuracy", out)? else {
        return Ok(None);
    };
    let accuracy = parse(&words, out)?;
    let in_counts = matches!(accuracy, Accuracy::OfReading { counts, .. } if counts > 0.0);
    if in_counts && no_counts {
        let error = words.error("counts need the counts of the display");
        return Err(error.help(help).report(out));
    }
    Ok(Some(accuracy))
}

fn parse(words: &Words, out: &mut Vec<Diagnostic>) -> Result<Accuracy, Reported> {
    let text = words.text.as_str();
    let Some(sign) = text.find('%') else {
        let error = words.error("this is no statement of accuracy");
        return Err(error.help(HELP).report(out));
    };
    let percent = text.get(..=sign).unwrap_or(text);
    let unsigned = percent.trim_start_matches("+/-").trim_start_matches('±');
    let share = parse_percent(unsigned).map_err(|mut error| {
        let offset = percent.len() - unsigned.len();
        error.span = error.span.start + offset..error.span.end + offset;
        words.unreadable(&error, out)
    })?;
    let rest = text.get(sign + 1..).unwrap_or("");
    meaning(share, rest).ok_or_else(|| {
        let start = sign + 1 + (rest.len() - rest.trim_start().len());
        let message = format!("'{}' is not understood", rest.trim());
        let error = words.error_in(&(start..text.len()), message);
        error.help(HELP).report(out)
    })
}

/// The meaning of the text after the percent sign.
fn meaning(share: f64, rest: &str) -> Option<Accuracy> {
    let rest = rest.trim().to_lowercase();
    let of_full_scale = [
        "of full scale",
        "of fs",
        "full scale",
        "fs",
        "fsd",
        "of fsd",
    ];
    if of_full_scale.contains(&rest.as_str()) {
        return Some(Accuracy::OfFullScale(share));
    }
    let rest = rest
        .strip_prefix("of reading")
        .unwrap_or(&rest)
        .trim_start();
    let rest = rest.strip_prefix("rdg").unwrap_or(rest).trim_start();
    if rest.is_empty() {
        return Some(Accuracy::OfReading { share, counts: 0.0 });
    }
    let number = rest.strip_prefix('+')?.trim_start();
    let digits = number
        .find(|c: char| !c.is_ascii_digit())
        .unwrap_or(number.len());
    let (number, noun) = number.split_at_checked(digits)?;
    let counts: u32 = number.parse().ok()?;
    let nouns = ["count", "counts", "digit", "digits", "d", "dgt"];
    nouns.contains(&noun.trim()).then_some(Accuracy::OfReading {
        share,
        counts: f64::from(counts),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::source::SourceId;

    fn read(text: &str) -> Result<Accuracy, String> {
        let words = Words::new(SourceId(0), text, 0..text.len(), text);
        let mut out = Vec::new();
        parse(&words, &mut out).map_err(|Reported| out.remove(0).message)
    }

    #[test]
    fn statements_as_data_sheets_print_them() {
        assert_eq!(read("3% of full scale"), Ok(Accuracy::OfFullScale(0.03)));
        assert_eq!(read("±2 % fs"), Ok(Accuracy::OfFullScale(0.02)));
        let of_reading = |share, counts| Ok(Accuracy::OfReading { share, counts });
        assert_eq!(read("0.5% + 20 counts"), of_reading(0.005, 20.0));
        assert_eq!(read("1% of reading + 1 digit"), of_reading(0.01, 1.0));
        assert_eq!(read("1%"), of_reading(0.01, 0.0));
    }

    #[test]
    fn anything_else_is_refused() {
        for text in [
            "good",
            "x% + 3 counts",
            "1% + counts",
            "1% - 3 counts",
            "1% of range",
            "",
        ] {
            assert!(read(text).is_err(), "{text}");
        }
    }
}
