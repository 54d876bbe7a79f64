//! The circuit with one fault in it.
//!
//! A circuit, a hypothesis and a size come in; a circuit with changed values, or with a resistor
//! or a broken lead added, goes out. Nodes and parts keep their numbers: what is added stands
//! behind them. Values of the changes are those by which repairers think (common practice, no
//! source): a broken connection is 1 GΩ, a joined one is 1 Ω.

use circuit::{
    tube_types, Alteration, Bridge, BrokenLead, Characteristic, Circuit, Conditions, Device,
    DeviceParameter, NodeId, Part, PartId, PartKind, SettingValue,
};

use crate::suspects::bounds::{floating_grid, floating_tubes, grid};
use crate::suspects::fault::Fault;
use crate::suspects::hypotheses::{resistor, section_of, sections};
use crate::suspects::hypothesis::Hypothesis;

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
        if let (Some(id), Some(fault)) = (hypothesis.part(), hypothesis.fault()) {
            change.apply((id, fault), hypothesis, *size);
        }
    }
    change.made
}

/// An alteration in the making.
struct Change<'a> {
    circuit: &'a Circuit,
    made: Alteration,
}

impl Change<'_> {
    fn apply(&mut self, (id, fault): (PartId, Fault), hypothesis: &Hypothesis, size: f64) {
        let (open, short) = (OPEN_OHMS * size, SHORT_OHMS * size);
        let turn = match self.made.conditions.of(id) {
            Some(SettingValue::Turn(turn)) => Some(turn),
            _ => None,
        };
        let part = self.circuit.part(id);
        if matches!(part.kind, PartKind::Device(_)) {
            self.in_device((id, fault), hypothesis, size);
            return;
        }
        if let (PartKind::Potentiometer(pot), false) = (
            &part.kind,
            matches!(fault, Fault::DriftedHigh | Fault::DriftedLow),
        ) {
            let (ohms, turn) = (pot.ohms, turn.unwrap_or(pot.setting));
            let above = ohms * (1.0 - turn);
            let below = ohms * turn;
            let (cw, wiper, ccw) = (part.nodes[0], part.nodes[1], part.nodes[2]);
            let pieces = match fault {
                Fault::TrackOpenAbove => [(open, cw, wiper), (below, wiper, ccw)],
                Fault::TrackOpenBelow => [(above, cw, wiper), (open, wiper, ccw)],
                _ => [(ohms, cw, ccw), (open, wiper, ccw)],
            };
            self.replace(id, pieces);
            return;
        }
        if let PartKind::Contact(_) = &part.kind {
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
            (PartKind::Supply(part), _) => {
                part.volts = 0.0;
                part.source = part.off.unwrap_or(open);
            }
            (PartKind::Generator(part), _) => part.source = open,
            (kind @ PartKind::Lamp(_), _) => *kind = resistor(open),
            (PartKind::Contact(part), _) => part.closed = fault == Fault::StuckClosed,
            (PartKind::Device(_), _) => {}
        }
    }

    fn in_device(&mut self, (id, fault): (PartId, Fault), hypothesis: &Hypothesis, size: f64) {
        let circuit = self.circuit;
        let (open, short) = (OPEN_OHMS * size, SHORT_OHMS * size);
        let ends = |part: &Part, a: usize, b: Option<usize>| -> Option<(NodeId, NodeId)> {
            let PartKind::Device(device) = &part.kind else {
                return None;
            };
            let at = &device.units.first()?.at;
            let b = b.unwrap_or(at.len().checked_sub(1)?);
            Some((part.nodes[*at.get(a)?], part.nodes[*at.get(b)?]))
        };
        let part = circuit.part(id);
        let PartKind::Device(device) = &part.kind else {
            return;
        };
        let bridge = |change: &mut Change<'_>, between: Option<(NodeId, NodeId)>, ohms: f64| {
            if let Some((a, b)) = between {
                change.bridge(ohms, a, b);
            }
        };
        match fault {
            Fault::Shorted | Fault::EndsShorted | Fault::PlateCathodeShort => {
                bridge(self, ends(part, 0, None), short);
            }
            Fault::CollectorBaseShort => bridge(self, ends(part, 0, Some(1)), short),
            Fault::BaseEmitterShort => bridge(self, ends(part, 1, Some(2)), short),
            Fault::GridCathodeShort => {
                let between = grid(device).and_then(|grid| ends(part, grid, None));
                bridge(self, between, short);
            }
            Fault::HeaterCathodeLeak => {
                let cathode = ends(part, 0, None).map(|(_, cathode)| cathode);
                let reference = cathode.and_then(|node| reference_of(circuit, node));
                bridge(self, cathode.zip(reference), size);
            }
            Fault::Leaky if !is_bipolar(device) => bridge(self, ends(part, 0, None), size),
            Fault::Open => {
                let lead = device.units.first().map_or(0, |unit| unit.at[0]);
                self.break_lead(id, lead, open);
            }
            Fault::ElectrodeOpen => {
                if let Some(terminal) = hypothesis.terminal() {
                    if feeds_oscillator(device, terminal) {
                        self.each_characteristic(id, stopped);
                    }
                    if floating_grid(circuit, hypothesis).is_some() {
                        let gas = DeviceParameter::GasCurrent;
                        self.each_characteristic(id, |law| law.varied(gas, size));
                        self.break_lead(id, terminal, OPEN_OHMS);
                    } else {
                        self.break_lead(id, terminal, open);
                    }
                }
            }
            Fault::OtherType => {
                let Some(other) = hypothesis
                    .other_type()
                    .and_then(|place| tube_types().nth(place))
                else {
                    return;
                };
                for section in sections(circuit, id) {
                    if let Some(unit) = other.units.get(section_of(circuit, section)) {
                        self.each_characteristic(section, |_| unit.characteristic);
                    }
                }
            }
            Fault::SectionsSwapped => {
                if let Hypothesis::SectionsSwapped { with, terminal, .. } = hypothesis {
                    self.exchange((id, *with), *terminal);
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
                if let PartKind::Device(device) = &mut self.made.part_mut(circuit, id).kind {
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
        if let PartKind::Device(device) = &mut self.made.part_mut(self.circuit, id).kind {
            for unit in &mut device.units {
                unit.characteristic = changed(&unit.characteristic);
            }
        }
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

    /// Exchanges the leads of two parts with the same terminals, or one of them.
    fn exchange(&mut self, (one, other): (PartId, PartId), terminal: Option<usize>) {
        let of = |id: PartId| self.circuit.part(id).nodes.clone();
        let (first, second) = (of(one), of(other));
        for (id, theirs) in [(one, second), (other, first)] {
            let own = &mut self.made.part_mut(self.circuit, id).nodes;
            for (place, (own, theirs)) in own.iter_mut().zip(theirs).enumerate() {
                if terminal.is_none_or(|wanted| wanted == place) {
                    *own = theirs;
                }
            }
        }
    }

    /// Hangs one terminal on a node of its own, behind a broken connection.
    fn break_lead(&mut self, part: PartId, terminal: usize, ohms: f64) {
        self.made.broken_leads.push(BrokenLead {
            part,
            terminal,
            ohms,
        });
    }
}

fn is_bipolar(device: &Device) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| matches!(unit.characteristic, Characteristic::Bipolar(_)))
}

/// Whether a converter's oscillator stops without this terminal: its grid or its cathode.
fn feeds_oscillator(device: &Device, terminal: usize) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| {
        let [_, _, grid, _, cathode] = unit.at[..] else {
            return false;
        };
        matches!(unit.characteristic, Characteristic::Pentagrid(_))
            && (terminal == grid || terminal == cathode)
    })
}

/// A converter's law with its oscillator at rest; any other as it is.
fn stopped(law: &Characteristic) -> Characteristic {
    let mut law = *law;
    if let Characteristic::Pentagrid(tube) = &mut law {
        tube.oscillates = false;
    }
    law
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
