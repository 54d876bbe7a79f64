//! The kind of statement of a line: a title, a reference, heaters in series, fed supplies, or the entry of
//! a part or test point.
//!
//! A line comes in; a statement goes out, or the words of a line that is none of these. A missing
//! colon and a misspelt keyword are reported and corrected; values are not read here.

use super::class;
use super::designator::{class_letters, is_test_point};
use super::feeds::{self, FED};
use super::findings::Findings;
use super::lex::{words, Line, Word};
use super::series::{self, FILAMENTS, HEATERS};
use crate::nearest::nearest;

/// A line's statement.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Statement<'a> {
    /// `title …`: its keyword and the text after it, which may be empty.
    Title(Word<'a>, &'a str),
    /// `ground NODE …`: its keyword and the nodes.
    Ground(Word<'a>, Vec<Word<'a>>),
    /// `heaters in series: V3 V2 V1`: its keyword and the members.
    Heaters(Word<'a>, Vec<Word<'a>>),
    /// `fed from a12: PS1 PS2`: the place and the supplies.
    Fed(Word<'a>, Vec<Word<'a>>),
    /// `R7: …`: the designation and the words after the colon.
    Entry(Word<'a>, Vec<Word<'a>>),
    /// A line that is not a statement, which has been reported; its words may name nodes.
    Unreadable(Vec<Word<'a>>),
}

/// The forms of a line, for help.
const FORMS: &str = "a line is `title TEXT`, `ground NODE`, `heaters in series: V3 V2 V1`, `fed from \
                     a12: PS1`, a part such as `R1: 220k, a to b`, or a test point such as `TP1: a`";

const KEYWORDS: [&str; 5] = ["title", "ground", HEATERS, FILAMENTS, FED];

pub(super) fn statement<'a>(line: &Line<'a>, findings: &mut Findings) -> Statement<'a> {
    let start = line.bytes.start;
    let end = line.text.find(|c: char| c.is_whitespace() || c == ':');
    let first = word(line, 0, end.unwrap_or(line.text.len()));
    if let Some(found) = keyword(line, &first, findings) {
        return found;
    }
    let head = line.text.split(':').next().unwrap_or("").trim_end();
    let tail = |from: usize| words(line.text.get(from..).unwrap_or(""), start + from);
    let colon = line.text.find(':');
    if let (Some(colon), true) = (colon, head == first.text) {
        return entry(first, tail(colon + 1), findings);
    }
    if let (Some(colon), Some(number)) = (colon, spaced_designator(head)) {
        let whole = word(line, 0, head.len());
        let joined = format!("{}{number}", first.text);
        findings.refuse(
            &whole.bytes,
            format!("the designation '{head}' has a blank in it"),
            "a designation is one word",
            format!("write `{joined}`"),
        );
        return Statement::Entry(whole, tail(colon + 1));
    }
    let bare = first.text.trim_end_matches(|c: char| !c.is_alphanumeric());
    let known = class_letters(bare).is_some_and(|letters| class::has_meaning(&letters));
    if known || is_test_point(bare) {
        let name = word(line, 0, bare.len());
        findings.refuse(
            &first.bytes,
            format!("a colon is missing after '{bare}'"),
            "a colon belongs after this",
            format!("write `{bare}: …`"),
        );
        return Statement::Entry(name, tail(first.text.len()));
    }
    findings.refuse(
        &first.bytes,
        format!("'{}' begins no statement", first.text),
        "unknown statement",
        FORMS,
    );
    Statement::Unreadable(tail(first.text.len()))
}

fn word<'a>(line: &Line<'a>, from: usize, to: usize) -> Word<'a> {
    Word {
        text: line.text.get(from..to).unwrap_or(""),
        bytes: line.bytes.start + from..line.bytes.start + to,
    }
}

/// A statement that begins with a keyword, which may be misspelt or followed by a colon.
fn keyword<'a>(
    line: &Line<'a>,
    first: &Word<'a>,
    findings: &mut Findings,
) -> Option<Statement<'a>> {
    let after = line.text.get(first.text.len()..).unwrap_or("");
    let colon = after.starts_with(':');
    let exact = KEYWORDS.into_iter().find(|known| first.is(known));
    // Before a colon, a word near a keyword is more likely a wrong designation.
    let near = || nearest(first.text, KEYWORDS);
    let found = exact.or_else(|| if colon { None } else { near() })?;
    if exact.is_none() {
        findings.refuse(
            &first.bytes,
            format!("'{}' begins no statement", first.text),
            "unknown statement",
            format!("did you mean '{found}'?"),
        );
    }
    if [HEATERS, FILAMENTS].contains(&found) {
        return Some(series::heaters(line, first, found, findings));
    }
    if found == FED {
        return Some(feeds::fed(line, first, findings));
    }
    if exact.is_some() && colon {
        let end = first.bytes.end;
        findings.refuse(
            &(end..end + 1),
            format!("no colon belongs after '{}'", first.text),
            "not here",
            format!("write `{found} …`"),
        );
    }
    let offset = first.text.len() + usize::from(colon);
    let rest = line.text.get(offset..).unwrap_or("");
    Some(if found == "title" {
        Statement::Title(first.clone(), rest.trim())
    } else {
        let nodes = words(rest, line.bytes.start + offset).into_iter();
        let nodes = nodes.filter(|word| word.text != ",").collect();
        Statement::Ground(first.clone(), nodes)
    })
}

/// An entry, with the form of its designation checked.
fn entry<'a>(name: Word<'a>, body: Vec<Word<'a>>, findings: &mut Findings) -> Statement<'a> {
    if class_letters(name.text).is_some() || is_test_point(name.text) {
        return Statement::Entry(name, body);
    }
    let message = if name.text.is_empty() {
        "there is no designation before the colon".to_owned()
    } else {
        format!("'{}' is no reference designation", name.text)
    };
    let place = if name.bytes.is_empty() {
        name.bytes.start..name.bytes.start + 1
    } else {
        name.bytes.clone()
    };
    findings.refuse(
        &place,
        message,
        "class letters and a number belong here",
        "write a designation such as `R1`, `PS2` or `TP3`",
    );
    Statement::Unreadable(body)
}

/// The number of `R 12`, if the words are class letters and a number.
fn spaced_designator(head: &str) -> Option<&str> {
    let (letters, number) = head.split_once(char::is_whitespace)?;
    let number = number.trim_start();
    let joined = class_letters(&format!("{letters}{number}"))?;
    let shape = class_letters(letters).is_none() && !number.contains(char::is_whitespace);
    let begins = number.starts_with(|c: char| c.is_ascii_digit());
    (shape && begins && (class::has_meaning(&joined) || joined == "TP")).then_some(number)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::lex::lines;

    fn read(text: &str) -> (Statement<'_>, Vec<String>) {
        let line = lines(text).next().unwrap();
        Findings::of_test(|findings| statement(&line, findings))
    }

    #[test]
    fn each_statement_is_told_by_its_first_word() {
        let (title, none) = read("title Set: no. 4");
        assert!(matches!(title, Statement::Title(_, "Set: no. 4")) && none.is_empty());
        let (ground, none) = read("ground a, b");
        assert!(matches!(ground, Statement::Ground(_, nodes) if nodes.len() == 2));
        assert!(none.is_empty());
        let (entry, none) = read("R1 : 220k, a to b");
        assert!(
            matches!(entry, Statement::Entry(name, body) if name.text == "R1" && body.len() == 5)
        );
        assert!(none.is_empty());
    }

    #[test]
    fn a_forgotten_colon_is_mended() {
        for text in [
            "R1 220k, a to b",
            "R1; 220k, a to b",
            "T1 transformer 26:1, a",
        ] {
            let (entry, found) = read(text);
            assert!(
                matches!(entry, Statement::Entry(name, _) if name.text.len() == 2),
                "{text}"
            );
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!(found[0].starts_with("a colon is missing"), "{text}");
        }
    }

    #[test]
    fn keywords_and_designations_gone_wrong_are_said() {
        for (text, start) in [
            ("gruond a", "'gruond' begins no statement"),
            ("ground: a", "no colon belongs after 'ground'"),
            ("what is this", "'what' begins no statement"),
            ("R 1: 5k, a to b", "the designation 'R 1' has a blank"),
            ("Rx: 5k, a to b", "'Rx' is no reference designation"),
            (": 5k", "there is no designation"),
        ] {
            let (_, found) = read(text);
            assert_eq!(found.len(), 1, "{text}: {found:?}");
            assert!(found[0].starts_with(start), "{text}: {found:?}");
        }
    }
}
