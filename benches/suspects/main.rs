//! Faults planted in the sample sets, and where the ranking puts them.
//!
//! Every fault of every part, in sets whose other numbers are drawn within their limits, read with
//! the bench meter and its permitted error: how often the right fault stands first, among the first
//! three, among the first five, with all points of the manual read, with a third of them, and after
//! the advice on where to probe next is followed. And how often a set in order leads with nothing
//! wrong. Seeded: every run draws the same sets.
//!
//! `cargo bench --bench suspects -- 20` plants each fault twenty times; `--misses` names those that
//! are not among the first three; words name the sets to look at.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod campaign;
mod follow;
mod planted;
mod sets;
mod tally;

use campaign::Campaign;

/// Times that a fault is planted, unless a number says so.
const DRAWS: usize = 1;

fn main() {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let draws = words.iter().find_map(|word| word.parse().ok());
    let draws = draws.unwrap_or(DRAWS);
    let misses = words.iter().any(|word| word == "--misses");
    let named = |set: &str| words.iter().any(|word| word == set);
    let all = !sets::SETS.iter().any(|set| named(set));
    for set in sets::SETS.into_iter().filter(|set| all || named(set)) {
        let Some(job) = sets::read(set) else {
            println!("{set}: does not read");
            continue;
        };
        for third in [false, true] {
            let campaign = Campaign {
                job: &job,
                set,
                draws,
                third,
                misses,
            };
            campaign.run();
        }
        follow::run(&job, set);
    }
}
