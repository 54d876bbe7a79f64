//! Tests of `unrecognized`.

use super::super::findings::Findings;
use super::super::items::items;
use super::super::lex::words;
use super::super::values::{Doubted, Subject};
use super::*;
use crate::source::SourceId;
use units::Unit;

/// Messages for a supply: volts, tolerance, `source=`, `line`.
fn messages(text: &str) -> Vec<String> {
    messages_for("supply", text, |values| {
        values.need("voltage", Unit::Volt, "285V");
        values.tolerance();
        values.option("source", Unit::Ohm, Doubted::Large);
        values.flag("line");
    })
}

fn messages_for(noun: &'static str, text: &str, ask: impl Fn(&mut Values<'_, '_>)) -> Vec<String> {
    let mut findings = Findings::new(SourceId(0));
    let subject = Subject {
        name: "X1",
        bytes: 0..0,
        noun,
    };
    let mut values = Values::new(subject, items(text, &words(text, 0)), &mut findings);
    ask(&mut values);
    values.finish();
    let found = findings.into_sorted().into_iter();
    found
        .map(|one| format!("{} | {}", one.message, one.help.unwrap_or_default()))
        .collect()
}

#[test]
fn everything_asked_for_leaves_nothing_to_say() {
    assert_eq!(messages("285V 5% source=120R line"), Vec::<String>::new());
    assert_eq!(
        messages("line source=120 R ±5 % 285 V"),
        Vec::<String>::new()
    );
}

#[test]
fn one_slip_draws_one_message() {
    for (text, start) in [
        (
            "",
            "X1 has no voltage | write it after the colon, such as `285V`",
        ),
        (
            "285V sorce=120R",
            "unknown option 'sorce' | did you mean 'source='?",
        ),
        (
            "285V source 120R",
            "an equals sign is missing after 'source' | write `source=120R`",
        ),
        ("285V lnie", "unknown word 'lnie' | did you mean 'line'?"),
        (
            "285V line=yes",
            "unknown option 'line' | write `line` alone",
        ),
        ("285V wobble 5%", "unknown word 'wobble'"),
        (
            "285V 10",
            "'10' is a value too many for a supply | for a tolerance write `10%`",
        ),
        (
            "285V 5W",
            "'5W' is a value too many for a supply | no such rating of a supply is read",
        ),
        (
            "285V 5k",
            "'5k' is a value too many for a supply | leave it out",
        ),
        ("285V source=", "'source=' has no value"),
        ("285V source=1R source=2R", "'source' is stated twice"),
        ("285R", "volts were expected here, but this is in ohms"),
        ("285V 26:1", "'26:1' is a ratio"),
    ] {
        let found = messages(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert!(found[0].starts_with(start), "{text}: {found:?}");
    }
}

/// A resistor takes its ohms, ratings and a tolerance.
#[test]
fn the_hint_for_a_rating_says_what_the_part_reads() {
    let resistor = |text| {
        messages_for("resistor", text, |values| {
            values.need("resistance", Unit::Ohm, "220k");
            values.ratings();
            values.tolerance();
        })
    };
    assert_eq!(resistor("10k 2W 350V carbon 5%"), Vec::<String>::new());
    for (text, help) in [
        ("10k 2W 5W", "one rating in watts and one in volts"),
        ("10k 200V 350V", "one rating in watts and one in volts"),
        ("10k 0W", "a rating is above zero"),
        ("10k 150mA", "one rating in watts and one in volts"),
    ] {
        let found = resistor(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert!(found[0].contains(help), "{text}: {found:?}");
    }
    let switch = |text| {
        messages_for("switch", text, |values| {
            values.flag("closed");
        })
    };
    for (text, help) in [
        ("closed 250V", "no such rating of a switch is read"),
        ("closed 3A", "no such rating of a switch is read"),
        ("closed 10", "leave it out"),
    ] {
        let found = switch(text);
        assert_eq!(found.len(), 1, "{text}: {found:?}");
        assert!(found[0].contains(help), "{text}: {found:?}");
    }
}
