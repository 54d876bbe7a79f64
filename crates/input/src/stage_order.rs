//! The order of stages in `job.toml`, checked against the drawing and the manual.
//!
//! Words with their places come in; designators in the spelling of the netlist, each once, go out.

use circuit::{socket, Circuit};

use crate::diagnostic::Diagnostic;
use crate::nearest::did_you_mean;
use crate::settings::Named;
use crate::source::Span;
use crate::table::manual::Manual;
use crate::table::read_context::Drawn;

/// Stages that are not parts.
const WORDS: [&str; 2] = ["rails", "power-off"];

/// The stages in their order. A stage that is neither drawn nor in the manual is an error; a stage
/// that is listed twice is a warning.
pub(crate) fn stage_order(
    order: &[Named],
    drawn: Drawn<'_>,
    manual: &Manual,
    out: &mut Vec<Diagnostic>,
) -> Vec<String> {
    if order.is_empty() {
        return Vec::new();
    }
    let known = known(drawn.circuit(), manual);
    let mut found: Vec<(String, &Option<Span>)> = Vec::new();
    for named in order {
        let stage = match spelled(&known, &named.name) {
            Some(stage) => stage,
            // What seems to be missing may be in a line that could not be read, or nothing is
            // drawn.
            None if !matches!(drawn, Drawn::Whole(_)) || !manual.whole => named.name.clone(),
            None => {
                refuse(named, &known, out);
                continue;
            }
        };
        match found.iter().find(|(other, _)| *other == stage) {
            Some((_, first)) => doubt(&stage, (first, &named.span), out),
            None => found.push((stage, &named.span)),
        }
    }
    found.into_iter().map(|(stage, _)| stage).collect()
}

fn known(circuit: Option<&Circuit>, manual: &Manual) -> Vec<String> {
    let mut known: Vec<String> = WORDS.iter().map(|word| (*word).to_owned()).collect();
    let parts = circuit.map_or(&[][..], Circuit::parts);
    for part in parts {
        known.push(part.designator.clone());
        known.extend(socket(&part.designator).map(str::to_owned));
    }
    let listed = manual.entries.iter().filter_map(|entry| listed(&entry.at));
    known.extend(listed.map(str::to_owned));
    known
}

/// The designator in a place such as `V7 pin 3`. A socket chart lists tubes that are not drawn.
fn listed(at: &str) -> Option<&str> {
    let (first, _) = at.split_once(char::is_whitespace)?;
    let like_a_designator = first.starts_with(|c: char| c.is_ascii_alphabetic())
        && first.contains(|c: char| c.is_ascii_digit());
    like_a_designator.then_some(first)
}

/// A name in its known spelling; case matters only where two known names differ in case alone.
fn spelled(known: &[String], name: &str) -> Option<String> {
    let exact = known.iter().find(|known| *known == name);
    let loose = || known.iter().find(|known| known.eq_ignore_ascii_case(name));
    exact.or_else(loose).cloned()
}

fn refuse(named: &Named, known: &[String], out: &mut Vec<Diagnostic>) {
    let Some(span) = &named.span else { return };
    let message = format!(
        "[worksheet]: 'order': neither the netlist nor the manual has a '{}'",
        named.name
    );
    let help = "write designators such as `V3`, or `rails` or `power-off`";
    let near = did_you_mean(&named.name, known.iter().map(String::as_str));
    let error = Diagnostic::error(span.clone(), message).help(help);
    out.push(error.maybe_help(near));
}

fn doubt(stage: &str, (first, again): (&Option<Span>, &Option<Span>), out: &mut Vec<Diagnostic>) {
    if let (Some(first), Some(again)) = (first, again) {
        let message = format!("[worksheet]: 'order': '{stage}' stands here a second time");
        let warning = Diagnostic::warning(again.clone(), message);
        let help = "its first place counts; leave the other out";
        out.push(warning.related(first.clone(), "first here").help(help));
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_place_lists_a_designator_only_if_it_has_one() {
        for (at, want) in [
            ("V7 pin 3", Some("V7")),
            ("Q1 collector", Some("Q1")),
            ("plate of V7", None),
            ("V7", None),
            ("", None),
        ] {
            assert_eq!(listed(at), want, "{at}");
        }
    }

    #[test]
    fn the_spelling_of_the_netlist_comes_before_letter_case() {
        let known = ["V1", "v1", "rails"].map(str::to_owned);
        assert_eq!(spelled(&known, "v1").as_deref(), Some("v1"));
        assert_eq!(spelled(&known, "RAILS").as_deref(), Some("rails"));
        assert_eq!(spelled(&known, "V2"), None);
    }
}
