//! How often the ranking of suspects is right, and whether its odds mean what they say.
//!
//! The sets are those of `crates/diagnose/tests/vectors/`, made, broken and read by another program.
//! `--misses` names the sets whose fault is not first (with `--follow`, after five advised readings); a path names another file of sets; `--quick`
//! leaves out the advice on where to probe next; `--half` takes every second design; `--follow` gives
//! that advice alone.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

#[path = "../../crates/diagnose/tests/campaign/outcome.rs"]
mod outcome;
#[path = "../../crates/diagnose/tests/campaign/run.rs"]
mod run;
#[path = "../../crates/diagnose/tests/campaign/sets.rs"]
mod sets;
#[path = "../../crates/diagnose/tests/campaign/table.rs"]
mod table;

mod follow;

use std::collections::BTreeMap;
use std::time::Instant;

use outcome::Outcome;
use run::{truth, Points, Told};
use table::{reliability, share};

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let asked = |word: &str| words.iter().any(|given| given == word);
    let path = words.iter().find(|word| !word.starts_with('-'));
    let mut designs = sets::designs(path.map(String::as_str));
    if asked("--half") {
        // Every second design, for a hasty look.
        let mut place = 0;
        designs.retain(|_| {
            place += 1;
            place % 2 == 1
        });
    }
    if asked("--follow") {
        follow::run(&designs, asked("--misses"));
        return;
    }
    for points in [Points::All, Points::Third] {
        let start = Instant::now();
        let told = run::run(&designs, points, |case| {
            points == Points::All || case.kind != "two"
        });
        let seconds = start.elapsed().as_secs_f64();
        let words = match points {
            Points::All => "all points",
            Points::Third => "a third of the points",
        };
        println!("\n## {words}: {} sets, {seconds:.0} s\n", told.len());
        tables(&told);
        if asked("--misses") {
            misses(&told);
        }
    }
    if !asked("--quick") {
        follow::run(&designs, asked("--misses"));
    }
}

fn tables(told: &[Told<'_>]) {
    let of = |kind: &'static str| told.iter().filter(move |one| one.case.kind == kind);
    println!("| faults that show | sets | first | of 3 | right part | by \"nothing wrong\" | by \"reading wrong\" | off their band | first of these |");
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    let both = || {
        told.iter()
            .filter(|one| matches!(one.case.kind.as_str(), "even" | "trade"))
    };
    let mut kinds: BTreeMap<&str, Vec<&Told<'_>>> = BTreeMap::new();
    for one in both().filter(|one| one.shows) {
        if let Some(broken) = one.case.faults.first() {
            kinds.entry(&broken.fault).or_default().push(one);
        }
    }
    for (kind, each) in &kinds {
        row(kind, each.iter().copied());
    }
    for family in ["tube chassis", "transistor boards", "networks"] {
        row(
            family,
            both().filter(|one| one.shows && one.design.family() == family),
        );
    }
    row("every fault alike", of("even").filter(|one| one.shows));
    row("trade mix", of("trade").filter(|one| one.shows));
    row(
        "every fault alike, a reading off its band",
        of("even").filter(|one| one.shows && one.flagged),
    );
    row(
        "trade mix, a reading off its band",
        of("trade").filter(|one| one.shows && one.flagged),
    );
    println!("\n| besides | sets | % |\n| --- | ---: | ---: |");
    let line = |words: &str, sets: usize, share: f64| {
        println!("| {words} | {sets} | {:.1} |", 100.0 * share);
    };
    line(
        "in order, led by \"nothing wrong\"",
        of("order").count(),
        share(of("order"), |one| one.outcome.in_order),
    );
    line(
        "in order, a part blamed with more than half",
        of("order").count(),
        share(of("order"), |one| {
            one.outcome.claimed > 0.5 && one.outcome.blames_a_part
        }),
    );
    line(
        "a slip in a set in order, the reading named first",
        of("slip").count(),
        share(of("slip"), |one| one.outcome.is_right()),
    );
    if of("two").count() > 0 {
        let two = || of("two").filter(|one| one.shows);
        line(
            "two faults, both first with --pairs",
            two().count(),
            share(two(), |one| one.outcome.both),
        );
        let visible =
            || two().filter(|one| one.case.faults.iter().all(|each| !each.moved.is_empty()));
        if visible().count() > 0 {
            line(
                "two faults, each of which moves a point beside the other, both first with --pairs",
                visible().count(),
                share(visible(), |one| one.outcome.both),
            );
        }
        line(
            "two faults, one of them first",
            two().count(),
            share(two(), |one| one.outcome.is_right()),
        );
    }
    let strange = || of("foreign").filter(|one| one.shows);
    line(
        "foreign fault, a part blamed with more than 90 %",
        strange().count(),
        share(strange(), |one| {
            one.outcome.claimed > 0.9 && one.outcome.blames_a_part
        }),
    );
    line(
        "foreign fault, more than 90 % on a part that it lies neither across nor in",
        strange().count(),
        share(strange(), |one| {
            let outcome = &one.outcome;
            outcome.claimed > 0.9 && outcome.blames_a_part && !outcome.stands_for_foreign
        }),
    );
    let all = || {
        told.iter()
            .filter(|one| !matches!(one.case.kind.as_str(), "two" | "foreign"))
    };
    line(
        "falsely sure: more than 90 % on a sound part",
        all().count(),
        share(all(), |one| {
            one.outcome.claimed > 0.9 && one.outcome.blames_a_part && !one.outcome.right_part
        }),
    );
    println!("\n| claimed, % | of the trade, with sets in order and slips | right, % | faults that show, every one alike | right, % |");
    println!("| --- | ---: | ---: | ---: | ---: |");
    let of_the_trade =
        |one: &&Told<'_>| matches!(one.case.kind.as_str(), "trade" | "order" | "slip");
    let mixed = told.iter().filter(of_the_trade);
    let even = told
        .iter()
        .filter(|one| matches!(one.case.kind.as_str(), "even" | "trade") && one.shows);
    for (a, b) in reliability(mixed).iter().zip(reliability(even)) {
        let all = [a.claimed, a.right, b.claimed, b.right].map(|share| 100.0 * share);
        println!(
            "| {:.0}, {:.0} | {} | {:.0} | {} | {:.0} |",
            all[0], all[2], a.sets, all[1], b.sets, all[3]
        );
    }
    println!("\n| claimed, % | \"nothing wrong\" | right, % | a part | right, % | a reading | right, % |");
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: |");
    let named = |is: fn(&Outcome) -> bool| {
        let mixed = told.iter().filter(of_the_trade);
        reliability(mixed.filter(move |one| is(&one.outcome)))
    };
    let in_order = named(|one| one.in_order);
    let a_reading = named(|one| one.blames_a_reading);
    let a_part = named(|one| one.blames_a_part);
    for (place, (low, high)) in table::BINS.into_iter().enumerate() {
        let each = [in_order, a_part, a_reading].map(|bins| bins[place]);
        let cells = each.map(|bin| match bin.sets {
            0 => " 0 | ".to_owned(),
            sets => format!(" {sets} | {:.0} ", 100.0 * bin.right),
        });
        let to = (100.0 * high).min(100.0);
        println!("| {:.0} … {to:.0} |{}|", 100.0 * low, cells.join("|"));
    }
}

fn row<'a>(name: &str, each: impl Iterator<Item = &'a Told<'a>> + Clone) {
    let shares = [
        share(each.clone(), |one| one.outcome.is_among(1)),
        share(each.clone(), |one| one.outcome.is_among(3)),
        share(each.clone(), |one| one.outcome.right_part),
        share(each.clone(), |one| one.outcome.in_order),
        share(each.clone(), |one| one.outcome.blames_a_reading),
    ];
    let shares: Vec<String> = shares
        .iter()
        .map(|share| format!("{:.1}", 100.0 * share))
        .collect();
    let flagged = || each.clone().filter(|one| one.flagged);
    let first = match flagged().count() {
        0 => String::new(),
        _ => format!(
            "{:.1}",
            100.0 * share(flagged(), |one| one.outcome.is_among(1))
        ),
    };
    println!(
        "| {name} | {} | {} | {} | {first} |",
        each.clone().count(),
        shares.join(" | "),
        flagged().count()
    );
}

fn misses(told: &[Told<'_>]) {
    let missed = told.iter().filter(|one| match one.case.kind.as_str() {
        "even" | "trade" => one.shows && !one.outcome.is_among(1),
        "order" | "slip" => !one.outcome.is_right(),
        _ => false,
    });
    for one in missed {
        println!(
            "miss {} {} {}: {} at {}: {}",
            one.design.id,
            one.number,
            one.case.kind,
            truth(one.case),
            one.outcome.place.wrapping_add(1),
            one.outcome.leaders
        );
    }
}
