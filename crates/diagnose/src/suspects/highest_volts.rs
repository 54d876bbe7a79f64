//! The highest voltage that each node can reach when something breaks.
//!
//! A circuit and conditions come in; every single fault is put into it, at the ends and in the
//! middle of the sizes it may have. What volts are dangerous is not known here.
//!
//! Of heaters in series the suspects know one fault, all tubes cold and their supply gone with the
//! rectifier. A heater that is shorted leaves one tube cold and the others warm, and a string that
//! opens leaves the filter capacitors charged: both are put in here too.

use circuit::{Circuit, Conditions, NodeId, PartId, PartKind};
use solver::{solve, solve_all, solve_near, Alterable};

use crate::suspects::bench_model::SizedFault;
use crate::suspects::cold::cold;
use crate::suspects::fault::Fault;
use crate::suspects::faulty::alteration;
use crate::suspects::hypotheses::{candidates, Candidate};
use crate::suspects::hypothesis::Hypothesis;
use crate::suspects::priors::AgeFactors;

/// Broken circuits whose volts are held at a time.
const AT_ONCE: usize = 64;

/// A circuit in order under some conditions, ready to be altered.
type Base<'a> = (Alterable<'a>, &'a Circuit, &'a Conditions);

/// The highest volts of each node above its reference, of either sign, in order and under every
/// single fault; none if the circuit in order has no operating point. A fault under which it has
/// none is put into the circuit as it is drawn; one under which that has none either brings the nodes round its part to their bound: those that parts join to the part's own.
pub(crate) fn highest_volts(
    (circuit, drawn): (&Circuit, &Circuit),
    conditions: &[Conditions],
    bound: &[f64],
) -> Option<Vec<f64>> {
    let nodes = circuit.nodes().len();
    let faults = candidates(circuit, &AgeFactors::default());
    let broken: Vec<_> = faults
        .iter()
        .flat_map(by_size)
        .chain(cold_tubes(circuit))
        .collect();
    let mut highest = vec![0.0; nodes];
    for conditions in conditions {
        let as_drawn = solve(drawn, conditions).ok();
        // Nobody knows in which of two stable states a set is.
        for likely in solve_all(circuit, conditions).ok()? {
            let in_order = (0..nodes).map(|node| likely.node_volts(NodeId(node)).abs());
            let in_order: Vec<f64> = in_order.collect();
            let mut bases = vec![(likely.alterable(circuit, conditions), circuit, conditions)];
            bases.extend(
                as_drawn
                    .clone()
                    .map(|own| (own.alterable(drawn, conditions), drawn, conditions)),
            );
            highest = higher(highest, in_order);
            for some in broken.chunks(AT_ONCE) {
                let reached = parallel::map(some, |broken| under(&bases, broken, bound));
                highest = reached.into_iter().fold(highest, higher);
            }
        }
    }
    Some(highest)
}

/// A fault at the ends and in the middle of its sizes.
fn by_size(fault: &Candidate) -> Vec<Vec<SizedFault>> {
    let sizes = fault.sizes.map_or(vec![1.0], |sizes| {
        vec![sizes.least, (sizes.least * sizes.most).sqrt(), sizes.most]
    });
    let each = sizes.into_iter();
    each.map(|size| vec![(fault.hypothesis, size)]).collect()
}

/// Each tube of a string of heaters cold by itself, and all of them with their supply still there.
fn cold_tubes(circuit: &Circuit) -> Vec<Vec<SizedFault>> {
    let cold = |sections: &[PartId]| -> Vec<SizedFault> {
        let each = sections.iter();
        each.map(|id| (Hypothesis::of(*id, Fault::NoEmission), 1.0))
            .collect()
    };
    let strings = circuit.heater_strings().iter();
    strings
        .flat_map(|string| {
            let all: Vec<PartId> = string.sections().collect();
            let each = string.tubes().map(|tube| cold(&tube.parts));
            each.chain([cold(&all)]).collect::<Vec<_>>()
        })
        .collect()
}

/// Under some faults, in the first of some circuits that has an operating point with them.
fn under(bases: &[Base<'_>], faults: &[SizedFault], bound: &[f64]) -> Vec<f64> {
    let volts = bases.iter().find_map(|base| {
        let mut broken = faults.to_vec();
        solved(base, &broken).or_else(|| {
            // A discharge that strikes and goes out for ever is at its highest while it is dark.
            broken.extend(dark(base.1));
            solved(base, &broken)
        })
    });
    let volts = volts.or_else(|| {
        let (_, circuit, _) = bases.first()?;
        Some(near(circuit, faults, bound))
    });
    volts.unwrap_or_else(|| bound.to_vec())
}

/// The bounds of the nodes that the faults' parts touch, and of those one part further.
fn near(circuit: &Circuit, faults: &[SizedFault], bound: &[f64]) -> Vec<f64> {
    let broken = |id: &PartId| {
        let mut faults = faults.iter();
        faults.any(|(fault, _)| {
            let cold = cold(circuit, fault).unwrap_or_default();
            fault.part() == Some(*id) || cold.sections.contains(id) || cold.sources.contains(id)
        })
    };
    let parts = (0..circuit.parts().len()).map(PartId).filter(broken);
    let own: Vec<NodeId> = parts
        .flat_map(|id| circuit.part(id).nodes.iter().copied())
        .collect();
    let beside = circuit.parts().iter().filter(|part| {
        part.nodes
            .iter()
            .any(|node| own.contains(node) && !is_common(circuit, *node))
    });
    let nodes: Vec<NodeId> = beside.flat_map(|part| part.nodes.iter().copied()).collect();
    let at = |(place, volts): (usize, &f64)| match nodes.contains(&NodeId(place)) {
        true => *volts,
        false => 0.0,
    };
    bound.iter().enumerate().map(at).collect()
}

/// Whether a node is one that everything hangs on, and so is no neighbourhood.
fn is_common(circuit: &Circuit, node: NodeId) -> bool {
    circuit.nodes()[node.0].is_reference
}

/// Every glow discharge that never strikes.
fn dark(circuit: &Circuit) -> impl Iterator<Item = SizedFault> + '_ {
    let parts = (0..circuit.parts().len()).map(PartId);
    let discharges = parts.filter(|id| match &circuit.part(*id).kind {
        PartKind::Device(device) => device.units.iter().any(|unit| unit.glow.is_some()),
        _ => false,
    });
    discharges.map(|id| (Hypothesis::of(id, Fault::NoStrike), 1.0))
}

/// The volts of every node; none where there is no operating point.
fn solved((base, circuit, conditions): &Base<'_>, faults: &[SizedFault]) -> Option<Vec<f64>> {
    let nodes = (0..circuit.nodes().len()).map(NodeId);
    let alteration = alteration(circuit, conditions, faults);
    if let Some(altered) = base.altered(&alteration) {
        return Some(nodes.map(|node| altered.node_volts(node).abs()).collect());
    }
    let faulty = circuit.altered(&alteration);
    let conditions = &alteration.conditions;
    let solution = solve_near(&faulty, conditions, base.solution())
        .or_else(|_| solve(&faulty, conditions))
        .ok()?;
    Some(nodes.map(|node| solution.node_volts(node).abs()).collect())
}

fn higher(a: Vec<f64>, b: Vec<f64>) -> Vec<f64> {
    a.into_iter().zip(b).map(|(a, b)| a.max(b)).collect()
}
