//! Colour for the few words that carry a warning, always beside the word itself.

use anstyle::{AnsiColor, Style};

/// How a word is meant. No two verdicts share a colour; each is written out besides.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Tone {
    /// As any other.
    #[default]
    Plain,
    /// Good news.
    Good,
    /// Good news with a reserve.
    Likely,
    /// Bad news with a reserve.
    Doubtful,
    /// Nothing can be said.
    Open,
    /// Bad news or danger.
    Bad,
    /// What matters, neither good nor bad.
    Strong,
}

impl Tone {
    /// The word in its colour, or as it is where colour is off.
    pub(crate) fn paint(self, word: &str, colour: bool) -> String {
        let ink = |ink: AnsiColor| Style::new().fg_color(Some(ink.into()));
        let style = match self {
            Tone::Plain => return word.to_owned(),
            Tone::Good => ink(AnsiColor::Green),
            Tone::Likely => ink(AnsiColor::Cyan),
            Tone::Doubtful => ink(AnsiColor::Magenta).bold(),
            Tone::Open => ink(AnsiColor::Yellow),
            Tone::Bad => ink(AnsiColor::Red).bold(),
            Tone::Strong => Style::new().bold(),
        };
        if colour && !word.is_empty() {
            format!("{style}{word}{style:#}")
        } else {
            word.to_owned()
        }
    }

    /// Whether it is set in bold where there are no colours.
    pub(crate) fn is_bold(self) -> bool {
        matches!(self, Tone::Bad | Tone::Doubtful | Tone::Strong)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn without_colour_nothing_is_added() {
        assert_eq!(Tone::Bad.paint("FAIL", false), "FAIL");
        let painted = Tone::Bad.paint("FAIL", true);
        assert!(painted.contains("FAIL") && painted.contains('\u{1b}'));
        assert_eq!(Tone::Plain.paint("x", true), "x");
    }
}
