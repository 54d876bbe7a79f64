//! Which tube to swap and which lead to lift next.
//!
//! The suspects as they stand come in; of the tubes and parts that they name, those steps go out
//! whose one reading is expected to lower the entropy of the faults most for their cost, over the same
//! probabilities as a probe's.
//!
//! A lead is never lifted in a set that will run again where that may harm: only capacitors, for they
//! feed no grid, screen or plate and load no supply; none at a supply's own terminals, no electrolytic
//! where 50 V may stand, and only such an end that the lead in the air stays below 50 V under every
//! fault that leads. All else is measured by itself, with the power off.

use circuit::{spread_of, Job, Meter, MeterRange, PartId, PartKind, PartParameter, Port, Quantity};
use rayon::prelude::*;
use reconcile::choose_range;

use crate::hazard::{WorstCaseVolts, HAZARDOUS_DC};
use crate::suspects::altered_set::{tube_steps, PartStep};
use crate::suspects::bench_model::Probe;
use crate::suspects::beside::{CONTACT_OHMS, LEAST_SHARE};
use crate::suspects::costs::StepKind;
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::evaluation::Evaluator;
use crate::suspects::faulty::alteration;
use crate::suspects::group::{AmbiguityGroup, Posterior};
use crate::suspects::next::{
    fault_predictions, leading, places, tells_apart, Place, LEAST_GAIN, TELLING,
};
use crate::suspects::next_ohms::{error, is_telling, BEYOND};
use crate::suspects::options::SuspectOptions;
use crate::suspects::reading::{meter_noise, ReadingUsed, Readings};
use crate::suspects::unread::UnreadPoint;

/// Faults, steps of each kind and places that are looked at, at most.
const FAULTS: usize = 10;
const STEPS: usize = 3;
const PLACES: usize = 24;

/// Farads from which a capacitor is an electrolytic (common practice, no source).
const ELECTROLYTIC_FROM: f64 = 0.99e-6;

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
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum PartReads {
    /// Direct volts in the running set.
    Volts {
        /// Where the probes go.
        port: Port,
        /// The manual's entry there, as an index into [`Job::manual`]; none for a bare node.
        entry: Option<usize>,
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

/// One of the likeliest faults: suspect, member, and place among the trials.
type Leading = (usize, usize, usize);

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
    for (_, _, evaluation) in &leading {
        let telling = weighed[*evaluation].probability >= TELLING;
        for part in weighed[*evaluation]
            .evaluated
            .faults
            .iter()
            .filter_map(|(one, _)| one.part())
        {
            if telling && !named.contains(&part) {
                named.push(part);
            }
        }
    }
    let mut steps: Vec<PartStep> = Vec::new();
    for part in &named {
        for step in tube_steps(&job.circuit, *part) {
            if !steps.contains(&step) && steps.len() < 2 * STEPS {
                steps.push(step);
            }
        }
    }
    let lifts = named
        .iter()
        .filter_map(|part| lift((job, worst_case_volts), *part));
    steps.extend(lifts.take(STEPS));
    let places = after_places((job, worst_case_volts), trials, (read, unread), weighed);
    let penalty = options.hazard_penalty.clamp(0.0, 1.0);
    let mut found: Vec<(f64, NextPart)> = steps
        .par_iter()
        .filter_map(|step| {
            volts_after(
                (job, meter),
                trials,
                *step,
                (&places, penalty),
                (weighed, &leading),
            )
        })
        .collect();
    let alone = named.iter().take(2 * STEPS);
    found.extend(alone.filter_map(|part| ohms_after(job, trials, *part, (weighed, &leading))));
    found.sort_by(|a, b| b.0.total_cmp(&a.0));
    found.truncate(options.probes);
    found.into_iter().map(|(_, next)| next).collect()
}

/// A capacitor's lead that may be lifted in a set that will run again; the one at the hotter end,
/// so that what hangs in the air has the volts of the colder one.
fn lift((job, worst_case_volts): (&Job, &WorstCaseVolts), id: PartId) -> Option<PartStep> {
    let part = job.circuit.parts().get(id.0)?;
    let PartKind::Capacitor(capacitor) = &part.kind else {
        return None;
    };
    let ends: [circuit::NodeId; 2] = part.nodes[..].try_into().ok()?;
    let at_supply = job.circuit.parts().iter().any(|other| {
        let live = matches!(other.kind, PartKind::Supply(_) | PartKind::Generator(_));
        live && other.nodes.contains(&ends[0]) && other.nodes.contains(&ends[1])
    });
    let fed = |node: circuit::NodeId| {
        job.circuit.parts().iter().any(|other| {
            matches!(other.kind, PartKind::Supply(_)) && other.nodes.first() == Some(&node)
        })
    };
    let volts =
        ends.map(|node| against_reference(job, node).map_or(0.0, |port| worst_case_volts.at(port)));
    let hot = usize::from(volts[1] > volts[0]);
    let electrolytic = capacitor.farads >= ELECTROLYTIC_FROM;
    let harms = at_supply || ends.into_iter().any(fed);
    let filters = electrolytic && volts[hot] >= HAZARDOUS_DC;
    (!harms && !filters && ends[0] != ends[1]).then_some(PartStep::LiftAndRead(id, hot))
}

/// A node against the reference of its island; none for the reference itself.
fn against_reference(job: &Job, node: circuit::NodeId) -> Option<Port> {
    let islands = circuit::islands(&job.circuit);
    let own = islands.iter().find(|island| island.nodes.contains(&node))?;
    let minus = *own.references.first()?;
    (minus != node).then_some(Port { plus: node, minus })
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
    let volts = |used: &&ReadingUsed| used.quantity == Quantity::DcVolts;
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
    found.extend(others.into_iter().filter(|place| place.again.is_none()));
    found.truncate(PLACES);
    found
}

/// The best place to read after a step in the running set, and its worth.
fn volts_after(
    (job, meter): (&Job, &Meter),
    trials: &Evaluator<'_>,
    step: PartStep,
    (places, penalty): (&[Place], f64),
    (weighed, leading): (&[Posterior], &[Leading]),
) -> Option<(f64, NextPart)> {
    let by_fault: Vec<(Leading, Vec<(f64, f64)>)> = leading
        .iter()
        .filter_map(|own| {
            let found = fault_predictions(trials, &weighed[own.2].evaluated, places, Some(step))?;
            Some((*own, found))
        })
        .collect();
    if let PartStep::LiftAndRead(part, hot) = step {
        // The lead in the air has the volts of the other end.
        let cold = *job.circuit.part(part).nodes.get(1 - hot)?;
        if let Some(port) = against_reference(job, cold) {
            let probe = Place {
                probe: Probe {
                    port,
                    siemens: 0.0,
                    state: 0,
                },
                entry: None,
                worst_case_volts: 0.0,
                again: None,
            };
            for own in leading {
                let faults = step.after(&job.circuit, &weighed[own.2].evaluated.faults);
                let seen = trials.bench.response(&faults, &[probe.probe]).ok()?;
                if seen.volts.iter().any(|volts| volts.abs() >= HAZARDOUS_DC) {
                    return None;
                }
            }
        }
    }
    let cost = step.kind().cost();
    let mut best: Option<(f64, NextPart)> = None;
    for (index, place) in places.iter().enumerate() {
        let volts = by_fault.iter().map(|(_, at)| at[index].0.abs());
        let range = choose_range(meter, None, volts.fold(0.0, f64::max)).range;
        let predicted: Option<Vec<Predicted>> = by_fault
            .iter()
            .map(|((_, _, evaluation), at)| {
                let (volts, variance) = at[index];
                Some(Predicted {
                    probability: weighed[*evaluation].probability,
                    volts,
                    sigma: (variance + meter_noise(meter, range, volts)?).sqrt(),
                })
            })
            .collect();
        let Some(predicted) = predicted else { continue };
        let gain_bits = expected_gain_bits(&predicted);
        let hazardous = place.worst_case_volts >= HAZARDOUS_DC;
        let worth = gain_bits * if hazardous { 1.0 - penalty } else { 1.0 } / cost;
        let better = best.as_ref().is_none_or(|(known, _)| worth > *known);
        if gain_bits <= LEAST_GAIN || !better || !tells_apart((meter, range), &predicted) {
            continue;
        }
        let predictions = by_fault
            .iter()
            .map(|((suspect, member, _), at)| PartPrediction {
                suspect: *suspect,
                member: *member,
                value: at[index].0,
                sigma: at[index].1.sqrt(),
            });
        let reads = PartReads::Volts {
            port: place.probe.port,
            entry: place.entry,
            range,
            worst_case_volts: place.worst_case_volts,
            hazardous,
        };
        best = Some((
            worth,
            NextPart {
                step,
                reads,
                meter: 0,
                gain_bits,
                cost,
                predictions: predictions.collect(),
            },
        ));
    }
    best
}

/// A resistor, choke or capacitor measured by itself, and its worth.
fn ohms_after(
    job: &Job,
    trials: &Evaluator<'_>,
    part: PartId,
    (weighed, leading): (&[Posterior], &[Leading]),
) -> Option<(f64, NextPart)> {
    let meter = Meter::with_usual_sides(job.bench.meters.first()?);
    let ohmmeter = meter.ohmmeter.as_ref()?;
    let circuit = trials.bench.circuit;
    let log = |ohms: f64| (ohms.min(BEYOND * ohmmeter.most()) + CONTACT_OHMS).ln();
    let mut predictions = Vec::new();
    let mut predicted = Vec::new();
    for (suspect, member, evaluation) in leading {
        let evaluated = &weighed[*evaluation].evaluated;
        let changed = alteration(circuit, &circuit::Conditions::default(), &evaluated.faults);
        let altered = circuit.altered(&changed);
        let (ohms, number) = match &altered.part(part).kind {
            PartKind::Resistor(own) => (own.ohms, PartParameter::Resistance),
            PartKind::Inductor(own) => (own.ohms, PartParameter::Resistance),
            PartKind::Capacitor(own) => (own.leak?, PartParameter::Leak),
            _ => return None,
        };
        let own = evaluated
            .faults
            .iter()
            .position(|(one, _)| one.part() == Some(part));
        let scatter = match own {
            Some(0) if evaluated.log_size_sigma > 0.0 => evaluated.log_size_sigma,
            // What stands for a broken or joined connection is known to a factor.
            Some(_) => 1.3,
            None => {
                let spread = spread_of(circuit.part(part), number);
                match number {
                    PartParameter::Leak => 1.3,
                    _ => spread.standard() / spread.nominal.abs().max(f64::MIN_POSITIVE),
                }
            }
        };
        let open = ohms > ohmmeter.most();
        // An open circuit shows as one, by how much it is open or not.
        let scatter = if open { 0.0 } else { scatter };
        let share = scatter.powi(2)
            + error(&meter, ohmmeter, ohms).powi(2)
            + LEAST_SHARE.powi(2)
            + (0.5 * CONTACT_OHMS / (ohms + CONTACT_OHMS)).powi(2);
        predictions.push(PartPrediction {
            suspect: *suspect,
            member: *member,
            value: if open { f64::INFINITY } else { ohms },
            sigma: share.sqrt(),
        });
        predicted.push(Predicted {
            probability: weighed[*evaluation].probability,
            volts: log(if open { f64::INFINITY } else { ohms }),
            sigma: share.sqrt(),
        });
    }
    let gain_bits = expected_gain_bits(&predicted);
    let step = PartStep::LiftAndMeasure(part);
    let cost = step.kind().cost();
    let reads = PartReads::Ohms {
        most: ohmmeter.most(),
    };
    (gain_bits > LEAST_GAIN && is_telling(&predicted)).then_some((
        gain_bits / cost,
        NextPart {
            step,
            reads,
            meter: 0,
            gain_bits,
            cost,
            predictions,
        },
    ))
}
