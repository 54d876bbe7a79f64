//! How often the expected value's interval holds what a set of known truth shows, how far off it
//! is, and how often a set in order fails: manual and drawing reconciled, the manual alone, the
//! drawing alone.
//!
//! The sets are those of `crates/reconcile/tests/vectors/`, made and solved by other programs. A
//! family's name as argument runs that family alone; `--failed` names each healthy value that fails.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

#[path = "../../crates/reconcile/tests/known_truth/judged.rs"]
mod judged;
#[path = "../../crates/reconcile/tests/known_truth/sets.rs"]
mod sets;

use judged::{judged, Counts, Judged};

/// A kind of value: its name, and which values are of it.
type Kind = (&'static str, fn(&Judged) -> bool);

const KINDS: [Kind; 4] = [
    ("all", |_| true),
    ("grids", |one| {
        one.place.contains("grid") || one.place.contains("base")
    }),
    ("diodes", |one| one.place.contains("diode")),
    ("slips", |one| one.slipped),
];

fn main() {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let names_failed = arguments.iter().any(|arg| arg == "--failed");
    let wanted: Vec<&String> = arguments
        .iter()
        .filter(|arg| !arg.starts_with('-'))
        .collect();
    println!(
        "{:<10}{:<9}{:<8}{:>7} | {:>24} | {:>24} | {:>24} | {:>6}{:>7}",
        "sets",
        "drawing",
        "points",
        "values",
        "held by 95 % interval",
        "error r.m.s., V",
        "error r.m.s., %",
        "failed",
        "doubt"
    );
    println!(
        "{:<34} | {:>8}{:>8}{:>8} | {:>8}{:>8}{:>8} | {:>8}{:>8}{:>8} |",
        "", "both", "manual", "drawing", "both", "manual", "drawing", "both", "manual", "drawing"
    );
    for name in ["networks", "chassis", "boards", "slips"] {
        if !wanted.is_empty() && !wanted.iter().any(|word| *word == name) {
            continue;
        }
        let sets = sets::family(name);
        for wrong in [false, true] {
            let each = parallel::filter_map(&sets, |set| Some((&set.id, judged(set, wrong)?)));
            for (id, (values, surprises)) in &each {
                for surprise in surprises {
                    println!("{surprise}");
                }
                for one in values.iter().filter(|one| names_failed && one.failed) {
                    println!("{id} {}: {:?}, {}", one.place, one.value_status, one.limits);
                }
            }
            for (kind, is) in KINDS {
                let all = each.iter().flat_map(|(_, (values, _))| values);
                let counts = Counts::of(all.filter(|one| is(one)));
                if counts.values > 0 {
                    let drawing = if wrong { "wrong" } else { "right" };
                    println!("{name:<10}{drawing:<9}{kind:<8}{}", line(&counts));
                }
            }
        }
    }
}

/// A line of the table.
fn line(counts: &Counts) -> String {
    let three = |values: [f64; 3], digits: usize| {
        values.map(|value| format!("{value:>8.digits$}")).concat()
    };
    format!(
        "{:>7} | {} | {} | {} | {:>6.1}{:>7.1}",
        counts.values,
        three(counts.held, 1),
        three(counts.volts, 2),
        three(counts.relative, 1),
        counts.failed,
        counts.doubted
    )
}
