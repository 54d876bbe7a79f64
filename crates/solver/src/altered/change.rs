//! What an alteration changes in the equations: single conductances, branches, laws and leads.
//!
//! Where it changes more than that (a source where none was, a wire that closes a loop of wires),
//! it is not taken here and the circuit has to be solved anew.

use circuit::{Alteration, NodeId, Part, PartId, PartKind, PartParameter};

use super::Alterable;
use crate::device::Device;
use crate::element::{elements_of, Element, ElementKind};
use crate::sensitivity::{element_slopes, Term};

/// Resistance in ohms that stands for a branch that is gone.
const GONE_OHMS: f64 = 1e12;

/// Resistance in ohms that stands for a wire where none was.
const WIRE_OHMS: f64 = 1e-3;

/// One change of the matrix by `d·w wᵀ`, and of the right side by `e·w`, with `w` of two entries.
#[derive(Clone, Copy, Debug)]
pub(super) struct Change {
    /// Rows of the entries +1 and −1; none for a reference.
    pub(super) plus: Option<usize>,
    pub(super) minus: Option<usize>,
    /// `d`: siemens between two nodes, or ohms less in a branch.
    pub(super) strength: f64,
    /// `e`: volts more in a branch.
    pub(super) push: f64,
}

/// The node behind a broken lead.
#[derive(Clone, Copy, Debug)]
pub(super) struct Lead {
    /// The node before it, counted among the devices' nodes; none for a reference.
    pub(super) outer: Option<usize>,
    pub(super) ohms: f64,
}

/// Everything that an alteration changes.
#[derive(Clone, Debug, Default)]
pub(super) struct Changes {
    pub(super) list: Vec<Change>,
    pub(super) leads: Vec<Lead>,
    /// All devices, altered or not. Terminals behind a broken lead count on after the devices'
    /// nodes.
    pub(super) devices: Vec<Device>,
    /// Parts whose own terms are not those of the solved circuit, and what stands instead.
    pub(super) parts: Vec<PartId>,
    pub(super) terms: Vec<Term>,
}

impl Change {
    /// `wᵀv`
    pub(super) fn across(&self, vector: &impl std::ops::Index<usize, Output = f64>) -> f64 {
        let at = |row: Option<usize>| row.map_or(0.0, |row| vector[row]);
        at(self.plus) - at(self.minus)
    }
}

impl Changes {
    /// None where the circuit has to be solved anew.
    pub(super) fn of(base: &Alterable<'_>, alteration: &Alteration) -> Option<Self> {
        let mut changes = Changes {
            devices: base.devices.clone(),
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
            changes.conductance(base, (bridge.plus, bridge.minus), 1.0 / bridge.ohms);
        }
        for lead in &alteration.broken_leads {
            changes.lead(base, lead)?;
        }
        let sound = |change: &Change| change.strength.is_finite() && change.push.is_finite();
        changes.list.iter().all(sound).then_some(changes)
    }

    /// A load of so many siemens on a port.
    pub(super) fn with_load(&self, load: Change) -> Changes {
        let mut changes = self.clone();
        changes.list.push(load);
        changes
    }

    fn conductance(&mut self, base: &Alterable<'_>, (plus, minus): (NodeId, NodeId), siemens: f64) {
        if plus == minus || siemens == 0.0 {
            return;
        }
        let [plus, minus] = [plus, minus].map(|node| base.row(node));
        // A part drawn in two pieces may be one now: both changes are one between the same nodes.
        let same =
            |known: &&mut Change| known.push == 0.0 && (known.plus, known.minus) == (plus, minus);
        match self.list.iter_mut().find(same) {
            Some(known) => known.strength += siemens,
            None => self.list.push(Change {
                plus,
                minus,
                strength: siemens,
                push: 0.0,
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
        let mut now = elements_of(id, part, &alteration.conditions);
        for (old, row) in known {
            let ends = (old.plus, old.minus);
            let same = |new: &Element| new.piece == old.piece && (new.plus, new.minus) == ends;
            match (old.kind, row) {
                (ElementKind::Conductance { siemens }, _) => {
                    self.conductance(base, ends, -siemens);
                }
                (ElementKind::Branch { volts, ohms }, Some(row)) => {
                    let place = now.iter().position(|new| {
                        same(new) && matches!(new.kind, ElementKind::Branch { .. })
                    });
                    let (new_volts, new_ohms) = match place.map(|place| now[place].kind) {
                        Some(ElementKind::Branch { volts, ohms }) => (volts, ohms),
                        _ => (0.0, GONE_OHMS),
                    };
                    self.list.push(Change {
                        plus: Some(*row),
                        minus: None,
                        strength: ohms - new_ohms,
                        push: new_volts - volts,
                    });
                    if let Some(place) = place {
                        let new = now.swap_remove(place);
                        self.terms_of(base, (part, alteration), &new, Some(*row));
                    }
                }
                (ElementKind::Branch { .. }, None) => return None,
            }
        }
        for new in now {
            match new.kind {
                ElementKind::Conductance { siemens } => {
                    self.conductance(base, (new.plus, new.minus), siemens);
                    self.terms_of(base, (part, alteration), &new, None);
                }
                ElementKind::Branch { volts: 0.0, ohms } => {
                    let siemens = 1.0 / ohms.max(WIRE_OHMS);
                    self.conductance(base, (new.plus, new.minus), siemens);
                }
                ElementKind::Branch { .. } => return None,
            }
        }
        Some(())
    }

    fn terms_of(
        &mut self,
        base: &Alterable<'_>,
        (part, alteration): (&Part, &Alteration),
        element: &Element,
        row: Option<usize>,
    ) {
        let equations = &base.solution.equations;
        let within = (part, &alteration.conditions);
        for (parameter, strength, source) in element_slopes(equations, within, element, row) {
            if let Some(column) = base.column(element.part, parameter) {
                self.terms.push(Term {
                    part: element.part,
                    column,
                    strength,
                    source,
                });
            }
        }
    }

    /// A tube or semiconductor whose law has other numbers.
    fn law(&mut self, base: &Alterable<'_>, id: PartId, part: &Part) -> Option<()> {
        let (PartKind::Device(now), old) = (&part.kind, base.circuit.part(id)) else {
            return None;
        };
        let PartKind::Device(before) = &old.kind else {
            return None;
        };
        let alike = part.nodes == old.nodes && now.units.len() == before.units.len();
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
            self.devices[*place] = device.with_law(now.characteristic, now.glow);
        }
        // The resistance in series with it stays as it is.
        let series = base.terms.iter().filter(|term| term.part == id);
        self.terms.extend(series.cloned());
        Some(())
    }

    fn lead(&mut self, base: &Alterable<'_>, lead: &circuit::BrokenLead) -> Option<()> {
        let part = base.circuit.part(lead.part);
        let PartKind::Device(device) = &part.kind else {
            return None;
        };
        let node = *part.nodes.get(lead.terminal)?;
        let inner = base.rows.len() + self.leads.len();
        let mut hangs = false;
        let places: Vec<usize> = base.units(lead.part).collect();
        for (place, unit) in places.into_iter().zip(&device.units) {
            for (terminal, at) in unit.at.iter().enumerate() {
                if *at != lead.terminal {
                    continue;
                }
                if terminal == 0 && unit.series_ohms > 0.0 {
                    // The node behind the lead joins two resistances only: one longer one.
                    let series = &base.solution.equations.series;
                    let mut own = series.iter().filter(|series| series.part == lead.part);
                    let (series, None) = (own.next()?, own.next()) else {
                        return None;
                    };
                    self.list.push(Change {
                        plus: series.outer,
                        minus: Some(series.inner),
                        strength: 1.0 / (series.ohms + lead.ohms) - 1.0 / series.ohms,
                        push: 0.0,
                    });
                    if device.units.len() > 1 {
                        return None;
                    }
                    self.parts.push(lead.part);
                    let longer = ((series.ohms + lead.ohms) / series.ohms).powi(2);
                    let terms = base.terms.iter().filter(|term| term.part == lead.part);
                    self.terms.extend(terms.map(|term| Term {
                        strength: term.strength / longer,
                        ..term.clone()
                    }));
                    return Some(());
                }
                self.devices[place].rows[terminal] = Some(inner);
                hangs = true;
            }
        }
        let outer = base.row(node);
        let outer = outer.map(|row| base.rows.binary_search(&row).ok());
        // The terminal's node is one that a device touches, or a reference.
        if !hangs || outer == Some(None) {
            return None;
        }
        self.leads.push(Lead {
            outer: outer.flatten(),
            ohms: lead.ohms,
        });
        Some(())
    }
}

impl Alterable<'_> {
    pub(super) fn row(&self, node: NodeId) -> Option<usize> {
        self.solution.equations.node_rows[node.0]
    }

    pub(super) fn column(&self, part: PartId, parameter: PartParameter) -> Option<usize> {
        let wanted = crate::adjoint::ParameterId { part, parameter };
        self.numbers.ids.iter().position(|known| *known == wanted)
    }
}
