//! Many random networks: how often a healthy value is doubted, how often a class that stands out
//! is the wrong one, and how many planted slips are found and named.
//!
//! Parts are drawn from within their tolerances, meters from within their accuracy, values are
//! rounded as printed. The draws are seeded, so the counts are the same on every run.

use std::fmt::Write;

use crate::jobs::{figure, job};
use circuit::{meter_classes as built_in, Conditions, Job, Meter, MeterRange, Port};
use diagnose::{alike, belief, decisive, meter_classes, Explanation};
use solver::{solve, Load, LoadedPort};
use translate::{accuracy_half_width, Draws};

const NETWORKS: u64 = 150;

/// A random network, as drawn and as built: a tree of resistors on one supply, with some resistors
/// to ground.
fn networks(draws: &mut Draws) -> (String, String, usize) {
    let mut drawn = "ground gnd\n".to_owned();
    let mut built = drawn.clone();
    let mut count = 0;
    let mut part = |draws: &mut Draws, line: &str, value: f64, tolerance: f64, ends: &str| {
        let share = 1.0 + tolerance * (2.0 * draws.uniform() - 1.0);
        let percent = tolerance * 100.0;
        count += 1;
        for (text, value) in [(&mut drawn, value), (&mut built, value * share)] {
            writeln!(
                text,
                "{line}{count}: {value:.6}{ends}",
                ends = ends.replace('%', &format!("{percent}%"))
            )
            .unwrap();
        }
    };
    let volts = (100.0 + 300.0 * draws.uniform()).round();
    part(draws, "PS", volts, 0.05, " %, plus=p0, minus=gnd");
    let nodes = 6 + (draws.uniform() * 8.0) as usize;
    let ohms = |draws: &mut Draws| (22e3 * 45f64.powf(draws.uniform())).round();
    for node in 1..=nodes {
        let from = (draws.uniform() * node as f64) as usize;
        let value = ohms(draws);
        part(draws, "R", value, 0.10, &format!(" %, p{from} to p{node}"));
        if draws.uniform() < 0.6 || node == nodes {
            let value = ohms(draws) * 2.0;
            part(draws, "R", value, 0.10, &format!(" %, p{node} to gnd"));
        }
    }
    (drawn, built, nodes)
}

/// What a meter of some error shows on the range that a technician ends on.
fn shown(meter: &Meter, port: LoadedPort, draws: &mut Draws) -> f64 {
    let error = 2.0 * draws.uniform() - 1.0;
    let on = |range: MeterRange| {
        let siemens = 1.0 / meter.input_ohms(range);
        let volts = port.volts(Load {
            siemens,
            amperes: 0.0,
        });
        let accuracy = meter.accuracy.unwrap();
        let limit = accuracy_half_width(accuracy, volts, range.full_scale, meter.counts).unwrap();
        volts + error * limit
    };
    let mut volts = on(*meter.ranges.last().unwrap());
    for range in meter.ranges.iter().rev().skip(1) {
        if !range.holds(volts) {
            break;
        }
        volts = on(*range);
    }
    volts
}

/// A drawn network with the manual of a built one.
fn healthy(draws: &mut Draws) -> (Job, Meter) {
    let (drawn, built, nodes) = networks(draws);
    let classes = built_in();
    let meter = classes[(draws.uniform() * classes.len() as f64) as usize].clone();
    let set = job(&built, "point,at,value\n1,p0,1\n", "1k/V").circuit;
    let solution = solve(&set, &Conditions::default()).unwrap();
    let minus = set.node("gnd").unwrap();
    let mut manual = "point,at,value\n".to_owned();
    for node in 0..=nodes {
        let plus = set.node(&format!("p{node}")).unwrap();
        let port = solution.port(Port { plus, minus }).unwrap();
        let volts = shown(&meter, port, draws);
        let decimals = if volts >= 100.0 { 0 } else { 1 };
        writeln!(manual, "{node},p{node},{volts:.decimals$}").unwrap();
    }
    (job(&drawn, &manual, &meter.name), meter)
}

#[test]
fn healthy_manuals_are_believed_and_their_meters_found() {
    let (mut values, mut doubted) = (0, 0);
    let (mut decided, mut right) = (0, 0);
    for trial in 0..NETWORKS {
        let (job, meter) = healthy(&mut Draws::new(2024, trial));
        let points = belief(&job).unwrap().points;
        values += points.len();
        doubted += points.iter().filter(|point| !point.believable()).count();
        let vary: Vec<usize> = (0..job.manual.len()).collect();
        let inferred = meter_classes(&job, &vary).unwrap();
        if let Some(decision) = decisive(&inferred.likelihoods) {
            decided += 1;
            let best = &decision.best.meter;
            right += usize::from(*best == meter || alike(best, &meter));
        }
    }
    // Were all normal, 0.27 % of the values would lie beyond three; rectangular spreads have no
    // tails, so fewer do: 6 of 31,523 in a longer run of 3,000 networks.
    assert!(values > 1000);
    assert!(doubted * 1000 <= values, "{doubted} of {values}");
    // Decided at more than 20 to 1, so at most one in 21 should be wrong; in the longer run 3 of
    // 2,025 were.
    assert!(decided * 3 > NETWORKS as usize, "{decided}");
    assert!(right * 100 >= decided * 95, "{right} of {decided}");
}

/// Slips planted in turn.
#[derive(Clone, Copy, Debug)]
enum Planted {
    Sign,
    PointLost,
    PointMoved,
    Swapped,
}

/// The figure with a slip, if it can have this one.
fn spoilt(slip: Planted, text: &str) -> Option<String> {
    match slip {
        Planted::Sign => Some(format!("-{text}")),
        Planted::PointLost => text.contains('.').then(|| text.replace('.', "")),
        Planted::PointMoved => (text.len() == 3 && !text.contains('.'))
            .then(|| format!("{}.{}", &text[..2], &text[2..])),
        Planted::Swapped => {
            let letters: Vec<char> = text.chars().collect();
            let [a, b, rest @ ..] = letters.as_slice() else {
                return None;
            };
            // A swap that changes less than a third drowns in the parts' tolerances.
            let (one, other) = (a.to_digit(10)?, b.to_digit(10)?);
            (other > 0 && 2 * one.abs_diff(other) > one)
                .then(|| [*b, *a].iter().chain(rest).collect())
        }
    }
}

fn names(slip: Planted, explanation: &Explanation) -> bool {
    match slip {
        Planted::Sign => matches!(explanation, Explanation::WrongSign { .. }),
        Planted::PointLost | Planted::PointMoved => {
            matches!(explanation, Explanation::DecimalPoint { .. })
        }
        Planted::Swapped => matches!(explanation, Explanation::SwappedDigits { .. }),
    }
}

#[test]
fn planted_slips_are_found_and_named() {
    let slips = [
        Planted::Sign,
        Planted::PointLost,
        Planted::PointMoved,
        Planted::Swapped,
    ];
    for slip in slips {
        let (mut planted, mut found, mut first, mut others) = (0, 0, 0, 0);
        for trial in 0..NETWORKS {
            let draws = &mut Draws::new(77, trial);
            let (mut job, _) = healthy(draws);
            let index = (draws.uniform() * job.manual.len() as f64) as usize;
            let Some(text) = spoilt(slip, &job.manual[index].figure.text) else {
                continue;
            };
            planted += 1;
            job.manual[index].figure = figure(&text);
            for judged in belief(&job).unwrap().points {
                if judged.believable() {
                    continue;
                }
                if judged.entry != index {
                    others += 1;
                    continue;
                }
                found += 1;
                let likeliest = judged.explanations.first();
                first += usize::from(likeliest.is_some_and(|l| names(slip, &l.explanation)));
            }
        }
        let counts = format!("{slip:?}: {planted} {found} {first} {others}");
        // What is missed are values near zero, whose slips drown in the meter's error; what is
        // named otherwise fits another slip as well. Measured: 97 % found, 90 % named first.
        assert!(planted > 50, "{counts}");
        assert!(found * 100 >= planted * 95, "{counts}");
        assert!(first * 100 >= planted * 85, "{counts}");
        // A slip must not drag healthy values with it.
        assert!(others <= 1, "{counts}");
    }
}
