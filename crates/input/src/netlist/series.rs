//! `heaters in series: V5 V4 V2 V1 V3`: how the statement is written.
//!
//! A line comes in; the words of its members go out. What they name is checked with the drawing as a
//! whole ([`super::check`]).

use super::findings::Findings;
use super::lex::{listed, Line, Word};
use super::statement::Statement;

/// The first word of the statement, and that of a set with battery tubes.
pub(super) const HEATERS: &str = "heaters";
pub(super) const FILAMENTS: &str = "filaments";

/// The words between the keyword and the members. They tell heaters in series from heaters side by side, which need no
/// statement, so they cannot be left out.
const HOW: [&str; 2] = ["in", "series"];

/// The statement of a line that begins with `keyword`, perhaps misspelt, as its word `first`.
pub(super) fn heaters<'a>(
    line: &Line<'a>,
    first: &Word<'a>,
    keyword: &str,
    findings: &mut Findings,
) -> Statement<'a> {
    let said = listed(line, first.text.len());
    let in_series =
        said.len() >= HOW.len() && HOW.iter().zip(&said).all(|(how, word)| word.is(how));
    if in_series {
        return Statement::Heaters(first.clone(), said[HOW.len()..].to_vec());
    }
    let message = format!("'{}' is not followed by 'in series'", first.text);
    let help = format!(
        "write it out, such as `{keyword} in series: V3 V2 V1`; heaters side by side need no statement"
    );
    let label = "'in series' belongs after this";
    findings.refuse(&first.bytes, message, label, help);
    // Whether it is a string at all is not known, so nothing is said of its members.
    Statement::Unreadable(Vec::new())
}
