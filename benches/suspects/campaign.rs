//! Every fault of every part, planted, read and ranked.

use std::collections::BTreeMap;
use std::time::Instant;

use circuit::Job;
use diagnose::{candidates, suspects, AgeFactors, Candidate, Hypothesis, SuspectOptions, Suspects};
use rayon::prelude::*;
use translate::compare;

use crate::planted::{entries, Dice, Planted};
use crate::tally::{place, Outcome, Tally};

/// Sets in order.
const IN_ORDER: usize = 200;

/// A campaign on one set.
pub struct Campaign<'a> {
    pub job: &'a Job,
    pub set: &'a str,
    pub draws: usize,
    pub third: bool,
    pub misses: bool,
}

/// A planted fault and what came of it.
struct Told {
    fault: &'static str,
    outcome: Outcome,
    /// The farthest that the fault moves a point, in half-widths of its band.
    moved: f64,
    /// Whether some reading lies outside its band.
    off_band: bool,
    line: String,
}

impl Campaign<'_> {
    pub fn run(&self) {
        let start = Instant::now();
        let faults = candidates(&self.job.circuit, &AgeFactors::default());
        let draws = self.draws;
        let each: Vec<(usize, usize)> = (0..faults.len())
            .flat_map(|fault| (0..draws).map(move |draw| (fault, draw)))
            .collect();
        let told: Vec<Told> = each
            .par_iter()
            .filter_map(|(fault, draw)| {
                let seed = 20_261_125 + 100_003 * *fault as u64 + 7_919 * *draw as u64;
                self.plant(&faults[*fault], &mut Dice(seed))
            })
            .collect();
        let in_order = (0..IN_ORDER)
            .into_par_iter()
            .filter(|set| self.in_order(*set));
        let in_order = in_order.count();
        let points = if self.third {
            "a third of the points"
        } else {
            "all points"
        };
        let seconds = start.elapsed().as_secs_f64();
        println!("== {}, {points}, {seconds:.0} s", self.set);
        Tally::heading();
        let mut kinds: BTreeMap<&str, Tally> = BTreeMap::new();
        let (mut all, mut moving, mut off_band) = Default::default();
        for one in &told {
            let add = |tally: &mut Tally| tally.add(&one.outcome);
            add(&mut all);
            if one.moved > 1.0 {
                add(&mut moving);
                add(kinds.entry(one.fault).or_default());
            }
            if one.off_band {
                add(&mut off_band);
            }
        }
        for (name, tally) in &kinds {
            tally.print(name);
        }
        moving.print("moves a point beyond its band");
        off_band.print("a reading is off its band");
        all.print("all, seen or not");
        println!("in order, led by nothing wrong: {in_order} of {IN_ORDER}");
        let missed = |one: &&Told| self.misses && one.moved > 1.0 && !one.outcome.is_among(3);
        for one in told.iter().filter(missed) {
            println!("missed: {}", one.line);
        }
    }

    fn options() -> SuspectOptions {
        SuspectOptions {
            probes: 0,
            ..SuspectOptions::default()
        }
    }

    fn plant(&self, candidate: &Candidate, dice: &mut Dice) -> Option<Told> {
        let planted = Planted::new(self.job, candidate, dice);
        let entries = entries(self.job, self.third);
        let read = planted.read(&entries, dice)?;
        let compared = compare(&read).ok()?;
        let ranked = suspects(&read, &Self::options()).ok()?;
        let outcome = Outcome::of(&ranked, &candidate.hypothesis);
        let moved = planted.moves(&compared.translation, &entries);
        let mut readings = compared.readings.iter();
        let name = self.name(&candidate.hypothesis);
        Some(Told {
            fault: candidate.hypothesis.fault.name(),
            moved,
            off_band: readings.any(|reading| reading.judgement.is_finding()),
            line: format!(
                "{}, {name} {}{:.3e}, moves {moved:.1} bands, {}; led by {}",
                self.set,
                // Without a size of its own, a factor on the resistance it is taken for.
                if candidate.sizes.is_none() { "x " } else { "" },
                planted.size,
                stands(&ranked, outcome.place),
                self.leaders(&ranked)
            ),
            outcome,
        })
    }

    fn in_order(&self, set: usize) -> bool {
        let mut dice = Dice(77 + 131 * set as u64);
        let planted = Planted::in_order(self.job, &mut dice);
        let read = planted.read(&entries(self.job, self.third), &mut dice);
        let ranked = read.and_then(|read| suspects(&read, &Self::options()).ok());
        ranked.is_some_and(|ranked| place(&ranked, &Hypothesis::NOTHING_WRONG) == 0)
    }

    fn leaders(&self, ranked: &Suspects) -> String {
        let leading = ranked.hypotheses.iter().take(3).filter_map(|suspect| {
            let (hypothesis, _) = suspect.members.first()?.faults.first()?;
            let share = 100.0 * suspect.probability;
            Some(format!("{} {share:.0}%", self.name(hypothesis)))
        });
        leading.collect::<Vec<_>>().join(", ")
    }

    fn name(&self, hypothesis: &Hypothesis) -> String {
        let part = hypothesis.part.map(|id| self.job.circuit.part(id));
        let part = part.map_or("", |part| part.designator.as_str());
        format!("{part} {}", hypothesis.fault.name())
    }
}

/// The place of the right fault, and how likely it is held to be.
fn stands(ranked: &Suspects, place: usize) -> String {
    match ranked.hypotheses.get(place) {
        Some(suspect) => format!("place {} {:.1}%", place + 1, 100.0 * suspect.probability),
        None => "not ranked".into(),
    }
}
