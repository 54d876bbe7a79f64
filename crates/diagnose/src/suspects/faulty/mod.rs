//! The circuit with one fault in it.
//!
//! A circuit, a hypothesis and a size come in; a circuit with changed values, or with a resistor
//! or a broken lead added, goes out. Nodes and parts keep their numbers: what is added stands
//! behind them. Values of the changes are those by which repairers think (common practice, no
//! source): a broken connection is 1 GΩ, a joined one is 1 Ω. Faults of tubes and semiconductors are in
//! [`in_device`].

mod feeds;
mod in_device;
mod live;
mod oscillators;

pub(crate) use oscillators::{fed_as_they_run, swinging_nodes};

use circuit::{
    Alteration, Bridge, Circuit, Conditions, DeviceParameter, NodeId, PartId, PartKind,
    Potentiometer, SettingValue, Supply,
};

use crate::suspects::altered_set::acts;
use crate::suspects::bounds::floating_tubes;
use crate::suspects::cold::cold;
use crate::suspects::fault::Fault;
use crate::suspects::hypotheses::resistor;
use crate::suspects::hypothesis::Hypothesis;

/// A broken connection in ohms.
pub(crate) const OPEN_OHMS: f64 = 1e9;

/// A joined connection in ohms.
pub(crate) const SHORT_OHMS: f64 = 1.0;

/// A circuit with a fault, and the conditions as they then are.
#[derive(Clone, Debug)]
pub struct Faulty {
    /// The circuit.
    pub circuit: Circuit,
    /// The conditions; a stuck contact takes no notice of its setting any more.
    pub conditions: Conditions,
}

/// The circuit with one fault of this size in the fault's own unit. A fault without a size takes it
/// as a factor on the resistance that stands for a broken or joined connection, 1 as a rule. A set
/// in order and a wrong reading leave the circuit as it is.
pub fn with_fault(
    circuit: &Circuit,
    conditions: &Conditions,
    hypothesis: &Hypothesis,
    size: f64,
) -> Faulty {
    let alteration = alteration(circuit, conditions, &[(*hypothesis, size)]);
    Faulty {
        circuit: circuit.altered(&alteration),
        conditions: alteration.conditions,
    }
}

/// What faults of these sizes change in a circuit; a set in order and a wrong reading change
/// nothing.
pub fn alteration(
    circuit: &Circuit,
    conditions: &Conditions,
    faults: &[(Hypothesis, f64)],
) -> Alteration {
    let mut change = Change {
        circuit,
        made: Alteration::none(conditions),
    };
    for (hypothesis, size) in faults {
        if !acts(hypothesis, circuit, conditions) {
            continue;
        }
        if let (Some(id), Some(fault)) = (hypothesis.part(), hypothesis.fault()) {
            change.apply(id, fault, hypothesis, *size);
        }
    }
    // One that is dead may feed the next.
    loop {
        let unfed = feeds::unfed(circuit, &change.made);
        if unfed.is_empty() {
            break;
        }
        for id in unfed {
            if let PartKind::Supply(supply) = &mut change.made.part_mut(circuit, id).kind {
                gives_nothing(supply, OPEN_OHMS);
            }
        }
    }
    for converter in oscillators::stopped(circuit, &change.made) {
        change.stop(converter);
    }
    change.made
}

/// Pairs of nodes between which these faults make a short.
pub(crate) fn shorts(
    circuit: &Circuit,
    conditions: &Conditions,
    faults: &[(Hypothesis, f64)],
) -> Vec<[NodeId; 2]> {
    let made = &alteration(circuit, conditions, faults);
    let found = live::Altered { circuit, made }.shorts();
    found
        .into_iter()
        .map(|(one, other)| [NodeId(one), NodeId(other)])
        .collect()
}

/// A supply without volts; where its resistance with the power off is not stated, it is `open` ohms.
fn gives_nothing(supply: &mut Supply, open: f64) {
    supply.volts = 0.0;
    supply.source = supply.off.unwrap_or(open);
}

/// An alteration in the making.
struct Change<'a> {
    circuit: &'a Circuit,
    made: Alteration,
}

impl Change<'_> {
    fn apply(&mut self, id: PartId, fault: Fault, hypothesis: &Hypothesis, size: f64) {
        let (open, short) = (OPEN_OHMS * size, SHORT_OHMS * size);
        if let Some(cold) = cold(self.circuit, hypothesis) {
            self.go_cold(&cold);
        }
        let part = self.circuit.part(id);
        if matches!(part.kind, PartKind::Device(_)) {
            self.in_device(id, fault, hypothesis, size);
            return;
        }
        let drifted = matches!(fault, Fault::DriftedHigh | Fault::DriftedLow);
        let set = matches!(fault, Fault::SetHigher | Fault::SetLower);
        if let (PartKind::Potentiometer(pot), false) = (&part.kind, drifted || set) {
            self.in_track(id, pot, fault, open);
            return;
        }
        if let PartKind::Contact(contact) = &part.kind {
            let closed = match self.made.conditions.of(id) {
                Some(SettingValue::Closed(closed)) => closed,
                _ => contact.closed,
            };
            if fault == Fault::DirtyContact && !closed {
                return;
            }
            // Stuck, it takes no notice of its setting any more.
            let settings = &mut self.made.conditions.settings;
            settings.retain(|setting| setting.part != id);
        }
        if let Some(tubes) = floating_tubes(self.circuit, hypothesis) {
            // The grids float by their ions, which is what the size counts.
            for tube in tubes {
                let gas = DeviceParameter::GasCurrent;
                self.each_characteristic(tube, |law| law.varied(gas, size));
            }
            self.made.part_mut(self.circuit, id).kind = resistor(OPEN_OHMS);
            return;
        }
        match (&mut self.made.part_mut(self.circuit, id).kind, fault) {
            (PartKind::Resistor(part), Fault::Open) => part.ohms = open,
            (PartKind::Resistor(part), Fault::Shorted) => part.ohms = short.min(part.ohms),
            (PartKind::Resistor(part), _) => part.ohms = size,
            (PartKind::Potentiometer(pot), _) if set => pot.offset = pot.offset_to(size),
            (PartKind::Potentiometer(pot), _) => pot.ohms = size,
            (PartKind::Capacitor(part), Fault::Leaky) => part.leak = Some(size),
            (PartKind::Capacitor(part), _) => part.leak = Some(short),
            (PartKind::Inductor(part), Fault::Open) => part.ohms = open,
            (PartKind::Inductor(part), Fault::Shorted) => part.ohms = short.min(part.ohms),
            (PartKind::Inductor(part), _) => part.ohms = size,
            (PartKind::Transformer(part), Fault::PrimaryOpen) => part.primary_ohms = open,
            (PartKind::Transformer(part), Fault::SecondaryOpen) => part.secondary_ohms = open,
            (PartKind::Transformer(part), _) => part.primary_ohms = size,
            (PartKind::Supply(part), Fault::VoltsHigh | Fault::VoltsLow) => {
                part.volts = size * part.volts.signum();
            }
            (PartKind::Supply(part), Fault::WeakSource) => part.source = size,
            (PartKind::Supply(part), _) => gives_nothing(part, open),
            (PartKind::Generator(part), _) => part.source = open,
            (kind @ PartKind::Lamp(_), _) => *kind = resistor(open),
            (kind @ PartKind::Contact(_), Fault::DirtyContact) => *kind = resistor(size),
            (PartKind::Contact(part), _) => part.closed = fault == Fault::StuckClosed,
            (PartKind::Device(_), _) => {}
        }
    }

    /// A potentiometer with its track or its wiper open.
    fn in_track(&mut self, id: PartId, pot: &Potentiometer, fault: Fault, open: f64) {
        let part = self.circuit.part(id);
        let (ohms, turn) = (pot.ohms, pot.moved(self.made.conditions.turn(id)));
        let above = ohms * (1.0 - turn);
        let below = ohms * turn;
        let (cw, wiper, ccw) = (part.nodes[0], part.nodes[1], part.nodes[2]);
        let pieces = match fault {
            Fault::TrackOpenAbove => [(open, cw, wiper), (below, wiper, ccw)],
            Fault::TrackOpenBelow => [(above, cw, wiper), (open, wiper, ccw)],
            _ => [(ohms, cw, ccw), (open, wiper, ccw)],
        };
        self.replace(id, pieces);
    }

    /// A potentiometer in two pieces: the first takes its place, the second is added.
    fn replace(&mut self, id: PartId, pieces: [(f64, NodeId, NodeId); 2]) {
        let (ohms, plus, minus) = pieces[0];
        let part = self.made.part_mut(self.circuit, id);
        part.kind = resistor(ohms);
        part.nodes = vec![plus, minus];
        let (ohms, plus, minus) = pieces[1];
        self.bridge(ohms, plus, minus);
    }

    fn bridge(&mut self, ohms: f64, plus: NodeId, minus: NodeId) {
        self.made.bridges.push(Bridge { plus, minus, ohms });
    }
}
