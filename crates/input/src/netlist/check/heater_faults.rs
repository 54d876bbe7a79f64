//! What can be wrong with the members of a string of heaters, in words.
//!
//! Words with their places come in; diagnostics go out. What a member is, is decided in
//! [`super::heaters`].

use std::ops::Range;

use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::series::{FILAMENTS, HEATERS};
use crate::netlist::types::with_article;

/// A member that has been named.
pub(super) struct Named {
    pub name: String,
    /// Where it is named.
    pub bytes: Range<usize>,
    /// In which string, by its number.
    pub string: usize,
}

/// Tubes named in a hint, at most.
const SHOWN: usize = 12;

pub(super) fn unknown(word: &Word<'_>, tubes: &[&str], findings: &mut Findings) {
    let help = match tubes.is_empty() || tubes.len() > SHOWN {
        true => "name tubes that have a line of their own".to_owned(),
        false => format!("the tubes drawn are {}", tubes.join(", ")),
    };
    let help = format!("{help}; a rectifier needs no more than its cathode, `V5: 35Z5GT, 8=raw`");
    let message = format!("no part is called '{}'", word.text);
    findings.refuse(&word.bytes, message, "unknown part", help);
}

pub(super) fn no_heater(word: &Word<'_>, what: &str, findings: &mut Findings) {
    let message = format!("{} is {what} and has no heater", word.text);
    let help =
        "name the tubes of the string, and resistors in series with them; leave out all else";
    findings.refuse(&word.bytes, message, "not a tube", help);
}

pub(super) fn cold(word: &Word<'_>, type_name: &str, findings: &mut Findings) {
    let of_type = with_article(type_name);
    let message = format!("{}, {of_type}, has no heater", word.text);
    findings.refuse(&word.bytes, message, "a cold cathode", "leave it out");
}

pub(super) fn again(
    word: &Word<'_>,
    name: &str,
    before: &Named,
    string: usize,
    findings: &mut Findings,
) {
    let (message, help) = match before.string == string {
        true => (
            format!("{name} is named twice"),
            "leave one of them out: a tube has one heater, whatever sections it has",
        ),
        false => (
            format!("{name} is in another string already"),
            "leave it out of one of them; strings side by side have no tube in common",
        ),
    };
    let first = (&before.bytes, "named here first");
    findings.refuse_beside(&word.bytes, message, "named again", help, first);
}

pub(super) fn too_few(keyword: &Word<'_>, tubes: usize, findings: &mut Findings) {
    let message = match tubes {
        0 => "no tube is named in this string",
        _ => "one tube alone is no string",
    };
    let keyword_meant = match keyword.is(FILAMENTS) {
        true => FILAMENTS,
        false => HEATERS,
    };
    let help = format!(
        "name its tubes from the line to the reference, such as `{keyword_meant} in series: V3 V2 \
         V1`, or leave the line out"
    );
    findings.refuse(&keyword.bytes, message, "this statement", help);
}

/// A tube whose rated currents are none of those that the tubes before it have in common.
pub(super) fn other_current(
    (word, type_name, rated): (&Word<'_>, &str, &[f64]),
    (first, before): (&Word<'_>, &[f64]),
    findings: &mut Findings,
) {
    let amperes = |list: &[f64]| {
        let each: Vec<String> = list.iter().map(|one| format!("{one} A")).collect();
        each.join(" or ")
    };
    let message = format!(
        "the heater of {}, {}, takes {}, and not {}",
        word.text,
        with_article(type_name),
        amperes(rated),
        amperes(before)
    );
    let help = "heaters in series have one current: see whether type and list are right";
    let first = (&first.bytes, "the first of the string");
    findings.doubt_beside(&word.bytes, message, "another current", help, first);
}

pub(super) fn no_supply(word: &Word<'_>, node: &str, findings: &mut Findings) {
    let message = format!(
        "no supply stands at '{node}', the cathode of the rectifier {}",
        word.text
    );
    let help = format!(
        "draw what it gives at its cathode, such as `PS1: 128V source=110R line, plus={node}, \
         minus=common`; else a cold string leaves the supply as it is"
    );
    findings.doubt(&word.bytes, message, "rectifier of this string", help);
}
