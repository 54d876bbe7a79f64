//! A reading that is not what it is taken for, in a set that is otherwise in order.
//!
//! A slip is of a known kind, and each kind has its own cost over all values that it might have
//! produced: the point one place off, two digits that changed places, the value of another line, the
//! scale of another range, the sign; or a value from nowhere, which is spread over the whole range.
//! How often people do which is common practice without a source.

use circuit::{Job, Quantity, Shown as OnMeter};
use rayon::prelude::*;

use crate::suspects::bench_model::{Probe, Response, SensitivityMatrix};
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::likelihood::{log_sum, LawErrors, Shown};
use crate::suspects::misreading::Misreading;
use crate::suspects::reading::Readings;
use crate::suspects::unread::UnreadPoint;

/// Shares of the kinds of slips (common practice, no source): the point one place off, two digits,
/// another line or point, another scale, the sign, and a value from nowhere.
const DECIMAL: f64 = 0.2;
const DIGITS: f64 = 0.15;
const OTHER_POINT: f64 = 0.2;
const OTHER_SCALE: f64 = 0.1;
const SIGN: f64 = 0.1;
const NOWHERE: f64 = 0.25;

/// Of the slips to another point, the share that goes to the lines before and after.
const NEXT_LINE: f64 = 0.6;

/// A reading this close to what the others say, in standard deviations, needs no explanation.
const NEAR: f64 = 2.5;

/// Probability of an overrange that the point did not cause.
const STRAY_OVERRANGE: f64 = 0.1;

/// What a wrong reading might have been instead.
struct Instead<'a> {
    /// Factors by which scales of its meter may be mistaken for each other.
    factors: Vec<f64>,
    /// What the meter may have shown if two digits changed places.
    swapped: Vec<f64>,
    /// How likely each of the other points is.
    shares: Vec<f64>,
    /// Other points: their entries, and what the circuit in order shows there on this meter.
    points: &'a [usize],
    response: &'a Response,
    sensitivities: &'a SensitivityMatrix,
    shift: &'a [f64],
}

/// Each used reading tried as wrong.
pub(crate) fn wrong_readings(
    job: &Job,
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    read: &Readings,
    unread: &[UnreadPoint],
) -> Vec<Evaluated> {
    let points: Vec<(usize, Probe)> = read
        .used
        .iter()
        .filter(|used| used.quantity == Quantity::DcVolts)
        .filter_map(|used| used.entry.map(|entry| (entry, Probe::of(used))))
        .chain(unread.iter().map(|point| (point.entry, point.probe)))
        .collect();
    read.used
        .par_iter()
        .enumerate()
        .map(|(place, used)| {
            let hypothesis = Hypothesis::ReadingWrong {
                reading: used.reading,
            };
            let reading = &job.readings[used.reading];
            // Slips are known for volts; a current noted wrongly is a value from nowhere.
            let is_volts = used.quantity == Quantity::DcVolts;
            if !is_volts || !is_far(in_order, &evaluator.shown, place) {
                return evaluated_as_wrong(evaluator, in_order, place, hypothesis, None);
            }
            let other = points
                .iter()
                .filter(|(entry, probe)| Some(*entry) != used.entry && probe.port != used.port);
            let (entries, probes): (Vec<usize>, Vec<Probe>) = other
                .map(|(entry, probe)| {
                    let own_meter = Probe {
                        siemens: 1.0 / used.input_ohms,
                        ..*probe
                    };
                    (*entry, own_meter)
                })
                .unzip();
            let seen = match &reading.shown {
                OnMeter::Value(_) => evaluator.bench.sensitivities(&[], &probes).ok(),
                OnMeter::Overrange => None,
            };
            let Some((response, sensitivities)) = seen else {
                return evaluated_as_wrong(evaluator, in_order, place, hypothesis, None);
            };
            let shift = evaluator.bench.lacking(&probes, &response);
            let own = used.range.full_scale;
            let ranges = reading.meter.ranges.iter();
            let factors = ranges.map(|range| own / range.full_scale);
            let mut kept: Vec<f64> = Vec::new();
            for factor in factors {
                let known = kept.iter().any(|k| (k - factor).abs() < 1e-9 * k.abs());
                let decimal = DECIMALS.iter().any(|k| (k - factor).abs() < 1e-9);
                let sound = factor > 0.0 && (factor - 1.0).abs() > 1e-9 && !decimal;
                if factor.is_finite() && sound && !known {
                    kept.push(factor);
                }
            }
            let shown = evaluator.shown.volts[place].unwrap_or(0.0);
            let resolution = match &reading.shown {
                OnMeter::Value(figure) => figure.resolution,
                OnMeter::Overrange => 0.0,
            };
            let instead = Instead {
                factors: kept,
                swapped: swapped(shown, resolution),
                shares: shares(&entries, used.entry),
                points: &entries,
                response: &response,
                sensitivities: &sensitivities,
                shift: &shift,
            };
            evaluated_as_wrong(evaluator, in_order, place, hypothesis, Some(&instead))
        })
        .collect()
}

/// Whether a reading is so far from what the others say that it asks for an explanation; an
/// overrange has none.
fn is_far(in_order: &Evaluated, shown: &Shown, place: usize) -> bool {
    let joint = &in_order.joint;
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        return false;
    };
    let weighted = &joint.covariance.inverse * joint.residuals(shown, &in_order.predicted);
    weighted[row].abs() / joint.covariance.inverse[(row, row)].sqrt() > NEAR
}

/// Tries one reading as wrong. `in_order` is the trial of the set in order, `place` the reading's
/// place among those used.
fn evaluated_as_wrong(
    evaluator: &Evaluator<'_>,
    in_order: &Evaluated,
    place: usize,
    hypothesis: Hypothesis,
    instead: Option<&Instead<'_>>,
) -> Evaluated {
    let shown = &evaluator.shown;
    let joint = &in_order.joint;
    let residuals = joint.residuals(shown, &in_order.predicted);
    let mut evaluated = in_order.clone();
    evaluated.hides = false;
    evaluated.faults = vec![(hypothesis, 1.0)];
    evaluated.sizes = vec![None];
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        let mut others = shown.clone();
        others.full_scale[place] = 0.0;
        // Beyond a full scale of nothing lies everything.
        let rest = joint.log_likelihood(&others, &in_order.predicted);
        evaluated.log_likelihood = rest + STRAY_OVERRANGE.ln();
        evaluated.log_likelihood_at_mode = evaluated.log_likelihood;
        evaluated.misread = Some(Misreading::Unexplained);
        return evaluated;
    };
    // Leaving out reading k: χ² falls by [S⁻¹r]_k²/[S⁻¹]_kk, |S| is multiplied by [S⁻¹]_kk.
    let weighted = &joint.covariance.inverse * &residuals;
    let own = joint.covariance.inverse[(row, row)];
    let chi_squared = (joint.chi_squared(&residuals) - weighted[row].powi(2) / own).max(0.0);
    let log_rest = -0.5 * chi_squared + joint.log_height()
        - 0.5 * (own.ln() - std::f64::consts::TAU.ln())
        + joint.log_overranges(shown, &in_order.predicted);
    let value = shown.volts[place].unwrap_or(0.0);
    // A value from nowhere may be any that the range of what is expected holds, however small the
    // one is that was noted.
    let expected = 1.5 * in_order.predicted[place].abs();
    let range = shown.full_scale[place].max(value.abs()).max(expected);
    let mut ways = vec![(
        Misreading::Unexplained,
        log_rest + (NOWHERE / (2.0 * range)).ln(),
    )];
    if let Some(instead) = instead {
        let meant = |value: f64| {
            let mut meant = shown.clone();
            meant.volts[place] = Some(value);
            joint.log_likelihood(&meant, &in_order.predicted)
        };
        ways.extend(by_scale((DECIMAL, &DECIMALS), value, meant));
        ways.extend(by_scale((OTHER_SCALE, &instead.factors), value, meant));
        let each = (DIGITS / instead.swapped.len().max(1) as f64).ln();
        for swapped in &instead.swapped {
            let way = Misreading::SwappedDigits { meant: *swapped };
            ways.push((way, each + meant(*swapped)));
        }
        ways.push((Misreading::OtherSign, SIGN.ln() + meant(-value)));
        ways.extend(by_point(
            shown,
            (in_order, &evaluator.bench.known),
            place,
            instead,
        ));
    }
    let mut best = ways[0];
    for way in &ways {
        if way.1 > best.1 {
            best = *way;
        }
    }
    evaluated.log_likelihood = log_sum(ways.iter().map(|way| way.1));
    evaluated.log_likelihood_at_mode = best.1;
    evaluated.misread = Some(best.0);
    evaluated.predicted[place] = value;
    evaluated.chi_squared = (chi_squared, joint.valued.len() - 1);
    evaluated
}

/// A slip by which what was noted is some factor times what stood on the meter.
fn by_scale<'a>(
    (share, factors): (f64, &'a [f64]),
    value: f64,
    log_likelihood: impl Fn(f64) -> f64 + 'a,
) -> impl Iterator<Item = (Misreading, f64)> + 'a {
    let weight = (share / factors.len().max(1) as f64).ln();
    factors.iter().map(move |factor| {
        // v = factor · y: the density of v is that of y over the factor.
        let likelihood = log_likelihood(value / factor) - factor.abs().ln();
        (
            Misreading::OtherScale { factor: *factor },
            weight + likelihood,
        )
    })
}

/// A point one place off.
const DECIMALS: [f64; 2] = [0.1, 10.0];

/// What a value was if two digits beside each other changed places, each differing value once.
fn swapped(volts: f64, resolution: f64) -> Vec<f64> {
    let places = (-resolution.max(1e-6).log10()).round().clamp(0.0, 6.0) as usize;
    let text = format!("{:.places$}", volts.abs());
    let digits: Vec<usize> = text
        .char_indices()
        .filter(|(_, letter)| letter.is_ascii_digit())
        .map(|(at, _)| at)
        .collect();
    let mut found: Vec<f64> = Vec::new();
    for pair in digits.windows(2) {
        let mut letters: Vec<char> = text.chars().collect();
        letters.swap(pair[0], pair[1]);
        let text: String = letters.into_iter().collect();
        let Ok(value) = text.parse::<f64>() else {
            continue;
        };
        let value = value.copysign(volts);
        if (value - volts).abs() > 0.5 * resolution && !found.contains(&value) {
            found.push(value);
        }
    }
    found
}

/// How likely a slip goes to each of some other entries: to the lines before and after it first.
fn shares(entries: &[usize], own: Option<usize>) -> Vec<f64> {
    let next = |entry: usize| own.is_some_and(|own| entry.abs_diff(own) == 1);
    let near = entries.iter().filter(|entry| next(**entry)).count();
    let far = entries.len() - near;
    let (by_near, by_far) = match (near, far) {
        (0, _) => (0.0, 1.0),
        (_, 0) => (1.0, 0.0),
        _ => (NEXT_LINE, 1.0 - NEXT_LINE),
    };
    let share = |entry: &usize| match next(*entry) {
        true => by_near / near.max(1) as f64,
        false => by_far / far.max(1) as f64,
    };
    entries.iter().map(share).collect()
}

fn by_point(
    shown: &Shown,
    (in_order, known): (&Evaluated, &nalgebra::DMatrix<f64>),
    place: usize,
    instead: &Instead<'_>,
) -> Vec<(Misreading, f64)> {
    let at = |(row, entry): (usize, &usize)| {
        let mut sensitivities = SensitivityMatrix::clone(&in_order.sensitivities);
        sensitivities.set_row(place, &instead.sensitivities.row(row));
        let mut predicted = in_order.predicted.clone();
        predicted[place] = instead.response.volts[row] + instead.shift[row];
        // Two readings of one point with a fine meter may be too alike to invert: no explanation.
        let before = (&*in_order.sensitivities, known);
        let changed = (&sensitivities, &[place][..], &[][..]);
        let joint = &in_order.joint;
        let joint = joint.changed(before, changed, LawErrors::NONE, shown);
        let joint = joint.ok()?;
        let likelihood = joint.log_likelihood(shown, &predicted);
        Some((
            Misreading::OtherPoint { entry: *entry },
            (OTHER_POINT * instead.shares[row]).ln() + likelihood,
        ))
    };
    instead.points.iter().enumerate().filter_map(at).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_that_may_have_changed_places() {
        // By hand: 12.5 may have been 21.5 or 15.2; the digits of 11 differ in nothing.
        assert_eq!(swapped(12.5, 0.1), [21.5, 15.2]);
        assert_eq!(swapped(-12.5, 0.1), [-21.5, -15.2]);
        assert!(swapped(11.0, 1.0).is_empty());
    }

    #[test]
    fn a_slip_to_another_line_goes_somewhere() {
        for (entries, own) in [
            (vec![0, 2, 3, 4], Some(1)),
            (vec![5, 6], Some(1)),
            (vec![0], None),
        ] {
            let sum: f64 = shares(&entries, own).iter().sum();
            // A few shares that sum to one.
            assert!((sum - 1.0).abs() < 1e-12, "{entries:?}");
        }
    }
}
