//! `fed from a12: PS1 PS2`: how the statement is written.
//!
//! A line comes in; the words of its place and its supplies go out. What they name is checked with the drawing
//! as a whole ([`super::check`]).

use super::findings::Findings;
use super::lex::{listed, Line, Word};
use super::statement::Statement;

/// The first word of the statement.
pub(super) const FED: &str = "fed";

/// The word between the keyword and the place.
const FROM: &str = "from";

/// The statement of a line that begins with the word `first`.
pub(super) fn fed<'a>(line: &Line<'a>, first: &Word<'a>, findings: &mut Findings) -> Statement<'a> {
    let mut said = listed(line, first.text.len()).into_iter();
    let (from, place) = (said.next(), said.next());
    let supplies: Vec<Word<'a>> = said.collect();
    if let (Some(from), Some(place), false) = (from, place, supplies.is_empty()) {
        if from.is(FROM) {
            return Statement::Fed(place, supplies);
        }
    }
    findings.refuse(
        &first.bytes,
        "this statement names no place and supplies",
        "not complete",
        "write the place before a vibrator, an inverter or a primary, and the supplies behind it, such as \
         `fed from a12: PS1 PS2`",
    );
    Statement::Unreadable(Vec::new())
}
