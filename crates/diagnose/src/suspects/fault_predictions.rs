//! What the leading faults predict at a place, and what one more reading there would tell.
//!
//! The suspects as they stand and places come in; for each of the likeliest faults its volts at each
//! place go out, after what the readings so far say of the parts. Which places are worth
//! a look is not known here.

use circuit::{Meter, MeterRange};
use reconcile::choose_range;

use crate::hazard::HAZARDOUS_DC;
use crate::suspects::altered_set::PartStep;
use crate::suspects::bench_model::{Probe, Response, SensitivityMatrix, SizedFault};
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::evaluation::{Evaluated, Evaluator};
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::next_places::Place;
use crate::suspects::reading::meter_noise;

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

/// One of the likeliest faults.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Leading {
    /// The suspect, by its place in [`crate::Suspects::hypotheses`].
    pub(crate) suspect: usize,
    /// Which of its members.
    pub(crate) member: usize,
    /// Its place among the trials.
    pub(crate) trial: usize,
}

/// The likeliest faults, the most probable first.
pub(crate) fn leading(
    posteriors: &[Posterior],
    suspects: &[(Vec<usize>, AmbiguityGroup)],
) -> Vec<Leading> {
    let each = suspects.iter().enumerate();
    let members = each.flat_map(|(suspect, (places, _))| {
        let each = places.iter().enumerate();
        each.map(move |(member, trial)| Leading {
            suspect,
            member,
            trial: *trial,
        })
    });
    let probability = |one: &Leading| posteriors[one.trial].probability;
    let mut leading: Vec<Leading> = members.filter(|one| probability(one) >= LEAST).collect();
    leading.sort_by(|a, b| probability(b).total_cmp(&probability(a)));
    leading.truncate(LEADING);
    leading
}

/// What one fault predicts at every place.
pub(crate) struct FaultPredictions {
    pub(crate) fault: Leading,
    pub(crate) probability: f64,
    /// Volts and variance without the meter's.
    pub(crate) at: Vec<(f64, f64)>,
}

/// What one more reading at a place would tell.
pub(crate) struct OneReading {
    /// The lowest range that holds what every leading fault predicts.
    pub(crate) range: MeterRange,
    /// Expected drop of the entropy of the faults, in bits.
    pub(crate) gain_bits: f64,
    /// Whether the place is dangerous to touch.
    pub(crate) hazardous: bool,
    /// The gain, less the penalty of a dangerous place.
    pub(crate) worth: f64,
}

/// What one more reading at the place of some index would tell; none if too little.
pub(crate) fn one_reading(
    meter: &Meter,
    by_fault: &[FaultPredictions],
    (index, place): (usize, &Place),
    penalty: f64,
) -> Option<OneReading> {
    let volts = by_fault.iter().map(|fault| fault.at[index].0.abs());
    let most = volts.fold(0.0, f64::max);
    let range = choose_range(meter, None, most).range;
    // No meter is sent where one of the faults would put more than it bears.
    if most > range.full_scale {
        return None;
    }
    let predicted: Vec<Predicted> = by_fault
        .iter()
        .filter_map(|fault| {
            let (volts, variance) = fault.at[index];
            Some(Predicted {
                probability: fault.probability,
                volts,
                sigma: (variance + meter_noise(meter, range, volts)?).sqrt(),
            })
        })
        .collect();
    let gain_bits = expected_gain_bits(&predicted);
    let hazardous = place.worst_case_volts >= HAZARDOUS_DC;
    let kept = if hazardous { 1.0 - penalty } else { 1.0 };
    let tells = gain_bits > LEAST_GAIN && tells_apart((meter, range), &predicted);
    tells.then_some(OneReading {
        range,
        gain_bits,
        hazardous,
        worth: gain_bits * kept,
    })
}

/// Whether a meter tells two of the faults of some weight apart.
fn tells_apart((meter, range): (&Meter, MeterRange), predicted: &[Predicted]) -> bool {
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

/// How far each prediction moves where the first fault's size is larger by its standard deviation.
fn moved_by_size(
    (evaluator, evaluated): (&Evaluator<'_>, &Evaluated),
    left: &[SizedFault],
    after: impl Fn(&[SizedFault]) -> Vec<SizedFault>,
    probes: &[Probe],
    response: &Response,
) -> Vec<f64> {
    let sized = evaluated.faults.split_first();
    let sized = sized.filter(|_| evaluated.log_size_sigma > 0.0);
    let larger = sized.map(|((first, size), rest)| {
        let own = (*first, size * evaluated.log_size_sigma.exp());
        let all: Vec<SizedFault> = std::iter::once(own).chain(rest.iter().copied()).collect();
        after(&all)
    });
    let larger = larger.filter(|larger| larger != left);
    match larger.and_then(|larger| evaluator.bench.response(&larger, probes).ok()) {
        Some(other) => (other.volts.iter().zip(&response.volts))
            .map(|(a, b)| a - b)
            .collect(),
        None => vec![0.0; probes.len()],
    }
}

/// A reading that a fault hardly moves follows the numbers as in order; where its place is read again after a step,
/// what that reading is compared with is this one. So it follows them as far as the step changes how the place does.
fn follow_from_before(
    (evaluator, evaluated): (&Evaluator<'_>, &Evaluated),
    probes: &[Probe],
    told: &mut SensitivityMatrix,
) {
    let read = &evaluator.probes;
    let twin = |probe: &Probe| read.iter().position(|own| own.port == probe.port);
    let twins = probes.iter().map(twin).enumerate();
    let twins: Vec<(usize, usize)> = twins.filter_map(|(at, own)| Some((at, own?))).collect();
    let before: Vec<Probe> = twins.iter().map(|(_, own)| read[*own]).collect();
    let Ok((response, mut exact)) = evaluator.bench.sensitivities(&evaluated.faults, &before)
    else {
        return;
    };
    let bench = &evaluator.bench;
    let fault_resistances = bench.fault_resistances(&evaluated.faults, &before, &response);
    bench.with_fault_resistances(&mut exact, &fault_resistances);
    for (row, (at, own)) in twins.into_iter().enumerate() {
        let taken = evaluated.sensitivities.row(own) - exact.row(row);
        let sum = told.row(at) + taken;
        told.set_row(at, &sum);
    }
}

/// What the set in order shows at some places; none where it cannot be solved there.
pub(crate) fn in_order_at(evaluator: &Evaluator<'_>, places: &[Place]) -> Option<Response> {
    let probes: Vec<Probe> = places.iter().map(|place| place.probe).collect();
    evaluator.bench.response(&[], &probes).ok()
}

/// What a suspect predicts at every place, beside what the set in order shows there, after what the readings say of the parts:
/// `ŷ + sᵀS⁻¹r` with variance `mᵀCm − sᵀS⁻¹s`, `s = M C m`, and what its size and the laws leave open, `C` being
/// what the manual leaves open of the numbers. After a step on a part the circuit is the altered one,
/// and of a tube just plugged in the readings so far say nothing.
pub(crate) fn fault_predictions(
    evaluator: &Evaluator<'_>,
    evaluated: &Evaluated,
    (places, in_order): (&[Place], &Response),
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
    let moved = moved_by_size((evaluator, evaluated), &left, after, &probes, &response);
    let laws = evaluator.laws.at(&probes, &response, in_order);
    // What the readings so far speak of.
    let mut told = sensitivities.clone();
    if let Some(step) = step {
        for column in evaluator.bench.columns_of(&step.fresh(circuit)) {
            told.column_mut(column).fill(0.0);
        }
    }
    let fresh = |place: usize, told: &SensitivityMatrix| {
        sensitivities.row(place).norm_squared() - told.row(place).norm_squared()
    };
    let fresh: Vec<f64> = (0..places.len()).map(|place| fresh(place, &told)).collect();
    if step.is_some() {
        follow_from_before((evaluator, evaluated), &probes, &mut told);
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
        let before =
            fresh[place] + told.row(place).norm_squared() - taught.row(place).norm_squared();
        let open = before - shared.column(place).dot(&weighted.column(place));
        // Where a reading was taken before it says itself what will be read again, unless it is the
        // one that is taken to be wrong.
        let again = places[place].again;
        match again.filter(|again| !is_wrong(evaluated, evaluator, *again)) {
            Some(again) => (
                evaluator.shown.volts[again].unwrap_or(volts),
                evaluator.shown.noise[again],
            ),
            None => {
                let own = moved[place].powi(2) + laws[place].powi(2);
                (volts, open.max(0.0) + own)
            }
        }
    };
    Some((0..places.len()).map(at).collect())
}
