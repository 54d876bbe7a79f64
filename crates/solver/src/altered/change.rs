//! What an alteration changes in the equations: single conductances, laws and leads.
//!
//! Where it changes more than that (an ideal source, a wire that was there), it is not taken here
//! and the circuit has to be solved anew.

use std::borrow::Cow;

use circuit::{Alteration, NodeId, Part, PartId, PartKind};

use super::Alterable;
use crate::device::Device;
use crate::element::{dependences, elements_of, Element, ElementKind};
use crate::network::Carried;
use crate::numbers::ParameterId;
use crate::terms::{through, Term};
use crate::ties::Place;

/// Resistance in ohms that stands for a wire where none was.
const WIRE_OHMS: f64 = 1e-3;

/// A load that comes onto two nodes: `q = amperes − siemens·v` flows in at the first and out at
/// the second.
#[derive(Clone, Copy, Debug)]
pub(super) struct Change {
    pub(super) ends: (NodeId, NodeId),
    pub(super) siemens: f64,
    pub(super) amperes: f64,
}

/// A terminal that reaches its row through a broken lead only.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lead {
    /// The node before it, and where that stands.
    pub(super) node: usize,
    pub(super) outer: Place,
    pub(super) ohms: f64,
}

/// Everything that an alteration changes.
#[derive(Clone, Debug, Default)]
pub(super) struct Changes<'a> {
    pub(super) list: Vec<Change>,
    pub(super) leads: Vec<Lead>,
    /// All devices, altered or not. Terminals behind a broken lead count on after the rows that
    /// devices touch.
    pub(super) devices: Cow<'a, [Device]>,
    /// Parts whose own terms are not those of the solved circuit, and what stands instead.
    pub(super) parts: Vec<PartId>,
    pub(super) terms: Vec<Term>,
}

impl<'a> Changes<'a> {
    /// None where the circuit has to be solved anew.
    pub(super) fn of(base: &'a Alterable<'_>, alteration: &Alteration) -> Option<Self> {
        let mut changes = Changes {
            devices: Cow::Borrowed(&base.solution.reduced.devices),
            ..Changes::default()
        };
        for (id, part) in &alteration.parts {
            changes.parts.push(*id);
            match (&part.kind, &base.circuit.part(*id).kind) {
                (PartKind::Device(_), PartKind::Device(_)) => changes.law(base, *id, part)?,
                (PartKind::Device(_), _) | (_, PartKind::Device(_)) => return None,
                _ => changes.elements(base, *id, part, alteration)?,
            }
        }
        for bridge in &alteration.bridges {
            changes.load((bridge.plus, bridge.minus), 1.0 / bridge.ohms, 0.0);
        }
        for lead in &alteration.broken_leads {
            changes.lead(base, lead)?;
        }
        let sound = |change: &Change| change.siemens.is_finite() && change.amperes.is_finite();
        changes.list.iter().all(sound).then_some(changes)
    }

    /// A load of so many siemens on a port.
    pub(super) fn with_load(&self, load: Change) -> Self {
        let mut changes = self.clone();
        changes.list.push(load);
        changes
    }

    /// The row before the broken lead of a row that counts on after those `kept`; else the row.
    pub(super) fn outer_of(&self, kept: usize, row: usize) -> Option<usize> {
        match row.checked_sub(kept) {
            None => Some(row),
            Some(lead) => self.leads[lead].outer.row,
        }
    }

    fn load(&mut self, ends: (NodeId, NodeId), siemens: f64, amperes: f64) {
        if ends.0 == ends.1 {
            return;
        }
        // A part drawn in two pieces may be one now: both changes are one between the same nodes.
        match self.list.iter_mut().find(|known| known.ends == ends) {
            Some(known) => {
                known.siemens += siemens;
                known.amperes += amperes;
            }
            None => self.list.push(Change {
                ends,
                siemens,
                amperes,
            }),
        }
    }

    /// A part without a law of its own.
    fn elements(
        &mut self,
        base: &Alterable<'_>,
        id: PartId,
        part: &Part,
        alteration: &Alteration,
    ) -> Option<()> {
        let known = &base.elements[id.0];
        // A wire that closes a loop of wires was left out of the equations.
        if known.len() != elements_of(id, base.circuit.part(id), &base.conditions).len() {
            return None;
        }
        for (old, place) in known {
            let Carried::Resistance(place) = base.solution.network.carried[*place] else {
                return None;
            };
            let siemens = base.solution.network.resistances[place].siemens;
            let volts = source_volts(old.kind);
            self.load((old.plus, old.minus), -siemens, -siemens * volts);
        }
        for new in elements_of(id, part, &alteration.conditions) {
            let siemens = match new.kind {
                ElementKind::Conductance { siemens } => siemens.min(1.0 / WIRE_OHMS),
                ElementKind::Branch { volts, ohms } if volts == 0.0 || ohms > WIRE_OHMS => {
                    1.0 / ohms.max(WIRE_OHMS)
                }
                ElementKind::Branch { .. } => return None,
            };
            let volts = source_volts(new.kind);
            self.load((new.plus, new.minus), siemens, siemens * volts);
            self.terms_of(base, (part, alteration), &new, siemens);
        }
        Some(())
    }

    fn terms_of(
        &mut self,
        base: &Alterable<'_>,
        (part, alteration): (&Part, &Alteration),
        element: &Element,
        siemens: f64,
    ) {
        let places = &base.solution.network.places;
        let (plus, minus) = (places[element.plus.0], places[element.minus.0]);
        let offset = plus.volts - minus.volts - source_volts(element.kind);
        for dependence in dependences(part, element, &alteration.conditions) {
            let id = ParameterId {
                part: element.part,
                parameter: dependence.parameter,
            };
            let Some(column) = base.terms.numbers.place(id) else {
                continue;
            };
            let rows = (plus.row, minus.row);
            let (entry, strength) = through(rows, offset, siemens, dependence.target);
            self.terms.push(Term {
                part: element.part,
                column,
                entry,
                strength: strength * dependence.slope,
            });
        }
    }

    /// A tube or semiconductor whose law has other numbers, or whose terminals have been exchanged with others.
    fn law(&mut self, base: &Alterable<'_>, id: PartId, part: &Part) -> Option<()> {
        let (PartKind::Device(now), old) = (&part.kind, base.circuit.part(id)) else {
            return None;
        };
        let PartKind::Device(before) = &old.kind else {
            return None;
        };
        let alike = now.units.len() == before.units.len();
        let places: Vec<usize> = base.units(id).collect();
        if !alike || places.len() != now.units.len() {
            return None;
        }
        for ((place, now), before) in places.iter().zip(&now.units).zip(&before.units) {
            let in_series = (now.series_ohms - before.series_ohms).abs();
            if in_series > 0.0 || now.at != before.at {
                return None;
            }
            let device = &self.devices[*place];
            let mut device = device.with_law(now.characteristic, now.glow);
            for (terminal, at) in now.at.iter().enumerate() {
                if part.nodes[*at] != old.nodes[*at] {
                    if terminal == 0 && now.series_ohms > 0.0 {
                        return None;
                    }
                    device.nodes[terminal] = Some(part.nodes[*at].0);
                    device.terminals[terminal] = base.touched_by_device(part.nodes[*at])?;
                }
            }
            self.devices.to_mut()[*place] = device;
        }
        // The resistance in series with it stays as it is.
        let series = base.terms.terms.iter().filter(|term| term.part == id);
        self.terms.extend(series.copied());
        Some(())
    }

    fn lead(&mut self, base: &Alterable<'_>, lead: &circuit::BrokenLead) -> Option<()> {
        let part = base.circuit.part(lead.part);
        let PartKind::Device(device) = &part.kind else {
            return None;
        };
        let inner = base.solution.network.kept.len() + self.leads.len();
        let mut before = None;
        let places: Vec<usize> = base.units(lead.part).collect();
        for (place, unit) in places.into_iter().zip(&device.units) {
            for (terminal, at) in unit.at.iter().enumerate() {
                if *at != lead.terminal {
                    continue;
                }
                // Behind a resistance in series, for the node between two resistances is no one's: it does not
                // matter which of them comes first. Several units have a node each there.
                if unit.series_ohms > 0.0 && terminal == 0 && device.units.len() > 1 {
                    return None;
                }
                let device = &mut self.devices.to_mut()[place];
                let outer = device.terminals[terminal];
                before = Some((device.nodes[terminal].take()?, outer));
                device.terminals[terminal] = Place {
                    row: Some(inner),
                    volts: outer.volts,
                };
            }
        }
        let (node, outer) = before?;
        self.leads.push(Lead {
            node,
            outer,
            ohms: lead.ohms,
        });
        Some(())
    }
}

/// The open-circuit volts of a source.
fn source_volts(kind: ElementKind) -> f64 {
    match kind {
        ElementKind::Branch { volts, .. } => volts,
        ElementKind::Conductance { .. } => 0.0,
    }
}
