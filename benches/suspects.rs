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
    spread_of, Circuit, CircuitBuilder, Conditions, Job, Part, PartKind, PartParameter, Reading,
    Shown,
};
use diagnose::{
    candidates, suspects, with_fault, AgeFactors, Fault, Hypothesis, SuspectOptions, Suspects,
};
use input::{read_job, JobSources, Sources};
use solver::solve;
use translate::{accuracy_half_width, choose_range};
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
    for folder in ["lookout-intercom", "gate-post-preamplifier"] {
        let Some(job) = sample(folder) else {
            println!("{folder}: does not read");
            continue;
        };
        for third in [false, true] {
            campaign(&job, folder, third);
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
    let mut all = [0; 5];
    for candidate in candidates(&job.circuit, &AgeFactors::default()) {
        for _ in 0..DRAWS {
            let size = candidate.sizes.map_or(1.0, |sizes| {
                let (low, high) = (sizes.least.ln(), sizes.most.ln());
                (low + (high - low) * dice.roll()).exp()
            });
            let Some(read) = set(job, &candidate.hypothesis, size, third, &mut dice) else {
                continue;
            };
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
            for counts in [fault, &mut all] {
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
        let read = set(job, &Hypothesis::NOTHING_WRONG, 1.0, third, &mut dice);
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

/// A set with a fault, its other numbers drawn, read on the bench.
fn set(job: &Job, fault: &Hypothesis, size: f64, third: bool, dice: &mut Dice) -> Option<Job> {
    let drawn = drawn(&job.circuit, dice);
    let size = if fault.fault == Fault::NothingWrong {
        1.0
    } else {
        size
    };
    let mut read = job.clone();
    read.readings.clear();
    let meter = job.bench.meters.first()?;
    for (index, entry) in job.manual.iter().enumerate() {
        let (Some(port), circuit::Quantity::DcVolts) = (entry.port, entry.quantity) else {
            continue;
        };
        if third && index % 3 != 0 {
            continue;
        }
        let conditions = Conditions {
            settings: entry.settings.clone(),
            line_factor: job.line_factor(),
        };
        let faulty = with_fault(&drawn, &conditions, fault, size);
        let solution = solve(&faulty.circuit, &faulty.conditions).ok()?;
        let open = solution.port_volts(port);
        let range = choose_range(meter, None, open).range;
        let volts = solution
            .seen(port, 1.0 / meter.input_ohms(range))
            .ok()?
            .volts;
        let permitted = meter.accuracy.and_then(|accuracy| {
            accuracy_half_width(accuracy, volts, range.full_scale, meter.counts).ok()
        });
        let shown = volts + dice.within(permitted.unwrap_or(0.0));
        let digits = (4 - shown.abs().max(1e-3).log10().floor() as i32).clamp(1, 5) as usize;
        read.readings.push(Reading {
            point: entry.point.clone(),
            port: Some(port),
            shown: Shown::Value(Figure::parse(&format!("{shown:.digits$}"), Unit::Volt).ok()?),
            meter: meter.clone(),
            range: Some(range.full_scale),
            set: "drawn".into(),
            date: String::new(),
            note: String::new(),
            origin: circuit::Origin::default(),
        });
    }
    Some(read)
}

/// The circuit with every number somewhere within its limits.
fn drawn(circuit: &Circuit, dice: &mut Dice) -> Circuit {
    let mut builder = CircuitBuilder::new();
    for node in circuit.nodes() {
        let id = builder.node(&node.name);
        if node.is_reference {
            builder.reference(id);
        }
    }
    for part in circuit.parts() {
        builder.part(drawn_part(part, dice));
    }
    builder.finish()
}

fn drawn_part(part: &Part, dice: &mut Dice) -> Part {
    use PartParameter as P;
    let mut drawn = part.clone();
    let mut off = |parameter| dice.within(spread_of(part, parameter).half_width);
    match &mut drawn.kind {
        PartKind::Resistor(own) => own.ohms += off(P::Resistance),
        PartKind::Potentiometer(own) => own.ohms += off(P::Resistance),
        PartKind::Inductor(own) => own.ohms += off(P::Resistance),
        PartKind::Capacitor(own) => {
            let change = off(P::Leak);
            own.leak = own.leak.map(|ohms| ohms + change);
        }
        PartKind::Supply(own) => {
            own.volts += off(P::Volts);
            own.source += off(P::SourceResistance);
        }
        PartKind::Device(own) => {
            for unit in &mut own.units {
                for parameter in unit.characteristic.parameters() {
                    let change = off(P::Device(*parameter));
                    unit.characteristic = unit.characteristic.varied(*parameter, change);
                }
            }
        }
        _ => {}
    }
    drawn
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
