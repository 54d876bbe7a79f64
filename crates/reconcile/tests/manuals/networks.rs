//! Random networks with a manual each: parts drawn from within their tolerances, meters from
//! within their accuracy, values rounded as printed. Seeded.

use std::fmt::Write;

use circuit::{meter_classes as built_in, Conditions, Job, Meter, MeterRange, Port};
use reconcile::accuracy_half_width;
use solver::{solve, Load, LoadedPort, Solution};
use translate::Draws;

use crate::jobs::job;

/// A random network, as drawn and as built twice: a tree of resistors on one supply, with some
/// resistors to ground.
fn networks(draws: &mut Draws) -> ([String; 3], usize) {
    let mut texts = ["ground gnd\n"; 3].map(str::to_owned);
    let mut count = 0;
    let mut part = |draws: &mut Draws, line: &str, value: f64, tolerance: f64, ends: &str| {
        let percent = tolerance * 100.0;
        count += 1;
        for (built, text) in texts.iter_mut().enumerate() {
            let share = match built {
                0 => 1.0,
                _ => 1.0 + tolerance * (2.0 * draws.uniform() - 1.0),
            };
            writeln!(
                text,
                "{line}{count}: {value:.6}{ends}",
                value = value * share,
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
    (texts, nodes)
}

/// What a meter of some error shows on the range that a technician ends on.
pub fn shown(meter: &Meter, port: LoadedPort, draws: &mut Draws) -> f64 {
    shown_by(meter, port, 0.0, draws)
}

/// The same by a technician who so often stops one range short of it.
fn shown_by(meter: &Meter, port: LoadedPort, short: f64, draws: &mut Draws) -> f64 {
    let stops_short = short > 0.0 && draws.uniform() < short;
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
    let mut before = volts;
    for range in meter.ranges.iter().rev().skip(1) {
        if !range.holds(volts) {
            break;
        }
        before = volts;
        volts = on(*range);
    }
    if stops_short {
        before
    } else {
        volts
    }
}

/// A drawn network, the set that its manual was read on, and another set of the same drawing.
pub struct Network {
    /// The drawing, with the manual read on the first set.
    pub job: Job,
    /// The meter of the manual.
    pub meter: Meter,
    /// The two sets, solved.
    pub sets: [Solution; 2],
}

/// A network in order.
pub fn healthy(draws: &mut Draws) -> Network {
    healthy_read(0.0, draws)
}

/// A network in order, its manual read by one who so often stops a range short of the lowest.
pub fn healthy_read(short: f64, draws: &mut Draws) -> Network {
    let ([drawn, first, second], nodes) = networks(draws);
    let classes = built_in();
    let meter = classes[(draws.uniform() * classes.len() as f64) as usize].clone();
    let set = |built: &str| job(built, "point,at,value\n1,p0,1\n", "1k/V").circuit;
    let sets = [&first, &second].map(|built| solve(&set(built), &Conditions::default()).unwrap());
    let drawing = set(&drawn);
    let minus = drawing.node("gnd").unwrap();
    let mut manual = "point,at,value\n".to_owned();
    for node in 0..=nodes {
        let plus = drawing.node(&format!("p{node}")).unwrap();
        let port = sets[0].port(Port { plus, minus });
        let volts = shown_by(&meter, port, short, draws);
        let decimals = if volts >= 100.0 { 0 } else { 1 };
        writeln!(manual, "{node},p{node},{volts:.decimals$}").unwrap();
    }
    Network {
        job: job(&drawn, &manual, &meter.name),
        meter,
        sets,
    }
}
