//! Which lead may be lifted in a set that will run again.
//!
//! A part comes in; the end that may be lifted goes out, or none. Never where that may harm: only capacitors,
//! for they feed no grid, screen or plate and load no supply; none at a supply's own terminals, no electrolytic
//! where 50 V may stand, and only such an end that the lead in the air stays below 50 V under every
//! fault that leads. All else is measured by itself, with the power off.

use circuit::{Dielectric, Job, NodeId, PartId, PartKind, Port};

use crate::hazard::HAZARDOUS_DC;
use crate::suspects::altered_set::PartStep;
use crate::suspects::bench_model::{Probe, SizedFault};
use crate::suspects::evaluation::Evaluator;
use crate::worst_case::WorstCaseVolts;

/// A capacitor's lead that may be lifted in a set that will run again; the one at the hotter end,
/// so that what hangs in the air has the volts of the colder one.
pub(crate) fn lift(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    id: PartId,
) -> Option<PartStep> {
    let part = job.circuit.parts().get(id.0)?;
    let PartKind::Capacitor(capacitor) = &part.kind else {
        return None;
    };
    let ends: [NodeId; 2] = part.nodes[..].try_into().ok()?;
    // The chassis is everybody's, and no supply's own.
    let at_supply = |node: NodeId| {
        against_reference(job, node).is_some()
            && job
                .circuit
                .parts()
                .iter()
                .any(|other| other.kind.is_source() && other.nodes.contains(&node))
    };
    let volts =
        ends.map(|node| against_reference(job, node).map_or(0.0, |port| worst_case_volts.at(port)));
    let hot = usize::from(volts[1] > volts[0]);
    let electrolytic = capacitor.dielectric == Dielectric::Electrolytic;
    let harms = ends.into_iter().any(at_supply);
    let filters = electrolytic && volts[hot] >= HAZARDOUS_DC;
    (!harms && !filters && ends[0] != ends[1]).then_some(PartStep::LiftAndRead(id, hot))
}

/// Whether the lead in the air stays below 50 V in every state of the controls and under every of these faults,
/// which are those of the set with that end lifted. It has the volts of the other end.
pub(crate) fn free_lead_is_safe(
    (job, trials): (&Job, &Evaluator<'_>),
    (part, lifted): (PartId, usize),
    states: impl Iterator<Item = usize>,
    faults: impl Iterator<Item = Vec<SizedFault>>,
) -> bool {
    let Some(other) = job.circuit.part(part).nodes.get(1 - lifted) else {
        return false;
    };
    let Some(port) = against_reference(job, *other) else {
        return true;
    };
    let mut states: Vec<usize> = states.collect();
    states.sort_unstable();
    states.dedup();
    let probe = |state: &usize| Probe {
        port,
        siemens: 0.0,
        state: *state,
    };
    let probes: Vec<Probe> = states.iter().map(probe).collect();
    let mut faults = faults;
    faults.all(|faults| {
        let seen = trials.bench.response(&faults, &probes);
        // What cannot be worked out is not safe.
        seen.is_ok_and(|seen| seen.volts.iter().all(|volts| volts.abs() < HAZARDOUS_DC))
    })
}

/// A node against the reference of its island; none for the reference itself.
fn against_reference(job: &Job, node: NodeId) -> Option<Port> {
    let islands = circuit::islands(&job.circuit);
    let own = islands.iter().find(|island| island.nodes.contains(&node))?;
    let minus = *own.references.first()?;
    (minus != node).then_some(Port { plus: node, minus })
}

#[cfg(test)]
mod tests {
    use super::*;
    use input::{read_job, JobSources, Sources};
    use reconcile::reconcile;

    /// Two stages: filter capacitors on both supplies and behind a dropper, a coupler, a bypass.
    const STAGES: &str = "ground chassis
PS1: 250V source=100R, plus=bplus, minus=chassis
PS2: 20V source=1k, plus=chassis, minus=bias
R1: 10k, bplus to dec
R2: 100k, dec to plate1
R3: 1.5k, cath1 to chassis
R4: 1M, grid1 to chassis
V1A: 12AX7, plate=plate1, grid=grid1, cathode=cath1
R5: 470k, grid2 to bias
R6: 5k, bplus to plate2
V2A: 12AU7, plate=plate2, grid=grid2, cathode=chassis
C1: 20nF, plate1 to grid2
C2: 25uF, cath1 to chassis
C3: 20uF, dec to chassis
C4: 40uF, bplus to chassis
C5: 10uF, chassis to bias
";

    #[test]
    fn only_what_feeds_and_filters_nothing_is_lifted_in_a_set_that_runs_again() {
        let mut sources = Sources::default();
        let settings = "[as-documented]\nmeter = \"10M\"\n[on-the-bench]\nmeter = \"10M\"\n";
        let parts = JobSources {
            settings: Some(sources.add("job.toml", settings)),
            netlist: Some(sources.add("circuit.netlist", STAGES)),
            manual: Some(sources.add("manual.csv", "point,at,value\n1,bplus,245\n")),
            ..JobSources::default()
        };
        let read = read_job(&sources, &parts, &[]);
        let job = read.job.unwrap_or_else(|| panic!("{:?}", read.diagnostics));
        let worst_case_volts = WorstCaseVolts::of(&reconcile(&job).unwrap());
        let lifted = |name: &str| {
            let mut parts = job.circuit.parts().iter();
            let place = parts.position(|part| part.designator == name).unwrap();
            match lift((&job, &worst_case_volts), PartId(place)) {
                Some(PartStep::LiftAndRead(_, end)) => Some(end),
                _ => None,
            }
        };
        // The coupler at its plate; the bypass, which has a volt or two.
        assert_eq!(lifted("C1"), Some(0));
        assert!(lifted("C2").is_some());
        // Filters behind the dropper and at either supply, resistors, tubes, supplies.
        for name in ["C3", "C4", "C5", "R2", "R3", "R4", "R5", "R6", "V1A", "PS1"] {
            assert_eq!(lifted(name), None, "{name}");
        }
    }
}
