//! Translated values beside what the sets of known truth show.

use reconcile::ValueStatus;
use translate::{side_on, translate, BenchSide, Carried, Input};

use super::sets::Set;

/// One value by one way.
#[derive(Clone, Copy)]
pub struct Way {
    /// Volts off what the manual's specimen shows.
    pub error: f64,
    /// The same as a share of it, 0.1 V added.
    pub relative: f64,
    /// Whether its 95 % interval holds that.
    pub holds: bool,
}

/// One value through one bench meter.
pub struct Judged {
    pub place: String,
    /// Manual and drawing reconciled, and each by itself.
    pub both: Way,
    pub manual: Option<Way>,
    pub drawing: Option<Way>,
    /// Whether the bench specimen, which is in order, fails.
    pub failed: bool,
    /// The bench specimen's volts, the expected ones and the band with its guard, in words.
    #[allow(dead_code, reason = "for the benchmark")]
    pub limits: String,
    pub value_status: ValueStatus,
    /// Whether the printed value is a misprint.
    pub slipped: bool,
}

/// Every value of a set, and what could not be had; none where the set has no drawing of that kind.
pub fn judged(set: &Set, wrong: bool) -> Option<(Vec<Judged>, Vec<String>)> {
    let job = set.job(wrong)?;
    let (mut found, mut surprises) = (Vec::new(), Vec::new());
    let translation = match translate(&job) {
        Ok(translation) => translation,
        Err(error) => return Some((found, vec![format!("{}: {error}", set.id)])),
    };
    for (point, truth) in translation.points.iter().zip(&set.points) {
        let carried = match &point.outcome {
            Ok(carried) => carried,
            Err(why) => {
                surprises.push(format!("{} {}: {why:?}", set.id, truth.place));
                continue;
            }
        };
        for (side, meter) in carried.bench.iter().zip(["10M", "20k"]) {
            // The truth is of this range; on the manual's the meter would be the manual's.
            let full_scale = truth.bench_range_20k;
            let other =
                (meter == "20k" && (side.range.full_scale - full_scale).abs() > 1e-9).then(|| {
                    let own = job.bench.meters.iter().find(|own| own.name == side.meter)?;
                    side_on(&job, point.entry, carried, (own, full_scale)).ok()?
                });
            let side = match &other {
                Some(Some(other)) => other,
                Some(None) => {
                    surprises.push(format!("{} {}: no state on its range", set.id, truth.place));
                    continue;
                }
                None => side,
            };
            let specimens = [&truth.manual_specimen, &truth.bench_specimen];
            if let [Some(own), Some(other)] = specimens.map(|shown| shown.get(meter)) {
                found.push(Judged {
                    place: truth.place.clone(),
                    slipped: truth.slip.is_some(),
                    ..of(carried, side, *own, *other)
                });
            }
        }
    }
    Some((found, surprises))
}

fn of(carried: &Carried, side: &BenchSide, own: f64, other: f64) -> Judged {
    let sources = carried.sources(side);
    let way = |volts: f64, standard: f64, factor: f64| Way {
        error: volts - own,
        holds: (volts - own).abs() <= factor * standard + 1e-9,
        relative: (volts - own) / (0.1 + own.abs()),
    };
    // Of a normal deviation.
    let alone = |alone: translate::Alone| way(alone.volts, alone.standard, 1.96);
    Judged {
        place: String::new(),
        both: way(
            side.expected,
            without_bench_meter(side),
            side.budget.coverage,
        ),
        manual: sources.manual.map(alone),
        drawing: sources.drawing.map(alone),
        failed: fails(side, other),
        limits: limits(side, other),
        value_status: carried.manual.value_status,
        slipped: false,
    }
}

/// Standard uncertainty in volts of the expected value, the bench meter's own error left out.
pub fn without_bench_meter(side: &BenchSide) -> f64 {
    let lines = side.budget.lines.iter();
    let bench = lines.filter(|line| line.input == Input::BenchMeter);
    let bench: f64 = bench.map(|line| line.volts().powi(2)).sum();
    (side.budget.standard.powi(2) - bench).max(0.0).sqrt()
}

/// Whether a reading of so many volts lies beyond the band and its guard.
pub fn fails(side: &BenchSide, volts: f64) -> bool {
    let margin = side.budget.expanded();
    side.band.high.is_some_and(|high| volts > high + margin)
        || side.band.low.is_some_and(|low| volts < low - margin)
}

fn limits(side: &BenchSide, volts: f64) -> String {
    let margin = side.budget.expanded();
    let (low, high) = (side.band.low, side.band.high);
    format!(
        "shows {volts:.3} V, expected {:.3}, {:.3} to {:.3} V",
        side.expected,
        low.map_or(f64::NEG_INFINITY, |low| low - margin),
        high.map_or(f64::INFINITY, |high| high + margin)
    )
}

/// Counts of some values. Of the three ways the first is both together, then the manual alone, then
/// the drawing alone.
pub struct Counts {
    pub values: usize,
    /// Shares held by the 95 % interval, in percent.
    pub held: [f64; 3],
    /// Root-mean-square errors in volts, and in percent.
    pub volts: [f64; 3],
    pub relative: [f64; 3],
    /// Share of bench specimens in order that fail, in percent.
    pub failed: f64,
    /// Share of printed values that are doubted, in percent.
    pub doubted: f64,
}

impl Counts {
    pub fn of<'a>(all: impl Iterator<Item = &'a Judged>) -> Self {
        let all: Vec<&Judged> = all.collect();
        let ways: [Vec<Way>; 3] = [
            all.iter().map(|one| one.both).collect(),
            all.iter().filter_map(|one| one.manual).collect(),
            all.iter().filter_map(|one| one.drawing).collect(),
        ];
        let share = |count: usize, of: usize| 100.0 * count as f64 / of.max(1) as f64;
        let rms = |ways: &[Way], of: fn(&Way) -> f64| {
            (ways.iter().map(|way| of(way).powi(2)).sum::<f64>() / ways.len().max(1) as f64).sqrt()
        };
        let failed = all.iter().filter(|one| one.failed).count();
        let believed = |one: &&&Judged| one.value_status == ValueStatus::Believed;
        let doubted = all.len() - all.iter().filter(believed).count();
        Counts {
            values: all.len(),
            held: ways
                .each_ref()
                .map(|ways| share(ways.iter().filter(|way| way.holds).count(), ways.len())),
            volts: ways.each_ref().map(|ways| rms(ways, |way| way.error)),
            relative: ways
                .each_ref()
                .map(|ways| 100.0 * rms(ways, |way| way.relative)),
            failed: share(failed, all.len()),
            doubted: share(doubted, all.len()),
        }
    }
}
