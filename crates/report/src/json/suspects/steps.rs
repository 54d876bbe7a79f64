//! Steps on parts in the document of the suspects.

use circuit::{Job, NodeId, PartId};
use diagnose::{NextPart, PartReads, PartStep};

use super::records::{Step, StepPrediction};
use crate::json::finite;
use crate::suspects::doing;

/// A step and what is read after it.
pub(super) fn step<'a>(job: &'a Job, next: &NextPart) -> Step<'a> {
    let part = |id: PartId| job.circuit.parts().get(id.0);
    let name = |id: PartId| part(id).map_or("", |part| part.designator.as_str());
    let node = |id: NodeId| {
        let node = job.circuit.nodes().get(id.0);
        node.map(|node| node.name.as_str())
    };
    let (step, own, other, lead) = match next.step {
        PartStep::Swap(tube) => ("swap", tube, None, None),
        PartStep::Exchange(a, b) => ("exchange", a, Some(name(b)), None),
        PartStep::LiftAndRead(id, terminal) => {
            let lead = part(id).and_then(|part| node(*part.nodes.get(terminal)?));
            ("lift and read", id, None, lead)
        }
        PartStep::LiftAndMeasure(id) => ("lift and measure", id, None, None),
    };
    let (port, entry, range, hazard, unit) = match next.reads {
        PartReads::Volts {
            port,
            entry,
            range,
            hazardous,
            ..
        } => (Some(port), entry, finite(range.full_scale), hazardous, "V"),
        PartReads::Ohms { .. } => (None, None, None, false, "Ω"),
    };
    let entry = entry.and_then(|entry| job.manual.get(entry));
    let meter = job.bench.meters.get(next.meter);
    Step {
        step,
        part: name(own),
        other,
        lead,
        words: doing(job, next),
        at: port.and_then(|port| node(port.plus)),
        against: port.and_then(|port| node(port.minus)),
        point: entry.map(|entry| entry.point.as_str()),
        meter: meter.map(|meter| meter.name.as_str()),
        range,
        hazard,
        cost: finite(next.cost),
        gain_bits: finite(next.gain_bits),
        unit,
        predictions: next
            .predictions
            .iter()
            .map(|predicted| StepPrediction {
                rank: predicted.suspect + 1,
                member: predicted.member + 1,
                value: finite(predicted.value),
                spread: finite(predicted.sigma),
            })
            .collect(),
    }
}
