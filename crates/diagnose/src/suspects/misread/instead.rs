//! What a wrong reading may have been instead.

use circuit::{Reading, Shown as OnMeter};

use crate::suspects::bench_model::{Probe, Response, SensitivityMatrix};
use crate::suspects::evaluation::Evaluator;
use crate::suspects::misread::ways::DECIMALS;
use crate::suspects::reading::ReadingUsed;

/// Of the slips to another point, the share that goes to the lines before and after.
const NEXT_LINE: f64 = 0.6;

/// What a wrong reading might have been instead.
pub(super) struct Instead {
    /// Factors by which scales of its meter may be mistaken for each other.
    pub(super) factors: Vec<f64>,
    /// What the meter may have shown if two digits changed places.
    pub(super) swapped: Vec<f64>,
    /// How likely each of the other points is.
    pub(super) shares: Vec<f64>,
    /// Other points: their entries, and what the circuit in order shows there on this meter.
    pub(super) points: Vec<usize>,
    pub(super) response: Response,
    pub(super) sensitivities: SensitivityMatrix,
    pub(super) shift: Vec<f64>,
}

impl Instead {
    /// What the reading at some place among those used may have been, given all points that were or
    /// could have been read; none for an overrange, and where the other points cannot be computed.
    pub(super) fn of(
        evaluator: &Evaluator<'_>,
        reading: &Reading,
        (used, place): (&ReadingUsed, usize),
        points: &[(usize, Probe)],
    ) -> Option<Self> {
        let OnMeter::Value(figure) = &reading.shown else {
            return None;
        };
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
        let (response, sensitivities) = evaluator.bench.sensitivities(&[], &probes).ok()?;
        let shown = evaluator.shown.volts[place].unwrap_or(0.0);
        Some(Self {
            factors: factors(reading, used),
            swapped: swapped(shown, figure.resolution),
            shares: shares(&entries, used.entry),
            shift: evaluator.bench.lacking(&probes, &response),
            points: entries,
            response,
            sensitivities,
        })
    }
}

/// The largest factor between two scales that are mistaken for each other, either way: by more the needle hardly
/// moves, and nothing would have been noted (common practice, no source).
const MOST_FACTOR: f64 = 20.0;

/// What millivolts are taken for, where a display chooses its own range.
const MILLIVOLTS: f64 = 1e3;

/// Factors between the scale that was used and the others of its meter, each once. A digital display has no scales,
/// but its ranges may be mistaken for each other, and millivolts for volts.
fn factors(reading: &Reading, used: &ReadingUsed) -> Vec<f64> {
    let own = used.range.full_scale;
    let ranges = reading.meter.ranges.iter();
    let mut kept: Vec<f64> = Vec::new();
    kept.extend(reading.meter.counts.map(|_| MILLIVOLTS));
    for factor in ranges.map(|range| own / range.full_scale) {
        let known = kept.iter().any(|k| (k - factor).abs() < 1e-9 * k.abs());
        let decimal = DECIMALS.iter().any(|k| (k - factor).abs() < 1e-9);
        let sound = factor > 0.0 && (factor - 1.0).abs() > 1e-9 && !decimal;
        let near = (1.0 / MOST_FACTOR..=MOST_FACTOR).contains(&factor);
        if near && sound && !known {
            kept.push(factor);
        }
    }
    kept
}

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
