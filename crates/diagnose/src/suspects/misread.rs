//! A reading that is not what it is taken for, in a set that is otherwise in order.
//!
//! Three ways are weighed: read off the scale of another range, taken at another point of the
//! manual, or wrong in no particular way, which spreads it over the whole range. How often people
//! do which is common practice without a source.

use circuit::{Job, Shown as OnMeter};
use rayon::prelude::*;

use crate::suspects::fault::Hypothesis;
use crate::suspects::likelihood::{log_sum, Joint, Shown};
use crate::suspects::next::Unread;
use crate::suspects::rank::look;
use crate::suspects::reading::Readings;
use crate::suspects::trial::{Trials, Tried};
use crate::suspects::view::{Look, Spread, View};

/// How a reading went wrong.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Misreading {
    /// In no way that can be told.
    Unexplained,
    /// Read off the scale of another range, or by a power of ten: what was noted is this many
    /// times what the meter showed.
    OtherScale {
        /// The factor.
        factor: f64,
    },
    /// Taken at the point of another entry, as an index into [`circuit::Job::manual`].
    OtherPoint {
        /// The entry.
        entry: usize,
    },
}

/// Shares of the three ways.
const UNEXPLAINED: f64 = 0.5;
const OTHER_SCALE: f64 = 0.25;
const OTHER_POINT: f64 = 0.25;

/// A reading this close to what the others say, in standard deviations, needs no explanation.
const NEAR: f64 = 2.5;

/// Probability of an overrange that the point did not cause.
const STRAY_OVERRANGE: f64 = 0.1;

/// What a wrong reading might have been instead.
struct Instead<'a> {
    /// Factors by which scales of its meter may be mistaken for each other.
    pub(crate) factors: Vec<f64>,
    /// Other points: their entries, and what the circuit in order shows there on this meter.
    pub(crate) points: &'a [usize],
    pub(crate) view: &'a View,
    pub(crate) spread: &'a Spread,
    pub(crate) shift: &'a [f64],
}

/// Each used reading tried as wrong.
pub(crate) fn wrong_readings(
    job: &Job,
    trials: &Trials<'_>,
    in_order: &Tried,
    read: &Readings,
    unread: &[Unread],
) -> Vec<Tried> {
    let points: Vec<(usize, Look)> = read
        .used
        .iter()
        .filter_map(|used| used.entry.map(|entry| (entry, look(used))))
        .chain(unread.iter().map(|point| (point.entry, point.look)))
        .collect();
    read.used
        .par_iter()
        .enumerate()
        .map(|(place, used)| {
            let hypothesis = Hypothesis::reading(used.reading);
            let reading = &job.readings[used.reading];
            if !is_far(in_order, &trials.shown, place) {
                return tried_as_wrong(trials, in_order, place, hypothesis, None);
            }
            let other = points
                .iter()
                .filter(|(entry, look)| Some(*entry) != used.entry && look.port != used.port);
            let (entries, looks): (Vec<usize>, Vec<Look>) = other
                .map(|(entry, look)| {
                    let own_meter = Look {
                        siemens: 1.0 / used.input_ohms,
                        ..*look
                    };
                    (*entry, own_meter)
                })
                .unzip();
            let seen = match &reading.shown {
                OnMeter::Value(_) => trials.bench.spread(&[], &looks).ok(),
                OnMeter::Overrange => None,
            };
            let Some((view, spread)) = seen else {
                return tried_as_wrong(trials, in_order, place, hypothesis, None);
            };
            let shift = trials.bench.lacking(&looks, &view);
            let own = used.range.full_scale;
            let ranges = reading.meter.ranges.iter();
            let factors = ranges
                .map(|range| own / range.full_scale)
                .chain([0.1, 10.0]);
            let mut kept: Vec<f64> = Vec::new();
            for factor in factors {
                let known = kept.iter().any(|k| (k - factor).abs() < 1e-9 * k.abs());
                let sound = factor > 0.0 && (factor - 1.0).abs() > 1e-9;
                if factor.is_finite() && sound && !known {
                    kept.push(factor);
                }
            }
            let instead = Instead {
                factors: kept,
                points: &entries,
                view: &view,
                spread: &spread,
                shift: &shift,
            };
            tried_as_wrong(trials, in_order, place, hypothesis, Some(&instead))
        })
        .collect()
}

/// Whether a reading is so far from what the others say that it asks for an explanation; an
/// overrange has none.
fn is_far(in_order: &Tried, shown: &Shown, place: usize) -> bool {
    let joint = &in_order.joint;
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        return false;
    };
    let weighted = &joint.covariance.inverse * joint.residuals(shown, &in_order.predicted);
    weighted[row].abs() / joint.covariance.inverse[(row, row)].sqrt() > NEAR
}

/// Tries one reading as wrong. `in_order` is the trial of the set in order, `place` the reading's
/// place among those used.
fn tried_as_wrong(
    trials: &Trials<'_>,
    in_order: &Tried,
    place: usize,
    hypothesis: Hypothesis,
    instead: Option<&Instead<'_>>,
) -> Tried {
    let shown = &trials.shown;
    let joint = &in_order.joint;
    let residuals = joint.residuals(shown, &in_order.predicted);
    let mut tried = in_order.clone();
    tried.faults = vec![(hypothesis, 1.0)];
    tried.sizes = vec![None];
    let Some(row) = joint.valued.iter().position(|valued| *valued == place) else {
        let mut others = shown.clone();
        others.full_scale[place] = 0.0;
        // Beyond a full scale of nothing lies everything.
        let rest = joint.log_likelihood(&others, &in_order.predicted);
        tried.log_likelihood = rest + STRAY_OVERRANGE.ln();
        tried.log_likelihood_at_mode = tried.log_likelihood;
        tried.misread = Some(Misreading::Unexplained);
        return tried;
    };
    // Leaving out reading k: χ² falls by [S⁻¹r]_k²/[S⁻¹]_kk, |S| is multiplied by [S⁻¹]_kk.
    let weighted = &joint.covariance.inverse * &residuals;
    let own = joint.covariance.inverse[(row, row)];
    let chi_squared = (joint.chi_squared(&residuals) - weighted[row].powi(2) / own).max(0.0);
    let log_rest = -0.5 * chi_squared + joint.log_height()
        - 0.5 * (own.ln() - std::f64::consts::TAU.ln())
        + joint.log_overranges(shown, &in_order.predicted);
    let value = shown.volts[place].unwrap_or(0.0);
    let range = shown.full_scale[place].max(value.abs());
    let mut ways = vec![(
        Misreading::Unexplained,
        log_rest + (UNEXPLAINED / (2.0 * range)).ln(),
    )];
    if let Some(instead) = instead {
        ways.extend(by_scale(joint, shown, in_order, place, &instead.factors));
        ways.extend(by_point(shown, (in_order, &trials.bench.known), place, instead));
    }
    let mut best = ways[0];
    for way in &ways {
        if way.1 > best.1 {
            best = *way;
        }
    }
    tried.log_likelihood = log_sum(ways.iter().map(|way| way.1));
    tried.log_likelihood_at_mode = best.1;
    tried.misread = Some(best.0);
    tried.predicted[place] = value;
    tried.chi_squared = (chi_squared, joint.valued.len() - 1);
    tried
}

fn by_scale(
    joint: &Joint,
    shown: &Shown,
    in_order: &Tried,
    place: usize,
    factors: &[f64],
) -> Vec<(Misreading, f64)> {
    let weight = (OTHER_SCALE / factors.len().max(1) as f64).ln();
    let at = |factor: &f64| {
        let mut meant = shown.clone();
        meant.volts[place] = meant.volts[place].map(|volts| volts / factor);
        // v = factor · y: the density of v is that of y over the factor.
        let likelihood = joint.log_likelihood(&meant, &in_order.predicted) - factor.abs().ln();
        (
            Misreading::OtherScale { factor: *factor },
            weight + likelihood,
        )
    };
    factors.iter().map(at).collect()
}

fn by_point(
    shown: &Shown,
    (in_order, known): (&Tried, &nalgebra::DMatrix<f64>),
    place: usize,
    instead: &Instead<'_>,
) -> Vec<(Misreading, f64)> {
    let weight = (OTHER_POINT / instead.points.len().max(1) as f64).ln();
    let at = |(row, entry): (usize, &usize)| {
        let mut spread = Spread::clone(&in_order.spread);
        spread.set_row(place, &instead.spread.row(row));
        let mut predicted = in_order.predicted.clone();
        predicted[place] = instead.view.volts[row] + instead.shift[row];
        // Two readings of one point with a fine meter may be too alike to invert: no explanation.
        let joint = Joint::new(&spread, known, shown).ok()?;
        let likelihood = joint.log_likelihood(shown, &predicted);
        Some((
            Misreading::OtherPoint { entry: *entry },
            weight + likelihood,
        ))
    };
    instead.points.iter().enumerate().filter_map(at).collect()
}
