//! Where to put the probe next.
//!
//! The suspects as they stand come in; of the manual's points not yet read and every node of the
//! drawing, those go out whose reading is expected to lower the entropy of the faults most, also of
//! those that no reading so far tells apart. The
//! meter is the first of the bench. How a suspect was found is not known here.

use circuit::{Job, MeterRange, Port};
use rayon::prelude::*;
use reconcile::choose_range;

use crate::hazard::HAZARDOUS_DC;
use crate::worst_case::WorstCaseVolts;

use crate::suspects::altered_set::PartStep;
use crate::suspects::bench_model::{Probe, SizedFault};
use crate::suspects::costs::StepKind;
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::next_places::{places, Place};
use crate::suspects::options::SuspectOptions;
use crate::suspects::reading::{meter_noise, Readings};
use crate::suspects::unread::UnreadPoint;

/// Faults that are looked at, at most.
const LEADING: usize = 16;

/// Probability below which a fault is not worth a probe.
const LEAST: f64 = 1e-3;

/// Expected gain in bits below which no place is named.
pub(crate) const LEAST_GAIN: f64 = 0.01;

/// Two suspects of at least [`TELLING`] have to lie so many standard deviations of the meter apart
/// for a probe to be named: no meter tells −0.082 from −0.085 V.
const APART: f64 = 4.0;
pub(crate) const TELLING: f64 = 0.02;

/// A measurement worth making.
#[derive(Clone, Debug, PartialEq)]
pub struct NextProbe {
    /// Where the probes go.
    pub port: Port,
    /// The manual's entry there, as an index into [`Job::manual`]; none for a bare node.
    pub entry: Option<usize>,
    /// Index into [`circuit::Bench::meters`].
    pub meter: usize,
    /// The lowest range that holds what every leading suspect predicts.
    pub range: MeterRange,
    /// Expected drop of the entropy of the faults, in bits, before any penalty.
    pub gain_bits: f64,
    /// The highest volts the point may reach, either sign.
    pub worst_case_volts: f64,
    /// Whether that is dangerous to touch.
    pub hazardous: bool,
    /// Whether the point has been read already, and should be read again: somebody may have written
    /// a reading down wrongly.
    pub again: bool,
    /// What the leading faults predict there, the most probable first. Those that no reading so
    /// far tells apart may well differ here.
    pub predictions: Vec<ProbePrediction>,
}

/// What a fault predicts at a place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ProbePrediction {
    /// The suspect, by its place in [`crate::Suspects::hypotheses`].
    pub suspect: usize,
    /// Which of its members.
    pub member: usize,
    /// Volts on the meter.
    pub volts: f64,
}

/// What one fault predicts at every place.
struct FaultPredictions {
    suspect: usize,
    member: usize,
    probability: f64,
    /// Volts and variance without the meter's.
    at: Vec<(f64, f64)>,
}

/// The likeliest faults: suspect, member, and place among the trials.
pub(crate) fn leading(
    posteriors: &[Posterior],
    suspects: &[(Vec<usize>, AmbiguityGroup)],
) -> Vec<(usize, usize, usize)> {
    let members = suspects
        .iter()
        .enumerate()
        .flat_map(|(suspect, (places, _))| {
            let each = places.iter().enumerate();
            each.map(move |(member, trial)| (suspect, member, *trial))
        });
    let mut leading: Vec<(usize, usize, usize)> = members
        .filter(|(_, _, trial)| posteriors[*trial].probability >= LEAST)
        .collect();
    leading.sort_by(|a, b| {
        posteriors[b.2]
            .probability
            .total_cmp(&posteriors[a.2].probability)
    });
    leading.truncate(LEADING);
    leading
}

/// The most telling measurements.
pub(crate) fn next_probes(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    options: &SuspectOptions,
    evaluator: &Evaluator<'_>,
    read: &Readings,
    unread: &[UnreadPoint],
    (posteriors, suspects): (&[Posterior], &[(Vec<usize>, AmbiguityGroup)]),
) -> Vec<NextProbe> {
    let Some(meter) = job.bench.meters.first().filter(|_| options.probes > 0) else {
        return Vec::new();
    };
    let places = places(
        (job, worst_case_volts),
        evaluator,
        (read, unread),
        posteriors,
    );
    let leading = leading(posteriors, suspects);
    let by_fault: Vec<FaultPredictions> = leading
        .par_iter()
        .filter_map(|(suspect, member, trial)| {
            Some(FaultPredictions {
                suspect: *suspect,
                member: *member,
                probability: posteriors[*trial].probability,
                at: fault_predictions(evaluator, &posteriors[*trial].evaluated, &places, None)?,
            })
        })
        .collect();
    let penalty = options.hazard_penalty.clamp(0.0, 1.0);
    let mut found: Vec<(f64, NextProbe)> = places
        .par_iter()
        .enumerate()
        .filter_map(|(index, place)| {
            let volts = by_fault
                .iter()
                .map(|fault_predictions| fault_predictions.at[index].0.abs());
            let range = choose_range(meter, None, volts.fold(0.0, f64::max)).range;
            let predicted: Vec<Predicted> = by_fault
                .iter()
                .filter_map(|fault_predictions| {
                    let (volts, variance) = fault_predictions.at[index];
                    Some(Predicted {
                        probability: fault_predictions.probability,
                        volts,
                        sigma: (variance + meter_noise(meter, range, volts)?).sqrt(),
                    })
                })
                .collect();
            let gain_bits = expected_gain_bits(&predicted);
            if !tells_apart((meter, range), &predicted) {
                return None;
            }
            let hazardous = place.worst_case_volts >= HAZARDOUS_DC;
            let kept = if hazardous { 1.0 - penalty } else { 1.0 };
            let kind = match place.again {
                Some(_) => StepKind::ReadAgain,
                None => StepKind::ReadNew,
            };
            let worth = gain_bits * kept / kind.cost();
            let of = |fault_predictions: &FaultPredictions| ProbePrediction {
                suspect: fault_predictions.suspect,
                member: fault_predictions.member,
                volts: fault_predictions.at[index].0,
            };
            let probe = NextProbe {
                port: place.probe.port,
                entry: place.entry,
                meter: 0,
                range,
                gain_bits,
                worst_case_volts: place.worst_case_volts,
                hazardous,
                again: place.again.is_some(),
                predictions: by_fault.iter().map(of).collect(),
            };
            (gain_bits > LEAST_GAIN).then_some((worth, probe))
        })
        .collect();
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(options.probes);
    found.into_iter().map(|(_, probe)| probe).collect()
}

/// Whether a meter tells two of the faults of some weight apart.
pub(crate) fn tells_apart(
    (meter, range): (&circuit::Meter, MeterRange),
    predicted: &[Predicted],
) -> bool {
    let most = predicted
        .iter()
        .fold(0.0f64, |most, one| most.max(one.volts.abs()));
    let Some(noise) = meter_noise(meter, range, most) else {
        return false;
    };
    let telling = predicted.iter().filter(|one| one.probability >= TELLING);
    let ends = telling.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), one| {
        (a.min(one.volts), b.max(one.volts))
    });
    ends.1 - ends.0 >= APART * noise.sqrt()
}

/// Whether a trial takes a used reading to be wrong.
fn is_wrong(evaluated: &Evaluated, evaluator: &Evaluator<'_>, place: usize) -> bool {
    let reading = evaluator.readings.get(place);
    let mut faults = evaluated.faults.iter();
    faults.any(|(hypothesis, _)| {
        hypothesis.reading().is_some() && hypothesis.reading().as_ref() == reading
    })
}

/// What a suspect predicts at every place, after what the readings say of the parts:
/// `ŷ + sᵀS⁻¹r` with variance `mᵀCm − sᵀS⁻¹s`, `s = M C m`, and what its size leaves open, `C` being
/// what the manual leaves open of the numbers. After a step on a part the circuit is the altered one,
/// and of a tube just plugged in the readings so far say nothing.
pub(crate) fn fault_predictions(
    evaluator: &Evaluator<'_>,
    evaluated: &Evaluated,
    places: &[Place],
    step: Option<PartStep>,
) -> Option<Vec<(f64, f64)>> {
    let probes: Vec<Probe> = places.iter().map(|place| place.probe).collect();
    let circuit = evaluator.bench.circuit;
    let after = |faults: &[SizedFault]| match step {
        Some(step) => step.after(circuit, faults),
        None => faults.to_vec(),
    };
    let left = after(&evaluated.faults);
    let (response, mut sensitivities) = evaluator.bench.sensitivities(&left, &probes).ok()?;
    let fault_resistances = evaluator.bench.fault_resistances(&left, &probes, &response);
    evaluator
        .bench
        .with_fault_resistances(&mut sensitivities, &fault_resistances);
    let shift = evaluator.bench.lacking(&probes, &response);
    let larger = evaluated
        .faults
        .split_first()
        .filter(|_| evaluated.log_size_sigma > 0.0);
    let larger = larger.map(|((first, size), rest)| {
        let own = (*first, size * evaluated.log_size_sigma.exp());
        let all: Vec<SizedFault> = std::iter::once(own).chain(rest.iter().copied()).collect();
        after(&all)
    });
    let larger = larger.filter(|larger| *larger != left);
    let larger = larger.and_then(|larger| evaluator.bench.response(&larger, &probes).ok());
    let moved: Vec<f64> = match larger {
        Some(other) => (other.volts.iter().zip(&response.volts))
            .map(|(a, b)| a - b)
            .collect(),
        None => vec![0.0; probes.len()],
    };
    // What the readings so far speak of.
    let mut told = sensitivities.clone();
    if let Some(step) = step {
        for column in evaluator.bench.columns_of(&step.fresh(circuit)) {
            told.column_mut(column).fill(0.0);
        }
    }
    let rows = evaluated.joint.valued.iter().copied();
    let rows: Vec<usize> = rows.collect();
    let own = nalgebra::DMatrix::from_fn(rows.len(), sensitivities.ncols(), |i, j| {
        evaluated.sensitivities[(rows[i], j)]
    });
    let residuals = evaluated
        .joint
        .residuals(&evaluator.shown, &evaluated.predicted);
    let learnt = &evaluated.joint.covariance.inverse * residuals;
    // One column a place.
    let known = &evaluator.bench.known;
    let taught = &told * known;
    let shared = &own * told.transpose() - (&own * known) * taught.transpose();
    let weighted = &evaluated.joint.covariance.inverse * &shared;
    let at = |place: usize| {
        let volts = response.volts[place] + shift[place] + shared.column(place).dot(&learnt);
        let before = sensitivities.row(place).norm_squared() - taught.row(place).norm_squared();
        let open = before - shared.column(place).dot(&weighted.column(place));
        // Where a reading was taken before it says itself what will be read again, unless it is the
        // one that is taken to be wrong.
        let again = places[place].again;
        match again.filter(|again| !is_wrong(evaluated, evaluator, *again)) {
            Some(again) => (
                evaluator.shown.volts[again].unwrap_or(volts),
                evaluator.shown.noise[again],
            ),
            None => (volts, open.max(0.0) + moved[place].powi(2)),
        }
    };
    Some((0..places.len()).map(at).collect())
}
