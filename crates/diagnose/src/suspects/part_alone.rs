//! A part measured by itself, one end lifted and the power off.
//!
//! A part and the leading faults come in; its ohms under each, and what the measurement is worth, go out.

use circuit::{spread_of, Job, Meter, PartId, PartKind, PartParameter};

use crate::suspects::altered_set::PartStep;
use crate::suspects::beside::{CONTACT_OHMS, LEAST_SHARE};
use crate::suspects::entropy::{expected_gain_bits, Predicted};
use crate::suspects::evaluation::Evaluator;
use crate::suspects::fault_predictions::{Leading, LEAST_GAIN};
use crate::suspects::faulty::alteration;
use crate::suspects::group::Posterior;
use crate::suspects::next_ohms::{error, is_telling, BEYOND};
use crate::suspects::next_parts::{NextPart, PartPrediction, PartReads};

/// Standard deviation of the logarithm of ohms that are known to a factor of four (common practice, no source).
const TO_A_FACTOR: f64 = 1.3;

/// The ohms of a resistor, a choke, or a capacitor's leakage, and which number of the part they are;
/// none for other parts.
fn own_ohms(kind: &PartKind) -> Option<(f64, PartParameter)> {
    match kind {
        PartKind::Resistor(own) => Some((own.ohms, PartParameter::Resistance)),
        PartKind::Inductor(own) => Some((own.ohms, PartParameter::Resistance)),
        PartKind::Capacitor(own) => Some((own.leak?, PartParameter::Leak)),
        PartKind::Potentiometer(_)
        | PartKind::Transformer(_)
        | PartKind::Supply(_)
        | PartKind::Generator(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)
        | PartKind::Device(_) => None,
    }
}

/// A resistor, choke or capacitor measured by itself, and its worth.
pub(crate) fn ohms_after(
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
    for own in leading {
        let trial = &weighed[own.trial];
        let evaluated = &trial.evaluated;
        let changed = alteration(circuit, &circuit::Conditions::default(), &evaluated.faults);
        let altered = circuit.altered(&changed);
        let (ohms, number) = own_ohms(&altered.part(part).kind)?;
        let mut faults = evaluated.faults.iter();
        let scatter = match faults.position(|(one, _)| one.part() == Some(part)) {
            Some(0) if evaluated.log_size_sigma > 0.0 => evaluated.log_size_sigma,
            // What stands for a broken or joined connection is known to a factor.
            Some(_) => TO_A_FACTOR,
            None if number == PartParameter::Leak => TO_A_FACTOR,
            None => {
                let spread = spread_of(circuit.part(part), number);
                spread.standard() / spread.nominal.abs().max(f64::MIN_POSITIVE)
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
            suspect: own.suspect,
            member: own.member,
            value: if open { f64::INFINITY } else { ohms },
            sigma: share.sqrt(),
        });
        predicted.push(Predicted {
            probability: trial.probability,
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
