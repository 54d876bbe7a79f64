//! Faults planted in the sample sets, and where the ranking puts them.
//!
//! Every fault of every part, in sets whose other numbers are drawn within their limits, read with
//! the bench meter and its permitted error: how often the right fault stands first, among the first
//! three, among the first five, with all points of the manual read and with a third of them. And
//! how often a set in order leads with nothing wrong. Seeded: every run draws the same sets.

#![expect(clippy::print_stdout, reason = "a benchmark's table is its output")]

use std::collections::BTreeMap;
use std::path::Path;
use std::time::Instant;

use circuit::{
    spread_of, Circuit, Conditions, Job, PartId, PartKind, PartParameter, Port, Reading, Setting,
    Shown,
};
use diagnose::{
    candidates, suspects, with_fault, AgeFactors, Candidate, Fault, Hypothesis, SuspectOptions,
    Suspects,
};
use input::{read_job, JobSources, Sources};
use solver::solve;
use translate::{choose_range, compare, permitted_error};
use units::{Figure, Unit};

/// Sets drawn for each fault, and in order.
const DRAWS: usize = 1;
const IN_ORDER: usize = 40;

/// Numbers between 0 and 1 from a seed (S. Vigna's SplitMix64; from memory).
struct Dice(u64);

impl Dice {
    fn roll(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) >> 11) as f64 / (1u64 << 53) as f64
    }

    fn within(&mut self, half_width: f64) -> f64 {
        (2.0 * self.roll() - 1.0) * half_width
    }
}

fn main() {
    for folder in ["gate-post-preamplifier", "lookout-intercom"] {
        let Some(job) = sample(folder) else {
            println!("{folder}: does not read");
            continue;
        };
        for third in [false, true] {
            campaign(&job, folder, third);
        }
        // Twelve rankings a fault; the intercom's would take half an hour.
        if folder == "gate-post-preamplifier" {
            follow(&job, folder);
        }
    }
}

fn campaign(job: &Job, folder: &str, third: bool) {
    let start = Instant::now();
    let options = SuspectOptions {
        probes: 0,
        ..SuspectOptions::default()
    };
    let mut dice = Dice(20_261_125);
    let mut found: BTreeMap<&'static str, [usize; 5]> = BTreeMap::new();
    let (mut all, mut beyond) = ([0; 5], [0; 5]);
    let entries = entries(job, third);
    for candidate in candidates(&job.circuit, &AgeFactors::default()) {
        for _ in 0..DRAWS {
            let size = drawn_size(&candidate, &mut dice);
            let broken = Broken::new(job, candidate.hypothesis, size, &mut dice);
            let Some(read) = broken.read(&entries, &mut dice) else {
                continue;
            };
            let outside = compare(&read).is_ok_and(|found| {
                let mut readings = found.readings.iter();
                readings.any(|compared| compared.judgement.is_finding())
            });
            let Ok(ranked) = suspects(&read, &options) else {
                continue;
            };
            let place = place(&ranked, &candidate.hypothesis);
            // A fault that stands with nothing wrong is one that no reading shows: not found.
            let unseen = ranked
                .hypotheses
                .get(place)
                .is_some_and(stands_with_nothing_wrong);
            let fault = found.entry(candidate.hypothesis.fault.name()).or_default();
            let mut told = vec![fault, &mut all];
            if outside {
                told.push(&mut beyond);
            }
            for counts in told {
                counts[0] += 1;
                counts[4] += usize::from(unseen);
                for (count, most) in counts[1..4].iter_mut().zip([1, 3, 5]) {
                    *count += usize::from(place < most && !unseen);
                }
            }
        }
    }
    let mut in_order = 0;
    for _ in 0..IN_ORDER {
        let broken = Broken::new(job, Hypothesis::NOTHING_WRONG, 1.0, &mut dice);
        let read = broken.read(&entries, &mut dice);
        let ranked = read.and_then(|read| suspects(&read, &options).ok());
        in_order += usize::from(ranked.is_some_and(|r| place(&r, &Hypothesis::NOTHING_WRONG) == 0));
    }
    let points = if third {
        "a third of the points"
    } else {
        "all points"
    };
    println!(
        "== {folder}, {points}, {:.1} s",
        start.elapsed().as_secs_f64()
    );
    println!(
        "{:<30} {:>5} {:>6} {:>6} {:>6} {:>6}",
        "fault", "sets", "first", "of 3", "of 5", "unseen"
    );
    let line = |name: &str, c: &[usize; 5]| {
        let share = |k: usize| 100.0 * c[k] as f64 / c[0].max(1) as f64;
        println!(
            "{name:<30} {:>5} {:>5.0}% {:>5.0}% {:>5.0}% {:>5.0}%",
            c[0],
            share(1),
            share(2),
            share(3),
            share(4)
        );
    };
    for (name, counts) in &found {
        line(name, counts);
    }
    line("all", &all);
    line("those with a reading off band", &beyond);
    println!("in order, led by nothing wrong: {in_order} of {IN_ORDER}");
}

/// Whether a suspect says that the set may as well be in order.
fn stands_with_nothing_wrong(suspect: &diagnose::Suspect) -> bool {
    let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
    faults.any(|(hypothesis, _)| hypothesis.fault == Fault::NothingWrong)
}

/// Where the suspect that holds the fault stands.
fn place(ranked: &Suspects, wanted: &Hypothesis) -> usize {
    let holds = |suspect: &diagnose::Suspect| {
        let mut faults = suspect.members.iter().flat_map(|member| &member.faults);
        faults.any(|(fault, _)| fault == wanted)
    };
    ranked
        .hypotheses
        .iter()
        .position(holds)
        .unwrap_or(usize::MAX)
}

/// A set with a fault, its other numbers drawn.
struct Broken<'a> {
    job: &'a Job,
    drawn: Circuit,
    fault: Hypothesis,
    size: f64,
}

impl<'a> Broken<'a> {
    fn new(job: &'a Job, fault: Hypothesis, size: f64, dice: &mut Dice) -> Self {
        Broken {
            job,
            drawn: drawn(&job.circuit, dice),
            fault,
            size,
        }
    }

    /// What the bench meter shows on a port, within its permitted error.
    fn reading(
        &self,
        (point, port): (&str, Port),
        settings: &[Setting],
        dice: &mut Dice,
    ) -> Option<Reading> {
        let meter = self.job.bench.meters.first()?;
        let conditions = Conditions {
            settings: settings.to_vec(),
            line_factor: self.job.line_factor(),
        };
        let faulty = with_fault(&self.drawn, &conditions, &self.fault, self.size);
        let solution = solve(&faulty.circuit, &faulty.conditions).ok()?;
        let open = solution.port_volts(port);
        let range = choose_range(meter, None, open).range;
        let siemens = 1.0 / meter.input_ohms(range);
        let volts = solution.seen(port, siemens).ok()?.volts;
        let permitted = permitted_error(meter, range, volts).ok()?.half_width;
        let shown = volts + dice.within(permitted);
        let digits = (4 - shown.abs().max(1e-3).log10().floor() as i32).clamp(1, 5) as usize;
        Some(Reading {
            point: point.to_owned(),
            port: Some(port),
            shown: Shown::Value(Figure::parse(&format!("{shown:.digits$}"), Unit::Volt).ok()?),
            meter: meter.clone(),
            range: Some(range.full_scale),
            set: "drawn".into(),
            date: String::new(),
            note: String::new(),
            origin: circuit::Origin::default(),
        })
    }

    /// The reading at an entry of the manual.
    fn at_entry(&self, index: usize, dice: &mut Dice) -> Option<Reading> {
        let entry = self.job.manual.get(index)?;
        self.reading((&entry.point, entry.port?), &entry.settings, dice)
    }

    /// The job with these entries of the manual read.
    fn read(&self, entries: &[usize], dice: &mut Dice) -> Option<Job> {
        let mut read = self.job.clone();
        let readings = entries.iter().map(|index| self.at_entry(*index, dice));
        read.readings = readings.collect::<Option<Vec<Reading>>>()?;
        Some(read)
    }
}

/// Entries of the manual that a probe can read: all, or every third.
fn entries(job: &Job, third: bool) -> Vec<usize> {
    let readable = (0..job.manual.len()).filter(|index| {
        let entry = &job.manual[*index];
        entry.port.is_some() && entry.quantity == circuit::Quantity::DcVolts
    });
    readable.filter(|index| !third || index % 3 == 0).collect()
}

/// Further readings after a third of the points.
const FURTHER: usize = 5;

/// How often the right fault leads after up to five further readings, chosen by advice or at random
/// among the points of the manual.
fn follow(job: &Job, folder: &str) {
    let advised = SuspectOptions {
        probes: 1,
        ..SuspectOptions::default()
    };
    let mut dice = Dice(20_261_126);
    let (mut sets, mut by_advice, mut at_random) = (0, 0, 0);
    for candidate in candidates(&job.circuit, &AgeFactors::default()) {
        let size = drawn_size(&candidate, &mut dice);
        let broken = Broken::new(job, candidate.hypothesis, size, &mut dice);
        let Some(start) = broken.read(&entries(job, true), &mut dice) else {
            continue;
        };
        let mut led = [false; 2];
        for (random, led) in [false, true].into_iter().zip(&mut led) {
            let mut read = start.clone();
            for _ in 0..=FURTHER {
                let Ok(ranked) = suspects(&read, &advised) else {
                    break;
                };
                let place = place(&ranked, &candidate.hypothesis);
                let suspect = ranked.hypotheses.get(place);
                *led = place == 0 && !suspect.is_some_and(stands_with_nothing_wrong);
                let next = if random {
                    let mut left = entries(job, false);
                    left.retain(|index| {
                        let point = &job.manual[*index].point;
                        read.readings.iter().all(|reading| reading.point != *point)
                    });
                    let pick = (dice.roll() * left.len() as f64) as usize;
                    left.get(pick)
                        .and_then(|index| broken.at_entry(*index, &mut dice))
                } else {
                    ranked.next.first().and_then(|next| match next.entry {
                        Some(entry) => broken.at_entry(entry, &mut dice),
                        None => broken.reading(("advised", next.port), &[], &mut dice),
                    })
                };
                match next {
                    Some(next) => read.readings.push(next),
                    None => break,
                }
            }
        }
        sets += 1;
        by_advice += usize::from(led[0]);
        at_random += usize::from(led[1]);
    }
    let share = |count: usize| 100.0 * f64::from(count as u32) / f64::from(sets.max(1) as u32);
    println!(
        "== {folder}, a third of the points and up to {FURTHER} more: the right fault first in \
         {:.0}% of {sets} sets by advice, {:.0}% at random",
        share(by_advice),
        share(at_random)
    );
}

/// A size drawn evenly in its logarithm; 1 for a fault without one.
fn drawn_size(candidate: &Candidate, dice: &mut Dice) -> f64 {
    candidate.sizes.map_or(1.0, |sizes| {
        let (low, high) = (sizes.least.ln(), sizes.most.ln());
        (low + (high - low) * dice.roll()).exp()
    })
}

/// The circuit with every number somewhere within its limits.
fn drawn(circuit: &Circuit, dice: &mut Dice) -> Circuit {
    use PartParameter as P;
    let mut changes = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let devices = match &part.kind {
            PartKind::Device(device) => device.units.first(),
            _ => None,
        };
        let devices = devices.map_or(&[][..], |unit| unit.characteristic.parameters());
        let all = [P::Resistance, P::Leak, P::Volts, P::SourceResistance]
            .into_iter()
            .chain(devices.iter().copied().map(P::Device));
        for parameter in all {
            let change = dice.within(spread_of(part, parameter).half_width);
            changes.push((PartId(index), parameter, change));
        }
    }
    // A number that a part has not is left alone.
    circuit.varied(changes)
}

fn sample(folder: &str) -> Option<Job> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("../../sample-data")
        .join(folder);
    let mut sources = Sources::default();
    let mut add = |name: &str| {
        let text = std::fs::read_to_string(path.join(name)).ok()?;
        Some(sources.add(name, &text))
    };
    let parts = JobSources {
        settings: add("job.toml"),
        netlist: add("circuit.netlist"),
        manual: add("manual.csv"),
        meters: add("meters.toml"),
        ..JobSources::default()
    };
    read_job(&sources, &parts, &[]).job
}
