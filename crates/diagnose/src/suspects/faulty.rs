//! The circuit with one fault in it.
//!
//! A circuit, a hypothesis and a size come in; a circuit with changed values, or with a resistor
//! or a broken lead added, goes out. Nodes and parts keep their numbers: what is added stands
//! behind them. Values of the changes are those by which repairers think (common practice, no
//! source): a broken connection is 1 GΩ, a joined one is 1 Ω.

use circuit::{
    Characteristic, Circuit, CircuitBuilder, Conditions, Device, DeviceParameter, NodeId, Origin,
    Part, PartId, PartKind, Port, SettingValue,
};

use crate::suspects::fault::{Fault, Hypothesis};
use crate::suspects::hypotheses::{grid, resistor, sections};

/// A broken connection in ohms.
pub(crate) const OPEN_OHMS: f64 = 1e9;

/// A joined connection in ohms.
pub(crate) const SHORT_OHMS: f64 = 1.0;

/// Emission of a tube that has none, as a share: next to nothing, but the laws stay smooth.
const NO_EMISSION: f64 = 1e-6;

/// Volts at which a glow discharge that never strikes would strike.
const NEVER_STRIKES: f64 = 1e6;

/// A circuit with a fault, and the conditions as they then are.
#[derive(Clone, Debug)]
pub struct Faulty {
    /// The circuit.
    pub circuit: Circuit,
    /// The conditions; a stuck contact takes no notice of its setting any more.
    pub conditions: Conditions,
}

/// The circuit with one fault of this size in the fault's own unit; a fault without a size takes
/// no notice of it. A set in order and a wrong reading leave it as it is.
pub fn with_fault(
    circuit: &Circuit,
    conditions: &Conditions,
    hypothesis: &Hypothesis,
    size: f64,
) -> Faulty {
    let Some(id) = hypothesis.part else {
        return Faulty {
            circuit: circuit.clone(),
            conditions: conditions.clone(),
        };
    };
    let mut change = Change::of(circuit, conditions);
    change.apply(circuit, id, hypothesis, size);
    change.finish(circuit)
}

/// Where a fault does no more than change the conductance between two nodes, those nodes and the
/// change in siemens.
pub(crate) fn conductance(
    circuit: &Circuit,
    hypothesis: &Hypothesis,
    size: f64,
) -> Option<(Port, f64)> {
    let part = circuit.part(hypothesis.part?);
    let (before, after) = match (&part.kind, hypothesis.fault) {
        (PartKind::Resistor(part), Fault::Open) => (1.0 / part.ohms, 1.0 / OPEN_OHMS),
        (PartKind::Resistor(part), Fault::Shorted) => {
            (1.0 / part.ohms, 1.0 / SHORT_OHMS.min(part.ohms))
        }
        (PartKind::Resistor(part), _) => (1.0 / part.ohms, 1.0 / size),
        (PartKind::Capacitor(part), Fault::Leaky) => {
            (part.leak.map_or(0.0, |ohms| 1.0 / ohms), 1.0 / size)
        }
        (PartKind::Capacitor(part), _) => {
            (part.leak.map_or(0.0, |ohms| 1.0 / ohms), 1.0 / SHORT_OHMS)
        }
        _ => return None,
    };
    let port = Port {
        plus: part.nodes[0],
        minus: part.nodes[1],
    };
    let change: f64 = after - before;
    change.is_finite().then_some((port, change))
}

/// A circuit in the making.
struct Change {
    parts: Vec<Part>,
    /// Nodes behind a broken lead, by name.
    new_nodes: Vec<String>,
    first_new: usize,
    conditions: Conditions,
}

impl Change {
    fn of(circuit: &Circuit, conditions: &Conditions) -> Self {
        Change {
            parts: circuit.parts().to_vec(),
            new_nodes: Vec::new(),
            first_new: circuit.nodes().len(),
            conditions: conditions.clone(),
        }
    }

    fn apply(&mut self, circuit: &Circuit, id: PartId, hypothesis: &Hypothesis, size: f64) {
        let fault = hypothesis.fault;
        let nodes = self.parts[id.0].nodes.clone();
        let turn = match self.conditions.of(id) {
            Some(SettingValue::Turn(turn)) => Some(turn),
            _ => None,
        };
        match (&mut self.parts[id.0].kind, fault) {
            (PartKind::Resistor(part), Fault::Open) => part.ohms = OPEN_OHMS,
            (PartKind::Resistor(part), Fault::Shorted) => part.ohms = SHORT_OHMS.min(part.ohms),
            (PartKind::Resistor(part), _) => part.ohms = size,
            (PartKind::Potentiometer(pot), Fault::DriftedHigh | Fault::DriftedLow) => {
                pot.ohms = size;
            }
            (PartKind::Potentiometer(pot), _) => {
                let (ohms, turn) = (pot.ohms, turn.unwrap_or(pot.setting));
                let above = ohms * (1.0 - turn);
                let below = ohms * turn;
                let (cw, wiper, ccw) = (nodes[0], nodes[1], nodes[2]);
                let pieces = match fault {
                    Fault::TrackOpenAbove => [(OPEN_OHMS, cw, wiper), (below, wiper, ccw)],
                    Fault::TrackOpenBelow => [(above, cw, wiper), (OPEN_OHMS, wiper, ccw)],
                    _ => [(ohms, cw, ccw), (OPEN_OHMS, wiper, ccw)],
                };
                self.replace(id, pieces);
            }
            (PartKind::Capacitor(part), Fault::Leaky) => part.leak = Some(size),
            (PartKind::Capacitor(part), _) => part.leak = Some(SHORT_OHMS),
            (PartKind::Inductor(part), Fault::Open) => part.ohms = OPEN_OHMS,
            (PartKind::Inductor(part), Fault::Shorted) => part.ohms = SHORT_OHMS.min(part.ohms),
            (PartKind::Inductor(part), _) => part.ohms = size,
            (PartKind::Transformer(part), Fault::PrimaryOpen) => part.primary_ohms = OPEN_OHMS,
            (PartKind::Transformer(part), Fault::SecondaryOpen) => part.secondary_ohms = OPEN_OHMS,
            (PartKind::Transformer(part), _) => part.primary_ohms = size,
            (PartKind::Supply(part), Fault::VoltsHigh | Fault::VoltsLow) => {
                part.volts = size * part.volts.signum();
            }
            (PartKind::Supply(part), Fault::WeakSource) => part.source = size,
            (PartKind::Supply(part), _) => {
                part.volts = 0.0;
                part.source = part.off.unwrap_or(OPEN_OHMS);
            }
            (PartKind::Generator(part), _) => part.source = OPEN_OHMS,
            (kind @ PartKind::Lamp(_), _) => *kind = resistor(OPEN_OHMS),
            (PartKind::Contact(part), _) => {
                part.closed = fault == Fault::StuckClosed;
                self.conditions
                    .settings
                    .retain(|setting| setting.part != id);
            }
            (PartKind::Device(_), _) => self.in_device(circuit, id, hypothesis, size),
        }
    }

    fn in_device(&mut self, circuit: &Circuit, id: PartId, hypothesis: &Hypothesis, size: f64) {
        let ends = |part: &Part, a: usize, b: Option<usize>| -> Option<(NodeId, NodeId)> {
            let PartKind::Device(device) = &part.kind else {
                return None;
            };
            let at = &device.units.first()?.at;
            let b = b.unwrap_or(at.len().checked_sub(1)?);
            Some((part.nodes[*at.get(a)?], part.nodes[*at.get(b)?]))
        };
        let part = self.parts[id.0].clone();
        let PartKind::Device(device) = &part.kind else {
            return;
        };
        let bridge = |change: &mut Change, between: Option<(NodeId, NodeId)>, ohms: f64| {
            if let Some((a, b)) = between {
                change.add_resistor(ohms, a, b);
            }
        };
        match hypothesis.fault {
            Fault::Shorted | Fault::EndsShorted | Fault::PlateCathodeShort => {
                bridge(self, ends(&part, 0, None), SHORT_OHMS);
            }
            Fault::CollectorBaseShort => bridge(self, ends(&part, 0, Some(1)), SHORT_OHMS),
            Fault::BaseEmitterShort => bridge(self, ends(&part, 1, Some(2)), SHORT_OHMS),
            Fault::GridCathodeShort => {
                let between = grid(device).and_then(|grid| ends(&part, grid, None));
                bridge(self, between, SHORT_OHMS);
            }
            Fault::HeaterCathodeLeak => {
                let cathode = ends(&part, 0, None).map(|(_, cathode)| cathode);
                let reference = cathode.and_then(|node| reference_of(circuit, node));
                bridge(self, cathode.zip(reference), size);
            }
            Fault::Leaky if !is_bipolar(device) => bridge(self, ends(&part, 0, None), size),
            Fault::Open => self.break_lead(id, device.units.first().map_or(0, |unit| unit.at[0])),
            Fault::ElectrodeOpen => {
                if let Some(terminal) = hypothesis.electrode {
                    self.break_lead(id, terminal);
                }
            }
            Fault::HeaterOpen => {
                for section in sections(circuit, id) {
                    self.each_characteristic(section, |law| emission(law, NO_EMISSION));
                }
            }
            Fault::NoEmission => self.each_characteristic(id, |law| emission(law, NO_EMISSION)),
            Fault::LowEmission => self.each_characteristic(id, |law| emission(law, size)),
            Fault::Gassy => {
                self.each_characteristic(id, |law| law.varied(DeviceParameter::GasCurrent, size))
            }
            Fault::LowGain => self.each_characteristic(id, |law| {
                let gain = law.varied(DeviceParameter::CurrentGain, size.ln());
                gain.varied(DeviceParameter::DrainCurrent, size.ln())
            }),
            Fault::Leaky => self.each_characteristic(id, |law| {
                let mut leaky = *law;
                if let Characteristic::Bipolar(transistor) = &mut leaky {
                    transistor.leakage = size;
                }
                leaky
            }),
            Fault::NoStrike => {
                if let PartKind::Device(device) = &mut self.parts[id.0].kind {
                    for glow in device
                        .units
                        .iter_mut()
                        .filter_map(|unit| unit.glow.as_mut())
                    {
                        glow.strike_volts = NEVER_STRIKES;
                    }
                }
            }
            _ => {}
        }
    }

    fn each_characteristic(
        &mut self,
        id: PartId,
        changed: impl Fn(&Characteristic) -> Characteristic,
    ) {
        if let PartKind::Device(device) = &mut self.parts[id.0].kind {
            for unit in &mut device.units {
                unit.characteristic = changed(&unit.characteristic);
            }
        }
    }

    /// A potentiometer in two pieces: the first takes its place, the second is added.
    fn replace(&mut self, id: PartId, pieces: [(f64, NodeId, NodeId); 2]) {
        let (ohms, plus, minus) = pieces[0];
        self.parts[id.0].kind = resistor(ohms);
        self.parts[id.0].nodes = vec![plus, minus];
        let (ohms, plus, minus) = pieces[1];
        self.add_resistor(ohms, plus, minus);
    }

    fn add_resistor(&mut self, ohms: f64, plus: NodeId, minus: NodeId) {
        self.parts.push(Part {
            designator: "fault".to_owned(),
            kind: resistor(ohms),
            nodes: vec![plus, minus],
            origin: Origin::default(),
        });
    }

    /// Hangs one terminal on a node of its own, behind a broken connection.
    fn break_lead(&mut self, id: PartId, terminal: usize) {
        let Some(outside) = self.parts[id.0].nodes.get(terminal).copied() else {
            return;
        };
        let inside = NodeId(self.first_new + self.new_nodes.len());
        // No name that a netlist could hold.
        self.new_nodes.push(format!("\u{0}{}", inside.0));
        self.parts[id.0].nodes[terminal] = inside;
        self.add_resistor(OPEN_OHMS, inside, outside);
    }

    fn finish(self, circuit: &Circuit) -> Faulty {
        let mut builder = CircuitBuilder::new();
        builder.title(circuit.title());
        for node in circuit.nodes() {
            let id = builder.node(&node.name);
            if node.is_reference {
                builder.reference(id);
            }
        }
        for name in &self.new_nodes {
            builder.node(name);
        }
        for part in self.parts {
            builder.part(part);
        }
        Faulty {
            circuit: builder.finish(),
            conditions: self.conditions,
        }
    }
}

fn is_bipolar(device: &Device) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| matches!(unit.characteristic, Characteristic::Bipolar(_)))
}

/// A law with its emission as a share of what it is.
fn emission(law: &Characteristic, share: f64) -> Characteristic {
    let now = match law {
        Characteristic::VacuumDiode(diode) => diode.emission,
        Characteristic::Triode(tube) => tube.wear.emission,
        Characteristic::Pentode(tube) => tube.wear.emission,
        Characteristic::Pentagrid(tube) => tube.wear.emission,
        _ => return *law,
    };
    law.varied(DeviceParameter::Emission, now * (share - 1.0))
}

/// The reference node of a node's island.
fn reference_of(circuit: &Circuit, node: NodeId) -> Option<NodeId> {
    let islands = circuit::islands(circuit);
    let own = islands.iter().find(|island| island.nodes.contains(&node))?;
    own.references.first().copied()
}
