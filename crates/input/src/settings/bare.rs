//! Values of `job.toml` without quotes: numbers within limits, true and false.
//!
//! A value comes in, with the condition that it must meet; the value or a diagnostic goes out. Its
//! purpose is not known here.

use crate::diagnostic::Diagnostic;
use crate::values::Reported;

use super::tree::Entry;

/// The condition for a number, and its wording.
pub(super) struct Wanted {
    /// Whether a finite number is allowed.
    pub fits: fn(f64) -> bool,
    /// Which numbers fit, in words: `a number from 0 to 1`.
    pub words: &'static str,
    /// A value to show as an example.
    pub example: &'static str,
}

impl Entry<'_> {
    /// The value as a number without a unit; quotes are allowed.
    pub(super) fn number_of(
        &self,
        wanted: &Wanted,
        out: &mut Vec<Diagnostic>,
    ) -> Result<f64, Reported> {
        let words = self.plain();
        // A bare number may have underscores between its digits, `1_000`.
        let read = words
            .as_ref()
            .and_then(|words| words.text.replace('_', "").parse::<f64>().ok())
            .filter(|number| number.is_finite() && (wanted.fits)(*number));
        read.ok_or_else(|| {
            let message = format!("{} was expected here", wanted.words);
            let help = format!("write `{} = {}`", self.key_as_toml(), wanted.example);
            let at_value = || self.error(&message);
            let error = words.map_or_else(at_value, |words| words.error(&message));
            error.help(help).report(out)
        })
    }

    pub(super) fn truth(&self, out: &mut Vec<Diagnostic>) -> Result<bool, Reported> {
        self.bool().ok_or_else(|| {
            let help = format!("write `{} = true`, without quotes", self.key_as_toml());
            let error = self.error("true or false was expected here");
            error.help(help).report(out)
        })
    }

    /// The key as it is written in a file: in quotes if it has blanks.
    fn key_as_toml(&self) -> String {
        let plain = |c: char| c.is_ascii_alphanumeric() || matches!(c, '-' | '_');
        match self.key.chars().all(plain) {
            true => self.key.to_owned(),
            false => format!("\"{}\"", self.key),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::settings::tree::parse;
    use crate::source::Sources;

    const SHARE: Wanted = Wanted {
        fits: |share| (0.0..=1.0).contains(&share),
        words: "a number from 0 to 1",
        example: "0.5",
    };

    /// The value that is read, and the messages.
    fn read<T>(
        value: &str,
        by: impl Fn(&Entry<'_>, &mut Vec<Diagnostic>) -> Result<T, Reported>,
    ) -> (Option<T>, Vec<String>) {
        let mut sources = Sources::default();
        let id = sources.add("job.toml", &format!("\"a b\" = {value}\n"));
        let tree = parse(&sources, id);
        let mut out = Vec::new();
        let got = tree
            .top()
            .entry("a b")
            .and_then(|entry| by(&entry, &mut out).ok());
        let said = out.into_iter().filter_map(|one| one.help).collect();
        (got, said)
    }

    #[test]
    fn a_number_within_its_limits_is_read_and_any_other_value_is_refused() {
        let number = |value: &str| read(value, |entry, out| entry.number_of(&SHARE, out));
        for (value, want) in [("1", 1.0), ("0.25", 0.25), ("\"0.5\"", 0.5), ("0_0", 0.0)] {
            let (got, said) = number(value);
            assert_eq!((got, said.len()), (Some(want), 0), "{value}");
        }
        for value in [
            "1.01", "-0.1", "nan", "inf", "true", "\"half\"", "[1]", "\"\"",
        ] {
            let (got, said) = number(value);
            assert_eq!(got, None, "{value}");
            assert_eq!(said, ["write `\"a b\" = 0.5`"], "{value}");
        }
    }

    #[test]
    fn truth_stands_without_quotes() {
        let truth = |value: &str| read(value, |entry, out| entry.truth(out));
        assert_eq!(truth("true").0, Some(true));
        assert_eq!(truth("false").0, Some(false));
        for value in ["\"true\"", "1"] {
            let (got, said) = truth(value);
            assert_eq!((got, said.len()), (None, 1), "{value}");
        }
    }
}
