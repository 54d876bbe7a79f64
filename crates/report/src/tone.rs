//! Colour for the few words that carry a warning, always beside the word itself.

use anstyle::{AnsiColor, Style};

/// How a word is meant.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Tone {
    /// As any other.
    #[default]
    Plain,
    /// Good news.
    Good,
    /// Bad news or danger.
    Bad,
}

impl Tone {
    /// The word in its colour, or as it is where colour is off.
    pub(crate) fn paint(self, word: &str, colour: bool) -> String {
        let style = match self {
            Tone::Plain => return word.to_owned(),
            Tone::Good => Style::new().fg_color(Some(AnsiColor::Green.into())),
            Tone::Bad => Style::new().fg_color(Some(AnsiColor::Red.into())).bold(),
        };
        if colour && !word.is_empty() {
            format!("{style}{word}{style:#}")
        } else {
            word.to_owned()
        }
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
