//! Where a part's values end and its connections begin.
//!
//! The words after the colon come in; two lists of words go out. If the comma between them is
//! missing, that is reported, and the line is read as if it were there.

use super::findings::Findings;
use super::lex::Word;

/// Words that are written before `=` in connections and never in values.
const TERMINAL_WORDS: [&str; 21] = [
    "cw",
    "wiper",
    "ccw",
    "plus",
    "minus",
    "plate",
    "plate1",
    "plate2",
    "grid",
    "grid1",
    "grid2",
    "screen",
    "cathode",
    "diode1",
    "diode2",
    "anode",
    "emitter",
    "base",
    "collector",
    "drain",
    "gate",
];

/// Words before the two ends of a winding.
pub(super) const WINDINGS: [&str; 2] = ["primary", "secondary"];

/// The two halves of a part statement.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub(super) struct Halves<'a> {
    /// The words for its kind and values.
    pub values: Vec<Word<'a>>,
    /// Its connections, still with the commas between them.
    pub connections: Vec<Word<'a>>,
}

/// Splits the words after the colon. None if they cannot be split, which has been reported.
pub(super) fn split<'a>(body: &[Word<'a>], findings: &mut Findings) -> Option<Halves<'a>> {
    let comma = body.iter().position(|word| word.text == ",");
    let before = body.get(..comma.unwrap_or(body.len())).unwrap_or(body);
    let Some(start) = connections_within(before) else {
        return Some(Halves {
            values: before.to_vec(),
            connections: comma.map_or_else(Vec::new, |comma| body[comma + 1..].to_vec()),
        });
    };
    let first = &body[start];
    if first.text.contains(',') {
        findings.refuse(
            &first.bytes,
            format!("the comma in '{}' can be read in two ways", first.text),
            "end of the value, or part of it?",
            "write a decimal point, and a blank after a comma that ends the values",
        );
        return None;
    }
    // `R1: a to b` has no value; that is reported elsewhere, and a comma would not correct it.
    if start > 0 {
        findings.refuse(
            &first.bytes,
            format!("a comma is missing before '{}'", first.text),
            "connections begin here",
            "write a comma between the values and the connections",
        );
    }
    Some(Halves {
        values: body[..start].to_vec(),
        connections: body[start..].to_vec(),
    })
}

/// Where connections begin among words that should not contain any.
fn connections_within(words: &[Word<'_>]) -> Option<usize> {
    let terminal = words.windows(2).position(|pair| {
        // No option is named by a number, but a base pin is.
        let pin = pair[0].text.bytes().all(|byte| byte.is_ascii_digit());
        pair[1].text == "=" && (pin || TERMINAL_WORDS.iter().any(|known| pair[0].is(known)))
    });
    let link = words.iter().skip(1).position(|word| word.is("to"));
    let ends = link.map(|before| {
        let label = before.checked_sub(1).and_then(|at| words.get(at));
        let labelled = label.is_some_and(|word| WINDINGS.iter().any(|known| word.is(known)));
        before - usize::from(labelled)
    });
    match (terminal, ends) {
        (Some(a), Some(b)) => Some(a.min(b)),
        (a, b) => a.or(b),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::lex::words;

    fn halves(text: &str) -> (Option<(usize, usize)>, usize) {
        let (halves, found) = Findings::of_test(|findings| split(&words(text, 0), findings));
        let lengths = halves.map(|halves| (halves.values.len(), halves.connections.len()));
        (lengths, found.len())
    }

    #[test]
    fn the_first_comma_parts_values_and_connections() {
        assert_eq!(halves("220k 10%, a to b"), (Some((2, 3)), 0));
        assert_eq!(halves("220k"), (Some((1, 0)), 0));
        assert_eq!(halves("a to b"), (Some((0, 3)), 0));
    }

    #[test]
    fn a_forgotten_comma_is_found_by_what_follows() {
        assert_eq!(halves("220k a to b"), (Some((1, 3)), 1));
        assert_eq!(halves("9V plus=a, minus=b"), (Some((1, 7)), 1));
        assert_eq!(halves("6AQ5 1=grid2, 2=cath2"), (Some((1, 7)), 1));
        assert_eq!(halves("2N404 base=b, emitter=e"), (Some((1, 7)), 1));
        assert_eq!(
            halves("26:1 primary a to b, secondary c to d"),
            (Some((1, 9)), 1)
        );
        assert_eq!(halves("220,1 to b"), (None, 1));
    }
}
