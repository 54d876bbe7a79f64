//! The reading of a point as a curve over the resistance of the meter.
//!
//! A carried point and meters come in; samples of the reading, with the band that the manual allows
//! there, go out. It knows nothing of axes or of the words beside them.

use circuit::{Job, Meter};
use solver::SolveError;

use crate::band::Band;
use crate::bench::{BenchSide, ReadyPoint};
use crate::point::Carried;

/// The least and the greatest meter resistance in ohms that a curve may show: no voltmeter of the
/// trade loads more than the one or less than the other (common practice, no source).
const BOUNDS: (f64, f64) = (1e3, 1e9);

/// A meter of a third of the point's own resistance shows a quarter of the volts, and no one reads
/// with less; one of three hundred times shows all but a third of a percent.
const AROUND_SOURCE: (f64, f64) = (1.0 / 3.0, 300.0);

/// Room beside the outermost meters, as a ratio.
const BESIDE: f64 = 2.5;

/// What a meter of one resistance should read.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CurveSample {
    /// Resistance of the meter in ohms.
    pub ohms: f64,
    /// Volts it should read; none where the circuit finds no state with that meter on it.
    pub volts: Option<f64>,
    /// What the manual's tolerance allows it to read, in volts.
    pub band: Band,
}

/// The reading through a meter of each of these resistances (ohms), and the manual's limits carried
/// to it.
pub fn reading_curve(carried: &Carried, resistances: &[f64]) -> Vec<CurveSample> {
    let sample = |ohms: &f64| {
        let siemens = 1.0 / ohms;
        let volts = carried.point_model.carried(siemens).ok();
        let volts = volts.filter(|volts| volts.is_finite());
        let band = volts.map(|volts| carried.band_about(volts));
        CurveSample {
            ohms: *ohms,
            volts,
            band: band.unwrap_or_default(),
        }
    };
    resistances.iter().map(sample).collect()
}

impl Carried {
    /// The band round a value on any meter: as far from it, as a share, as the first bench meter's
    /// is from its own, or as far in volts where there is none to be a share of.
    fn band_about(&self, volts: f64) -> Band {
        let Some(first) = self.bench.first() else {
            let printed = (self.manual.value, volts);
            return self
                .manual
                .band
                .carried(printed, self.manual.limits_from, None)
                .0;
        };
        let ratio = volts / first.expected;
        let carry = |limit: f64| match ratio.is_finite() && ratio > 0.0 {
            true => limit * ratio,
            false => volts + limit - first.expected,
        };
        Band {
            low: first.band.low.map(carry),
            high: first.band.high.map(carry),
        }
    }
}

/// So many resistances in ohms, at equal ratios, from where a meter would load the point heavily to
/// where it loads it no more, the manual's meter and those of `sides` well inside; at least two.
pub fn curve_resistances(carried: &Carried, sides: &[BenchSide], count: usize) -> Vec<f64> {
    let (low, high) = span(carried, sides);
    let count = count.max(2);
    let step = (high / low).ln() / (count - 1) as f64;
    (0..count)
        .map(|place| match place {
            0 => low,
            place if place + 1 == count => high,
            place => low * (step * place as f64).exp(),
        })
        .collect()
}

fn span(carried: &Carried, sides: &[BenchSide]) -> (f64, f64) {
    let meters = || {
        let bench = carried.bench.iter().chain(sides);
        std::iter::once(carried.manual.input_ohms).chain(bench.map(|side| side.input_ohms))
    };
    let source = carried.source_ohms;
    let least = meters().fold(f64::INFINITY, f64::min) / BESIDE;
    let most = meters().fold(0.0, f64::max) * BESIDE;
    // No usual meter loads a point of little resistance; the curve far below their resistances is
    // of no interest.
    let low = least.min((source * AROUND_SOURCE.0).max(least / 30.0));
    let high = most.max((source * AROUND_SOURCE.1).min(most * 30.0));
    let (floor, ceiling) = BOUNDS;
    let low = low.clamp(floor, ceiling / 100.0);
    (low, high.clamp(low * 100.0, ceiling))
}

/// A meter at this point on the range of a full scale in volts; none for an entry that the manual lacks.
///
/// # Errors
/// As [`side_of`].
pub fn side_on(
    job: &Job,
    entry: usize,
    carried: &Carried,
    (meter, full_scale): (&Meter, f64),
) -> Result<Option<BenchSide>, SolveError> {
    let point = ready(job, entry, carried);
    let range = meter.range(full_scale);
    point
        .map(|point| point.on_range(meter, range, None))
        .transpose()
}

/// A point of a manual, ready for any meter.
fn ready<'p>(job: &'p Job, entry: usize, carried: &'p Carried) -> Option<ReadyPoint<'p>> {
    Some(ReadyPoint {
        circuit: &job.circuit,
        entry: job.manual.get(entry)?,
        manual: &carried.manual,
        point_model: &carried.point_model,
    })
}

/// A meter on the range that a technician would end on at this point, as if it lay on the bench;
/// none for a meter that lists no range, or an entry that the manual lacks.
///
/// # Errors
/// [`SolveError`] where the circuit finds no state with the meter on it.
pub fn side_of(
    job: &Job,
    entry: usize,
    carried: &Carried,
    meter: &Meter,
) -> Result<Option<BenchSide>, SolveError> {
    match ready(job, entry, carried) {
        Some(point) => point.on_own_range(meter),
        None => Ok(None),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::anchor::Anchor;
    use crate::band::LimitsFrom;
    use crate::manual_side::ManualSide;
    use crate::point::Model;
    use crate::point_model::PointModel;
    use circuit::MeterRange;
    use reconcile::RangeChoice;

    /// 200 V behind 220 kΩ, read through 250 kΩ; ± 10 V of what was read.
    fn carried(ohms: f64) -> Carried {
        let printed = 200.0 * 250e3 / (250e3 + ohms);
        let anchor = Anchor::stated(ohms, 1.0 / 250e3, printed);
        let range = MeterRange {
            full_scale: 250.0,
            input: None,
        };
        Carried {
            manual: ManualSide {
                limits_from: LimitsFrom::Row,
                value_status: reconcile::ValueStatus::Believed,
                value: printed,
                resolution: 1.0,
                range: RangeChoice {
                    range,
                    assumed: true,
                },
                input_ohms: 250e3,
                band: Band {
                    low: Some(printed - 10.0),
                    high: Some(printed + 10.0),
                },
            },
            model: Model::default(),
            source_ohms: anchor.source_ohms(),
            loading: anchor.loading(),
            unloaded: anchor.unloaded(),
            bench: Vec::new(),
            remarks: Vec::new(),
            point_model: PointModel::Stated(anchor),
        }
    }

    #[test]
    fn a_linear_point_follows_the_voltage_divider() {
        let carried = carried(220e3);
        let resistances = curve_resistances(&carried, &[], 40);
        let curve = reading_curve(&carried, &resistances);
        assert_eq!(curve.len(), 40);
        for sample in curve {
            // V·Rm/(Rm + R); the limits by the ratio of both meters' dividers.
            let share = sample.ohms / (sample.ohms + 220e3);
            let ratio = share / (250e3 / 470e3);
            let volts = sample.volts.unwrap();
            // Products of a few numbers below 1e7 round to less than 1e-9 of some hundred volts.
            assert!((volts - 200.0 * share).abs() <= 1e-9, "{sample:?}");
            let width = sample.band.high.unwrap() - sample.band.low.unwrap();
            assert!((width - 20.0 * ratio).abs() <= 1e-9, "{sample:?}");
        }
    }

    #[test]
    fn the_axis_rises_holds_every_meter_and_ends_where_nothing_happens_any_more() {
        for ohms in [0.0, 10.0, 4.7e3, 220e3, 22e6, 4e9] {
            let resistances = curve_resistances(&carried(ohms), &[], 25);
            assert_eq!(resistances.len(), 25);
            assert!(resistances.windows(2).all(|pair| pair[0] < pair[1]));
            let (low, high) = (resistances[0], resistances[24]);
            assert!(
                low < 250e3 && high > 250e3 && low >= 1e3 && high <= 1e9,
                "{ohms}"
            );
        }
        let ends = curve_resistances(&carried(220e3), &[], 2);
        // At 300 times its own resistance a point shows 300/301 of its volts.
        assert!(ends[1] >= 30.0 * 220e3 && ends[0] <= 220e3 / 2.0);
    }
}
