//! A fault of a tube or a semiconductor.
//!
//! A part, a fault of it and a size come in; a changed law, a resistor or a broken lead is added to the alteration. How
//! other parts fail is not known here.

use circuit::{
    tube_types, BrokenLead, Characteristic, Circuit, Device, DeviceParameter, NodeId, Part, PartId,
    PartKind, TubeType, Wear,
};

use super::{gives_nothing, Change, OPEN_OHMS, SHORT_OHMS};
use crate::suspects::bounds::{floating_grid, grid};
use crate::suspects::cold::Cold;
use crate::suspects::fault::Fault;
use crate::suspects::hypotheses::section_of;
use crate::suspects::hypothesis::Hypothesis;

/// Volts at which a glow discharge that never strikes would strike.
const NEVER_STRIKES: f64 = 1e6;

impl Change<'_> {
    pub(super) fn in_device(
        &mut self,
        id: PartId,
        fault: Fault,
        hypothesis: &Hypothesis,
        size: f64,
    ) {
        let circuit = self.circuit;
        let (open, short) = (OPEN_OHMS * size, SHORT_OHMS * size);
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
            Fault::CollectorEmitterLeak => bridge(self, ends(part, 0, None), size),
            Fault::CollectorBaseShort => bridge(self, ends(part, 0, Some(1)), short),
            Fault::BaseEmitterShort => bridge(self, ends(part, 1, Some(2)), short),
            Fault::GateSourceLeak => bridge(self, ends(part, 1, Some(2)), size),
            Fault::GateDrainLeak => bridge(self, ends(part, 0, Some(1)), size),
            Fault::GridCathodeShort | Fault::GridCathodeLeak => {
                let between = grid(device).and_then(|grid| ends(part, grid, None));
                let is_short = fault == Fault::GridCathodeShort;
                bridge(self, between, if is_short { short } else { size });
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
                    self.open_electrode(id, terminal, hypothesis, size);
                }
            }
            Fault::OtherType => {
                let place = hypothesis.other_type();
                if let Some(other) = place.and_then(|place| tube_types().nth(place)) {
                    self.plug_in(id, other);
                }
            }
            Fault::SectionsSwapped => {
                if let Hypothesis::SectionsSwapped { with, terminal, .. } = hypothesis {
                    self.exchange((id, *with), *terminal);
                }
            }
            Fault::NoEmission => self.each_characteristic(id, without_emission),
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
            Fault::VoltsHigh | Fault::VoltsLow => self.each_characteristic(id, |law| {
                let by = size - law.knee_volts().unwrap_or(size);
                law.varied(DeviceParameter::KneeVolts, by)
            }),
            Fault::Aged => self.each_characteristic(id, |law| {
                let mut aged = *law;
                if let Characteristic::SoftKnee(knee) = &mut aged {
                    knee.slope_ohms = size;
                }
                aged
            }),
            Fault::NoStrike => self.never_strike(id),
            Fault::NotOscillating => self.stop(id),
            _ => {}
        }
    }

    /// One electrode without its connection; a grid then floats by its ions, which is what the size counts.
    fn open_electrode(&mut self, id: PartId, terminal: usize, hypothesis: &Hypothesis, size: f64) {
        let PartKind::Device(device) = &self.circuit.part(id).kind else {
            return;
        };
        if feeds_oscillator(device, terminal) {
            self.stop(id);
        }
        if floating_grid(self.circuit, hypothesis).is_some() {
            let gas = DeviceParameter::GasCurrent;
            self.each_characteristic(id, |law| law.varied(gas, size));
            self.break_lead(id, terminal, OPEN_OHMS);
        } else {
            self.break_lead(id, terminal, OPEN_OHMS * size);
        }
    }

    /// The oscillator of a converter at rest.
    pub(super) fn stop(&mut self, converter: PartId) {
        self.each_characteristic(converter, Characteristic::at_rest);
    }

    /// Another type of tube in the socket.
    fn plug_in(&mut self, id: PartId, other: &TubeType) {
        for section in self.circuit.sections_of(id) {
            if let Some(unit) = other.units.get(section_of(self.circuit, section)) {
                self.each_characteristic(section, |own| {
                    unit.characteristic.fed_at(own.feeding_volts())
                });
            }
        }
    }

    fn never_strike(&mut self, id: PartId) {
        if let PartKind::Device(device) = &mut self.made.part_mut(self.circuit, id).kind {
            let glows = device.units.iter_mut();
            for glow in glows.filter_map(|unit| unit.glow.as_mut()) {
                glow.strike_volts = NEVER_STRIKES;
            }
        }
    }

    /// Tubes without emission, and supplies that give nothing because their rectifier has none.
    pub(super) fn go_cold(&mut self, cold: &Cold) {
        for section in &cold.sections {
            self.each_characteristic(*section, without_emission);
        }
        for source in &cold.sources {
            match &mut self.made.part_mut(self.circuit, *source).kind {
                PartKind::Supply(supply) => gives_nothing(supply, OPEN_OHMS),
                PartKind::Generator(generator) => generator.source = OPEN_OHMS,
                _ => {}
            }
        }
    }

    /// Every unit of a device with a changed law.
    pub(super) fn each_characteristic(
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

/// The nodes of two electrodes of a device's first unit; without a second one its last.
fn ends(part: &Part, a: usize, b: Option<usize>) -> Option<(NodeId, NodeId)> {
    let PartKind::Device(device) = &part.kind else {
        return None;
    };
    let at = &device.units.first()?.at;
    let b = b.unwrap_or(at.len().checked_sub(1)?);
    Some((part.nodes[*at.get(a)?], part.nodes[*at.get(b)?]))
}

fn is_bipolar(device: &Device) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| matches!(unit.characteristic, Characteristic::Bipolar(_)))
}

/// Whether an oscillator stops without this terminal: its grid or its cathode, or the plate of a triode.
fn feeds_oscillator(device: &Device, terminal: usize) -> bool {
    let mut units = device.units.iter();
    units.any(|unit| match (unit.characteristic, &unit.at[..]) {
        (Characteristic::Pentagrid(_), [_, _, grid, _, cathode]) => {
            [grid, cathode].contains(&&terminal)
        }
        (Characteristic::Oscillator(_), at) => at.contains(&terminal),
        _ => false,
    })
}

/// A law of a cold cathode: next to no emission, and no oscillator that would run on it.
fn without_emission(law: &Characteristic) -> Characteristic {
    emission(law, Wear::COLD).at_rest()
}

/// A law with its emission as a share of what it is.
fn emission(law: &Characteristic, share: f64) -> Characteristic {
    match law.emission() {
        Some(now) => law.varied(DeviceParameter::Emission, now * (share - 1.0)),
        None => *law,
    }
}

/// The reference node of a node's island.
fn reference_of(circuit: &Circuit, node: NodeId) -> Option<NodeId> {
    let islands = circuit::islands(circuit);
    let own = islands.iter().find(|island| island.nodes.contains(&node))?;
    own.references.first().copied()
}
