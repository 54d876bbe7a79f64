//! Faults planted in the sample sets, and where the ranking puts them.
//!
//! Every fault of every part, in sets whose other numbers are drawn within their limits, read with
//! the bench meter and its permitted error: how often the right fault stands first, among the first
//! three, among the first five, with all points of the manual read and with a third of them. And how
//! often a set in order leads with nothing wrong. Seeded: every run draws the same sets.
//!
//! `cargo bench --bench suspects -- 20` plants each fault twenty times; `--follow` also follows the
//! advice on where to probe next; `--misses` names the faults that are not among the first three;
//! words name the sets to look at.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

mod campaign;
mod follow;
mod planted;
mod sets;
mod tally;

use std::num::NonZeroUsize;
use std::process::ExitCode;

use campaign::Campaign;

/// Times that a fault is planted, unless a number says so.
const DRAWS: NonZeroUsize = NonZeroUsize::MIN;

/// What the command line asks for.
struct Asked {
    draws: usize,
    misses: bool,
    follow: bool,
    sets: Vec<&'static str>,
}

impl Asked {
    /// A word that means nothing is an error: a set's name misspelled must not run all of them.
    fn read(words: impl Iterator<Item = String>) -> Result<Self, String> {
        let mut asked = Asked {
            draws: DRAWS.get(),
            misses: false,
            follow: false,
            sets: Vec::new(),
        };
        for word in words {
            match word.as_str() {
                "--misses" => asked.misses = true,
                "--follow" => asked.follow = true,
                // Handed to every benchmark by the build tool.
                "--bench" => {}
                _ => match (word.parse::<NonZeroUsize>(), sets::named(&word)) {
                    (Ok(draws), _) => asked.draws = draws.get(),
                    (_, Some(set)) => asked.sets.push(set),
                    _ => return Err(word),
                },
            }
        }
        if asked.sets.is_empty() {
            asked.sets = sets::SETS.to_vec();
        }
        Ok(asked)
    }
}

fn main() -> ExitCode {
    let asked = match Asked::read(std::env::args().skip(1)) {
        Ok(asked) => asked,
        Err(word) => {
            let sets = sets::SETS.join(", ");
            println!("{word}: neither a number of draws, --misses, --follow, nor one of {sets}");
            return ExitCode::FAILURE;
        }
    };
    for set in asked.sets {
        let Some(job) = sets::read(set) else {
            println!("{set}: does not read");
            return ExitCode::FAILURE;
        };
        for third in [false, true] {
            let campaign = Campaign {
                job: &job,
                set,
                draws: asked.draws,
                third,
                misses: asked.misses,
            };
            campaign.run();
        }
        if asked.follow {
            follow::run(&job, set);
        }
    }
    ExitCode::SUCCESS
}
