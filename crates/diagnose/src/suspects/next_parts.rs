//! Which tube to swap and which lead to lift next.
//!
//! The suspects as they stand come in; of the tubes and parts that they name, those steps go out
//! whose one reading is expected to lower the entropy of the faults most for their cost, over the same
//! probabilities as a probe's.
//! Which leads may be lifted at all is said in [`lifting`](super::lifting); parts measured by themselves are
//! in [`part_alone`](super::part_alone).

use circuit::{Conditions, Job, Meter, MeterRange, PartId, Port, Quantity, Setting, SettingValue};

use crate::suspects::altered_set::{tube_steps, PartStep};
use crate::suspects::bench_model::{Probe, Response};
use crate::suspects::costs::StepKind;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::fault::Fault;
use crate::suspects::fault_predictions::{
    fault_predictions, in_order_at, leading, one_reading, FaultPredictions, Leading, OneReading,
    TELLING,
};
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::lifting::{free_lead_is_safe, lift};
use crate::suspects::next_places::{places, Place};
use crate::suspects::options::SuspectOptions;
use crate::suspects::part_alone::ohms_after;
use crate::suspects::reading::{ReadingUsed, Readings};
use crate::suspects::unread::UnreadPoint;
use crate::worst_case::WorstCaseVolts;

/// Faults, steps of each kind and places that are looked at, at most.
const FAULTS: usize = 10;
const STEPS: usize = 3;
const PLACES: usize = 24;

/// A reading after a step is not worth the step where the same reading without it tells so large a share
/// of it.
const AS_GOOD: f64 = 0.5;

/// Share of a reading by which a step has to change it under one of the suspects: a smaller change says more of
/// the set's other parts than of the one in hand (common practice, no source).
const VISIBLE: f64 = 0.1;

/// A step on a part worth making.
#[derive(Clone, Debug, PartialEq)]
pub struct NextPart {
    /// What is done.
    pub step: PartStep,
    /// What is read after it.
    pub reads: PartReads,
    /// Index into [`circuit::Bench::meters`].
    pub meter: usize,
    /// Expected drop of the entropy of the faults, in bits.
    pub gain_bits: f64,
    /// Its cost, in new readings.
    pub cost: f64,
    /// What the leading faults predict, the most probable first.
    pub predictions: Vec<PartPrediction>,
}

/// What is read after a step.
#[derive(Clone, Debug, PartialEq)]
pub enum PartReads {
    /// Direct volts in the running set.
    Volts {
        /// Where the probes go.
        port: Port,
        /// The manual's entry there, as an index into [`Job::manual`]; none for a bare node.
        entry: Option<usize>,
        /// How the controls and supplies stand, where that differs from the netlist.
        settings: Vec<Setting>,
        /// The lowest range that holds what every leading suspect predicts.
        range: MeterRange,
        /// The highest volts the point may reach, either sign.
        worst_case_volts: f64,
        /// Whether that is dangerous to touch.
        hazardous: bool,
    },
    /// Ohms of the part by itself, and the most that the meter shows.
    Ohms {
        /// More is an open circuit to it.
        most: f64,
    },
}

/// What a fault predicts after a step.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PartPrediction {
    /// The suspect, by its place in [`crate::Suspects::hypotheses`].
    pub suspect: usize,
    /// Which of its members.
    pub member: usize,
    /// Volts, or ohms; infinite for an open circuit.
    pub value: f64,
    /// Standard deviation in volts without the meter's, or of the logarithm of the ohms.
    pub sigma: f64,
}

impl PartStep {
    /// Its kind.
    pub fn kind(self) -> StepKind {
        match self {
            PartStep::Swap(_) => StepKind::SwapTube,
            PartStep::Exchange(..) => StepKind::ExchangeTubes,
            PartStep::LiftAndRead(..) | PartStep::LiftAndMeasure(_) => StepKind::LiftLead,
        }
    }
}

/// The most telling steps for their cost.
pub(crate) fn next_parts(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    options: &SuspectOptions,
    trials: &Evaluator<'_>,
    (read, unread): (&Readings, &[UnreadPoint]),
    (weighed, suspects): (&[Posterior], &[(Vec<usize>, AmbiguityGroup)]),
) -> Vec<NextPart> {
    let Some(meter) = job.bench.meters.first().filter(|_| options.probes > 0) else {
        return Vec::new();
    };
    let mut leading = leading(weighed, suspects);
    leading.truncate(FAULTS);
    let mut named: Vec<PartId> = Vec::new();
    for trial in leading.iter().map(|own| &weighed[own.trial]) {
        let telling = trial.probability >= TELLING;
        // Of a string with an open heater no part stands out.
        let faults = (trial.evaluated.faults.iter())
            .filter(|(one, _)| one.open_heater_of(&job.circuit).is_none());
        for part in faults.filter_map(|(one, _)| one.part()) {
            if telling && !named.contains(&part) {
                named.push(part);
            }
        }
    }
    // A tube with a short inside may burn what feeds another socket.
    let shorts = |step: &PartStep| {
        let PartStep::Exchange(a, b) = *step else {
            return false;
        };
        let tubes = [job.circuit.sections_of(a), job.circuit.sections_of(b)].concat();
        let trials = leading.iter().map(|own| &weighed[own.trial]);
        let trials = trials.filter(|trial| trial.probability >= TELLING);
        let mut faults = trials.flat_map(|trial| &trial.evaluated.faults);
        faults.any(|(one, _)| {
            let inside = matches!(
                one.fault(),
                Some(Fault::GridCathodeShort | Fault::GridCathodeLeak | Fault::PlateCathodeShort)
            );
            inside && one.part().is_some_and(|part| tubes.contains(&part))
        })
    };
    // What was read after a step counts already: the same step again tells little.
    let was = |part: PartId, value: SettingValue| {
        let mut settings = read.states.iter().flat_map(|state| &state.settings);
        settings.any(|own| own.part == part && own.value == value)
    };
    let done = |step: &PartStep| match *step {
        PartStep::Swap(tube) => was(tube, SettingValue::Replaced),
        PartStep::Exchange(a, b) => [a, b].iter().any(|tube| was(*tube, SettingValue::Replaced)),
        PartStep::LiftAndRead(part, _) => was(part, SettingValue::Out),
        PartStep::LiftAndMeasure(_) => false,
    };
    let mut steps: Vec<PartStep> = Vec::new();
    for part in &named {
        for step in tube_steps(&job.circuit, *part) {
            if shorts(&step) || done(&step) {
                continue;
            }
            if !steps.contains(&step) && steps.len() < 2 * STEPS {
                steps.push(step);
            }
        }
    }
    let lifts = named
        .iter()
        .filter_map(|part| lift((job, worst_case_volts), *part))
        .filter(|step| !done(step));
    steps.extend(lifts.take(STEPS));
    let places = after_places((job, worst_case_volts), trials, (read, unread), weighed);
    let Some(in_order) = in_order_at(trials, &places) else {
        return Vec::new();
    };
    let places = (places.as_slice(), &in_order);
    let plain = predicted(trials, places, None, (weighed, &leading));
    let penalty = options.hazard_penalty.clamp(0.0, 1.0);
    let mut found: Vec<(f64, NextPart)> = parallel::filter_map(&steps, |step| {
        volts_after(
            (job, meter),
            (trials, &read.states),
            *step,
            (places, &plain, penalty),
            (weighed, &leading),
        )
    });
    let alone = named.iter().take(2 * STEPS);
    found.extend(alone.filter_map(|part| ohms_after(job, trials, *part, (weighed, &leading))));
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(options.probes);
    found.into_iter().map(|(_, next)| next).collect()
}

/// The points read already, for a change shows best there; then those not read yet.
fn after_places(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    trials: &Evaluator<'_>,
    (read, unread): (&Readings, &[UnreadPoint]),
    weighed: &[Posterior],
) -> Vec<Place> {
    let siemens = job.bench.meters.first().and_then(|meter| {
        let range = meter.ranges.last()?;
        Some(1.0 / meter.input_ohms(*range))
    });
    let mut found: Vec<Place> = Vec::new();
    let volts = |used: &&ReadingUsed| {
        used.quantity == Quantity::DcVolts && read.states[used.state].is_whole()
    };
    for used in read.used.iter().filter(volts) {
        let Some(siemens) = siemens else { break };
        let port = used.port;
        let known = |place: &Place| place.probe.port == port && place.probe.state == used.state;
        if !found.iter().any(known) {
            found.push(Place {
                probe: Probe {
                    port,
                    siemens,
                    state: used.state,
                },
                entry: used.entry,
                worst_case_volts: worst_case_volts.at(port),
                again: None,
            });
        }
    }
    let others = places((job, worst_case_volts), trials, (read, unread), weighed);
    let direct = |place: &Place| place.again.is_none() && !place.is_difference(&job.circuit);
    found.extend(others.into_iter().filter(direct));
    found.truncate(PLACES);
    found
}

/// What the leading faults predict at some places, after a step or as the set stands.
fn predicted(
    trials: &Evaluator<'_>,
    places: (&[Place], &Response),
    step: Option<PartStep>,
    (weighed, leading): (&[Posterior], &[Leading]),
) -> Vec<FaultPredictions> {
    let of_fault = |own: &Leading| {
        let trial = &weighed[own.trial];
        Some(FaultPredictions {
            fault: *own,
            probability: trial.probability,
            at: fault_predictions(trials, &trial.evaluated, places, step)?,
        })
    };
    leading.iter().filter_map(of_fault).collect()
}

/// The best place to read after a step in the running set, and its worth.
fn volts_after(
    (job, meter): (&Job, &Meter),
    (trials, states): (&Evaluator<'_>, &[Conditions]),
    step: PartStep,
    ((places, in_order), plain, penalty): ((&[Place], &Response), &[FaultPredictions], f64),
    (weighed, leading): (&[Posterior], &[Leading]),
) -> Option<(f64, NextPart)> {
    let by_fault = predicted(trials, (places, in_order), Some(step), (weighed, leading));
    let faults = || {
        let each = leading.iter().map(|own| &weighed[own.trial].evaluated);
        each.map(|evaluated| step.after(&job.circuit, &evaluated.faults))
    };
    if let PartStep::LiftAndRead(part, hot) = step {
        let used = places.iter().map(|place| place.probe.state);
        if !free_lead_is_safe((job, trials), (part, hot), used, faults()) {
            return None;
        }
    }
    let mut best: Option<(OneReading, usize, &Place)> = None;
    let changes = |index: usize| {
        let visible = |own: &FaultPredictions, after: &FaultPredictions| {
            let ((before, _), (after, _)) = (own.at[index], after.at[index]);
            (after - before).abs() > VISIBLE * before.abs().max(after.abs())
        };
        let of_both = |after: &FaultPredictions| {
            let mut plain = plain.iter();
            plain.any(|own| own.fault.trial == after.fault.trial && visible(own, after))
        };
        by_fault.iter().any(of_both)
    };
    for (index, place) in places.iter().enumerate().filter(|own| changes(own.0)) {
        let Some(reading) = one_reading(meter, &by_fault, (index, place), penalty) else {
            continue;
        };
        let without = one_reading(meter, plain, (index, place), penalty);
        if without.is_some_and(|plain| plain.gain_bits >= AS_GOOD * reading.gain_bits) {
            continue;
        }
        if best
            .as_ref()
            .is_none_or(|(known, ..)| reading.worth > known.worth)
        {
            best = Some((reading, index, place));
        }
    }
    let (reading, index, place) = best?;
    let predictions = by_fault.iter().map(|own| PartPrediction {
        suspect: own.fault.suspect,
        member: own.fault.member,
        value: own.at[index].0,
        sigma: own.at[index].1.sqrt(),
    });
    let cost = step.kind().cost();
    let next = NextPart {
        step,
        reads: PartReads::Volts {
            port: place.probe.port,
            entry: place.entry,
            settings: states[place.probe.state].settings.clone(),
            range: reading.range,
            worst_case_volts: place.worst_case_volts,
            hazardous: reading.hazardous,
        },
        meter: 0,
        gain_bits: reading.gain_bits,
        cost,
        predictions: predictions.collect(),
    };
    Some((reading.worth / cost, next))
}
