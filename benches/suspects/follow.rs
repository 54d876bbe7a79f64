//! Further readings after a third of the points, by advice and at random.
//!
//! Random ones are among the manual's points not read yet, each set several times; advice may name a
//! bare node too. Beside both stands what all points of the manual bring.

use circuit::{Job, Reading};
use diagnose::{suspects, Suspects};

use crate::outcome::Outcome;
use crate::run::{entries, options, truth, Points};
use crate::sets::{Case, Design};

/// After how many further readings the ranking is looked at.
const LOOKS: [usize; 3] = [1, 3, 5];

/// Orders in which each set's points are read at random.
const DRAWS: usize = 4;

/// Only every so many faults of the trade are followed, for each takes two dozen rankings.
const EVERY: usize = 3;

/// What came of one set.
struct Followed {
    before: Outcome,
    /// At each look.
    advised: Vec<Outcome>,
    /// At each look, for every order.
    random: Vec<Vec<Outcome>>,
    all: Outcome,
    /// Further readings that advice asked for.
    taken: usize,
    /// What was advised, and what led after it.
    words: String,
}

/// How often the right fault leads before and after further readings; with `misses`, which sets
/// advice leaves behind.
pub fn run(designs: &[Design], misses: bool) {
    let each: Vec<(&Design, &Case)> = designs
        .iter()
        .flat_map(|design| {
            let cases = design.cases.iter().filter(|case| case.kind == "trade");
            cases.step_by(EVERY).map(move |case| (design, case))
        })
        .filter(|(_, case)| !case.moved.is_empty())
        .collect();
    let each = each.into_iter().enumerate();
    let found: Vec<Followed> =
        parallel::filter_map(each, |(index, (design, case))| one(design, case, index));
    let sets = found.len().max(1) as f64;
    let taken: usize = found.iter().map(|one| one.taken).sum();
    println!(
        "\n{} sets of the trade mix whose fault moves a point; of up to 5 readings {:.1} advised\n",
        found.len(),
        taken as f64 / sets
    );
    let share = |is: &dyn Fn(&Followed) -> f64| 100.0 * found.iter().map(is).sum::<f64>() / sets;
    println!("| right fault | before | 1 advised | 3 advised | 5 advised | 1 at random | 3 at random | 5 at random | all points |");
    println!("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
    for first in [1, 3] {
        let is = |outcome: &Outcome| f64::from(u8::from(outcome.is_among(first)));
        let mut shares = vec![share(&|one| is(&one.before))];
        for look in 0..LOOKS.len() {
            shares.push(share(&|one| is(&one.advised[look])));
        }
        for look in 0..LOOKS.len() {
            shares.push(share(&|one| {
                one.random[look].iter().map(is).sum::<f64>() / DRAWS as f64
            }));
        }
        shares.push(share(&|one| is(&one.all)));
        let shares: Vec<String> = shares.iter().map(|share| format!("{share:.1}")).collect();
        let words = if first == 1 { "first" } else { "among three" };
        println!("| {words} | {} |", shares.join(" | "));
    }
    let last = LOOKS.len() - 1;
    for one in found
        .iter()
        .filter(|one| misses && !one.advised[last].is_among(1))
    {
        let lucky = one.random[last].iter().filter(|it| it.is_among(1)).count();
        println!(
            "miss {}, at random {lucky} of {DRAWS}, all points {}",
            one.words,
            one.all.is_among(1)
        );
    }
}

fn one(design: &Design, case: &Case, index: usize) -> Option<Followed> {
    let job = design.job();
    let start = case.read(&job, entries(&job, Points::Third).into_iter());
    let first = suspects(&start, &options(false, 1)).ok()?;
    let before = Outcome::of(&start, &first, case, true);
    let mut words = format!("{} {}\n  {}", design.id, truth(case), before.leaders);
    let (mut read, mut ranked) = (start.clone(), first);
    let (mut advised, mut taken) = (Vec::new(), 0);
    for step in 1..=LOOKS[LOOKS.len() - 1] {
        if let Some(next) = as_advised(design, &job, &ranked, case) {
            let gain = ranked.next.first().map_or(0.0, |next| next.gain_bits);
            words += &format!("\n  {} ({gain:.2} bits): ", next.point);
            taken += 1;
            read.readings.push(next);
            ranked = suspects(&read, &options(false, 1)).ok()?;
            words += &Outcome::of(&read, &ranked, case, true).leaders;
        }
        if LOOKS.contains(&step) {
            advised.push(Outcome::of(&read, &ranked, case, true));
        }
    }
    let mut random: Vec<Vec<Outcome>> = LOOKS.iter().map(|_| Vec::new()).collect();
    for draw in 0..DRAWS {
        let order = at_random(&job, &start, (index * DRAWS + draw) as u64);
        for (look, further) in LOOKS.iter().enumerate() {
            let mut read = start.clone();
            let taken = order.iter().take(*further);
            read.readings
                .extend(taken.filter_map(|entry| case.at_entry(&job, *entry)));
            let ranked = suspects(&read, &options(false, 0)).ok()?;
            random[look].push(Outcome::of(&read, &ranked, case, true));
        }
    }
    let read = case.read(&job, entries(&job, Points::All).into_iter());
    let ranked = suspects(&read, &options(false, 0)).ok()?;
    let all = Outcome::of(&read, &ranked, case, true);
    Some(Followed {
        before,
        advised,
        random,
        all,
        taken,
        words,
    })
}

/// The points not read yet in an order of their own for every number.
fn at_random(job: &Job, read: &Job, number: u64) -> Vec<usize> {
    let left = (0..job.manual.len()).filter(|entry| {
        let point = &job.manual[*entry].point;
        read.readings.iter().all(|reading| reading.point != *point)
    });
    let mut order: Vec<usize> = left.collect();
    // Scrambled by multiplying and shifting, so that neighbours have nothing in common.
    order.sort_by_key(|entry| {
        let mut word = (number << 16) ^ (*entry as u64) ^ 0x9e37_79b9_7f4a_7c15;
        for factor in [0xbf58_476d_1ce4_e5b9_u64, 0x94d0_49bb_1331_11eb] {
            word = (word ^ (word >> 29)).wrapping_mul(factor);
        }
        word ^ (word >> 32)
    });
    order
}

fn as_advised(design: &Design, job: &Job, ranked: &Suspects, case: &Case) -> Option<Reading> {
    let next = ranked.next.first()?;
    match next.entry {
        Some(entry) => case.at_entry(job, entry),
        None => design.at_node(job, case, next.port.plus),
    }
}
