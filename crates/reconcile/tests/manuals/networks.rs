//! Random networks with a manual each: parts drawn from within their tolerances, meters from
//! within their accuracy, values rounded as printed. Seeded.

use std::fmt::Write;

use circuit::{meter_classes as built_in, Conditions, Job, Meter, Port};
use reconcile::accuracy_half_width;
use solver::{solve, Load, LoadedPort, Solution};
use translate::Draws;

use super::jobs::job;

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

/// What a meter of some error shows on the range that a technician ends on; the error is another one at each
/// reading.
pub fn shown(meter: &Meter, port: LoadedPort, draws: &mut Draws) -> f64 {
    Instrument::erring_by_reading(meter, draws).shows(port, 0.0, draws)
}

/// Share of what a meter may be off that all readings of a range have in common, where it errs by ranges; the
/// rest is reading error (common practice, no source).
const IN_COMMON: f64 = 0.9;

/// A meter with the errors that it happens to have.
struct Instrument {
    meter: Meter,
    /// For each range, how far off it is, of what it may be; empty for a meter that errs by readings.
    off: Vec<f64>,
    /// Whether a range is off in proportion to the reading; else by the same volts all over.
    in_proportion: bool,
}

impl Instrument {
    fn erring_by_reading(meter: &Meter, _: &mut Draws) -> Self {
        Instrument {
            meter: meter.clone(),
            off: Vec::new(),
            in_proportion: false,
        }
    }

    fn erring_by_range(meter: &Meter, draws: &mut Draws) -> Self {
        Instrument {
            meter: meter.clone(),
            off: meter.ranges.iter().map(|_| either_way(draws)).collect(),
            in_proportion: draws.uniform() < 0.5,
        }
    }

    /// What it shows to one who so often stops one range short of the right one.
    fn shows(&self, port: LoadedPort, short: f64, draws: &mut Draws) -> f64 {
        let stops_short = short > 0.0 && draws.uniform() < short;
        let eye = either_way(draws);
        let meter = &self.meter;
        let on = |place: usize| {
            let range = meter.ranges[place];
            let siemens = 1.0 / meter.input_ohms(range);
            let volts = port.volts(Load {
                siemens,
                amperes: 0.0,
            });
            let accuracy = meter.accuracy.unwrap();
            let limit =
                accuracy_half_width(accuracy, volts, range.full_scale, meter.counts).unwrap();
            let Some(off) = self.off.get(place) else {
                return volts + eye * limit;
            };
            let most = match self.in_proportion {
                true => (volts / range.full_scale).min(1.0) * limit,
                false => limit,
            };
            volts + IN_COMMON * off * most + (1.0 - IN_COMMON) * eye * limit
        };
        let last = meter.ranges.len() - 1;
        let mut volts = on(last);
        let mut before = volts;
        for place in (0..last).rev() {
            if !meter.ranges[place].holds(volts) {
                break;
            }
            before = volts;
            volts = on(place);
        }
        if stops_short {
            before
        } else {
            volts
        }
    }
}

/// Anything from −1 to 1, equally likely.
fn either_way(draws: &mut Draws) -> f64 {
    2.0 * draws.uniform() - 1.0
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
    read_by(Instrument::erring_by_reading, 0.0, draws)
}

/// A network in order, its manual read by one who so often stops a range short of the lowest.
pub fn healthy_read(short: f64, draws: &mut Draws) -> Network {
    read_by(Instrument::erring_by_reading, short, draws)
}

/// The same, with a meter that errs by ranges.
pub fn healthy_off_by_ranges(short: f64, draws: &mut Draws) -> Network {
    read_by(Instrument::erring_by_range, short, draws)
}

fn read_by(
    instrument: fn(&Meter, &mut Draws) -> Instrument,
    short: f64,
    draws: &mut Draws,
) -> Network {
    let ([drawn, first, second], nodes) = networks(draws);
    let classes = built_in();
    let meter = classes[(draws.uniform() * classes.len() as f64) as usize].clone();
    let set = |built: &str| job(built, "point,at,value\n1,p0,1\n", "1k/V").circuit;
    let sets = [&first, &second].map(|built| solve(&set(built), &Conditions::default()).unwrap());
    let drawing = set(&drawn);
    let minus = drawing.node("gnd").unwrap();
    let instrument = instrument(&meter, draws);
    let mut manual = "point,at,value\n".to_owned();
    for node in 0..=nodes {
        let plus = drawing.node(&format!("p{node}")).unwrap();
        let port = sets[0].port(Port { plus, minus });
        let volts = instrument.shows(port, short, draws);
        let decimals = if volts >= 100.0 { 0 } else { 1 };
        writeln!(manual, "{node},p{node},{volts:.decimals$}").unwrap();
    }
    Network {
        job: job(&drawn, &manual, &meter.name),
        meter,
        sets,
    }
}
