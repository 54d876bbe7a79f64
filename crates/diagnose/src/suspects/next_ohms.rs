//! What to measure with the power off.
//!
//! The suspects as they stand come in; of the ends of their parts and of the manual's resistances not yet read, those go
//! out whose reading with the power off is expected to lower the entropy of the faults most. It
//! is safe, and tells what volts cannot.

use circuit::{spread_of, Circuit, Job, Meter, Ohmmeter, Port, Quantity};
use solver::PowerOff;
use translate::{ohms_by_parts, ohms_seen};

use crate::suspects::bench_model::SizedFault;
use crate::suspects::beside::{leak_scatter, without_power, CONTACT_OHMS, LEAST_SHARE};
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::fault_predictions::{leading, LEAST_GAIN, TELLING};
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::likely_set::leaking;

/// Places that are looked at, at most: those of the likeliest parts.
const PLACES: usize = 24;

/// Two suspects of some weight have to lie so many standard deviations of a reading apart for a place
/// to be named.
const APART: f64 = 3.0;

/// Gains in bits that differ by less count as the same: predictions are not known more closely.
const SAME_GAIN: f64 = 0.01;

/// An ohmmeter shows more than so many times its largest value as it shows an open circuit.
pub(crate) const BEYOND: f64 = 3.0;

/// A resistance worth measuring.
#[derive(Clone, Debug, PartialEq)]
pub struct NextOhms {
    /// Where the leads go, the red one first.
    pub port: Port,
    /// The manual's entry of that resistance, as an index into [`Job::manual`].
    pub entry: Option<usize>,
    /// Index into [`circuit::Bench::meters`].
    pub meter: usize,
    /// The most ohms that it shows; more is an open circuit to it.
    pub most: f64,
    /// Expected drop of the entropy of the faults, in bits.
    pub gain_bits: f64,
    /// What the leading faults predict, the most probable first.
    pub predictions: Vec<OhmPrediction>,
}

/// What a fault predicts with the power off.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OhmPrediction {
    /// The suspect, by its place in [`crate::Suspects::hypotheses`].
    pub suspect: usize,
    /// Which of its members.
    pub member: usize,
    /// Ohms; infinite for an open circuit.
    pub ohms: f64,
    /// Standard deviation of their logarithm.
    pub share: f64,
}

/// The most telling measurements with the power off. `read` are the points whose resistance was
/// read already.
pub(crate) fn next_ohms(
    job: &Job,
    most: usize,
    (posteriors, suspects): (&[Posterior], &[(Vec<usize>, AmbiguityGroup)]),
    read: &[usize],
) -> Vec<NextOhms> {
    let meter = job.bench.meters.first().map(Meter::with_usual_sides);
    let own = meter
        .as_ref()
        .and_then(|meter| Some((meter, meter.ohmmeter.as_ref()?)));
    let Some((meter, ohmmeter)) = own.filter(|_| most > 0) else {
        return Vec::new();
    };
    let leading = leading(posteriors, suspects);
    let faults = leading.iter().map(|own| &posteriors[own.trial].evaluated);
    let places = places(
        job,
        faults.flat_map(|evaluated| evaluated.faults.iter()),
        read,
    );
    let leaking = leaking(&job.circuit);
    // One row a fault, one column a place.
    let by_fault: Vec<Option<Vec<(f64, f64)>>> = parallel::map(&leading, |own| {
        let evaluated = &posteriors[own.trial].evaluated;
        fault_predictions(
            (&job.circuit, &leaking),
            (&evaluated.faults, evaluated.log_size_sigma),
            &places,
            (meter, ohmmeter),
        )
    });
    let mut found: Vec<NextOhms> = Vec::new();
    for (place, (port, entry)) in places.iter().enumerate() {
        let mut predictions = Vec::new();
        let mut predicted = Vec::new();
        for (own, fault_predictions) in leading.iter().zip(&by_fault) {
            let Some((ohms, share)) = fault_predictions
                .as_ref()
                .and_then(|all| all.get(place))
                .copied()
            else {
                continue;
            };
            predictions.push(OhmPrediction {
                suspect: own.suspect,
                member: own.member,
                ohms,
                share,
            });
            predicted.push(Predicted {
                probability: posteriors[own.trial].probability,
                volts: (ohms.min(BEYOND * ohmmeter.most()) + CONTACT_OHMS).ln(),
                sigma: share,
            });
        }
        let gain_bits = expected_gain_bits(&predicted);
        if gain_bits > LEAST_GAIN && is_telling(&predicted) {
            found.push(NextOhms {
                port: *port,
                entry: *entry,
                meter: 0,
                most: ohmmeter.most(),
                gain_bits,
                predictions,
            });
        }
    }
    // Stable: of places that tell as much, that across the likelier part comes first.
    found.sort_by_key(|place| std::cmp::Reverse((place.gain_bits / SAME_GAIN).round() as i64));
    found.truncate(most);
    found
}

/// Whether two faults of some weight lie far enough apart for a reading to tell them.
pub(crate) fn is_telling(predicted: &[Predicted]) -> bool {
    let weighty = || predicted.iter().filter(|one| one.probability >= TELLING);
    weighty().any(|a| weighty().any(|b| (a.volts - b.volts).abs() > APART * a.sigma.hypot(b.sigma)))
}

/// Across the suspected parts, then the manual's resistances; each place once.
fn places<'a>(
    job: &Job,
    faults: impl Iterator<Item = &'a SizedFault>,
    read: &[usize],
) -> Vec<(Port, Option<usize>)> {
    let same = |a: Port, b: Port| {
        (a.plus == b.plus && a.minus == b.minus) || (a.plus == b.minus && a.minus == b.plus)
    };
    let taken: Vec<Port> = read
        .iter()
        .filter_map(|reading| job.readings.get(*reading)?.port)
        .collect();
    let charted = job.manual.iter().enumerate();
    let charted: Vec<(Port, Option<usize>)> = charted
        .filter(|(_, entry)| entry.quantity == Quantity::Ohms && entry.settings.is_empty())
        .filter_map(|(index, entry)| Some((entry.port?, Some(index))))
        .collect();
    let across = faults.flat_map(|(hypothesis, _)| ports_of(job, hypothesis.part()));
    let mut found: Vec<(Port, Option<usize>)> = Vec::new();
    for (port, entry) in across
        .map(|port| (port, None))
        .chain(charted.iter().copied())
    {
        let known = found.iter().any(|(other, _)| same(*other, port));
        if known || found.len() >= PLACES || taken.iter().any(|other| same(*other, port)) {
            continue;
        }
        // What the manual lists is said by its own name, with its leads.
        let listed = charted.iter().find(|(other, _)| same(*other, port));
        found.push(listed.copied().unwrap_or((port, entry)));
    }
    found
}

/// Each terminal of a part against its last one.
fn ports_of(job: &Job, part: Option<circuit::PartId>) -> Vec<Port> {
    let Some(part) = part.and_then(|id| job.circuit.parts().get(id.0)) else {
        return Vec::new();
    };
    // No test voltage is put across a supply that may still hold its charge, or a generator.
    if part.kind.is_source() {
        return Vec::new();
    }
    let Some((last, others)) = part.nodes.split_last() else {
        return Vec::new();
    };
    let each = others.iter().filter(|node| *node != last);
    each.map(|node| Port {
        plus: *node,
        minus: *last,
    })
    .collect()
}

/// What a fault predicts at each place: ohms, and the standard deviation of their logarithm.
fn fault_predictions(
    (drawn, leaking): (&Circuit, &Circuit),
    (faults, log_size_sigma): (&[SizedFault], f64),
    places: &[(Port, Option<usize>)],
    (meter, ohmmeter): (&Meter, &Ohmmeter),
) -> Option<Vec<(f64, f64)>> {
    let off = without_power(leaking, &[], faults)?;
    let larger = faults.split_first().filter(|_| log_size_sigma > 0.0);
    let larger = larger.and_then(|(first, rest)| {
        let own = (first.0, first.1 * log_size_sigma.exp());
        let all: Vec<SizedFault> = std::iter::once(own).chain(rest.iter().copied()).collect();
        without_power(leaking, &[], &all)
    });
    let reads = |off: &PowerOff, port: Port| Some(ohms_seen(off, port, ohmmeter).ok()??.red);
    let log = |ohms: f64| (ohms.min(BEYOND * ohmmeter.most()) + CONTACT_OHMS).ln();
    let mut found = Vec::with_capacity(places.len());
    for (port, _) in places {
        let ohms = reads(&off, *port)?;
        let moved = larger.as_ref().and_then(|larger| reads(larger, *port));
        let moved = moved.map_or(0.0, |other| log(other) - log(ohms));
        let share = scatter(&off, *port, ohmmeter).powi(2)
            + leak_scatter(drawn, &off, *port, ohmmeter).powi(2)
            + error(meter, ohmmeter, ohms).powi(2)
            + moved.powi(2)
            + LEAST_SHARE.powi(2)
            + (0.5 * CONTACT_OHMS / (ohms + CONTACT_OHMS)).powi(2);
        let open = ohms > ohmmeter.most();
        found.push((if open { f64::INFINITY } else { ohms }, share.sqrt()));
    }
    Some(found)
}

/// What the parts leave open of a reading, as a share.
fn scatter(off: &PowerOff, port: Port, meter: &Ohmmeter) -> f64 {
    let Ok(Some((ohms, by_parts))) = ohms_by_parts(off, port, meter) else {
        return 0.0;
    };
    if !(ohms.is_finite() && ohms > 0.0) {
        return 0.0;
    }
    let each = by_parts.iter().map(|(id, slope)| {
        let spread = spread_of(off.circuit().part(id.part), id.parameter);
        (slope * spread.standard()).powi(2)
    });
    each.sum::<f64>().sqrt() / (ohms + CONTACT_OHMS)
}

/// The permitted error of an ohmmeter, as a standard deviation and a share.
pub(crate) fn error(meter: &Meter, ohmmeter: &Ohmmeter, ohms: f64) -> f64 {
    let range = ohmmeter.range_for(ohms).filter(|_| ohms.is_finite());
    let half = range.and_then(|range| ohmmeter.half_width(range, ohms, meter.counts));
    let share = half.unwrap_or(0.0) / 3f64.sqrt() / (ohms + CONTACT_OHMS);
    if share.is_finite() {
        share.min(1.0)
    } else {
        0.0
    }
}
