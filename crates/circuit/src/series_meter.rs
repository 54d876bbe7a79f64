//! A meter in series with one lead of a part.
//!
//! Words for a lead come in, and the part and its terminal go out. Other functions say whether any
//! current is drawn there, and give the drawing with an ammeter in that lead. A base pin that sections of a
//! tube share is one lead.

use crate::alteration::{Alteration, Bridge, BrokenLead};
use crate::circuit::{Circuit, NodeId, PartId, Port};
use crate::part::{Contact, ContactKind, PartKind, Resistor};
use crate::setting::Conditions;
use crate::terminal_words::PartTerminal;
use crate::topology::Groups;

/// One lead: of a part, or of all sections of a tube that have this base pin.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SeriesLead {
    /// The part and the place of the terminal in its list of nodes.
    pub first: PartTerminal,
    /// The same of the other sections at the pin.
    pub others: Vec<PartTerminal>,
}

impl SeriesLead {
    fn terminals(&self) -> impl Iterator<Item = PartTerminal> + '_ {
        std::iter::once(self.first).chain(self.others.iter().copied())
    }
}

impl Circuit {
    /// The one lead that words such as `V1A cathode`, `V3 pin 8` or `R7` name; none if they name a
    /// node, nothing, or several leads. For a part with two ends it is the first end.
    pub fn series_lead(&self, words: &str) -> Option<SeriesLead> {
        let words = words.trim();
        let lead = |first| SeriesLead {
            first,
            others: Vec::new(),
        };
        if let Some(id) = self.part_named(words) {
            return (self.part(id).nodes.len() == 2).then(|| lead((id, 0)));
        }
        let (name, rest) = words.split_once(char::is_whitespace)?;
        let mut found = self
            .terminals_at(&self.parts_of(name), rest.trim())
            .into_iter();
        let first = found.next()?;
        let others: Vec<PartTerminal> = found.collect();
        let lead = SeriesLead { first, others };
        let pins = |(part, at): PartTerminal| match &self.part(part).kind {
            PartKind::Device(device) => device.terminals[at].pins.as_slice(),
            _ => &[],
        };
        let own = pins(first);
        let shares = |other: &PartTerminal| {
            let same_part = other.0 == first.0;
            !same_part && pins(*other).iter().any(|pin| own.contains(pin))
        };
        lead.others.iter().all(shares).then_some(lead)
    }

    /// Whether the drawing has a way for direct current through a lead, whatever its controls stand
    /// at. There is none through a battery of which only filaments are the load, for these are not
    /// drawn.
    pub fn has_path_through(&self, lead: &SeriesLead) -> bool {
        let inside = self.nodes().len();
        let mut groups = Groups::new(inside + 1);
        for (index, drawn) in self.parts().iter().enumerate() {
            let is_open =
                matches!(&drawn.kind, PartKind::Capacitor(capacitor) if capacitor.leak.is_none());
            if is_open {
                continue;
            }
            let is_lead = |at: usize| lead.terminals().any(|own| own == (PartId(index), at));
            let end = |at: usize| match is_lead(at) {
                true => inside,
                false => drawn.nodes[at].0,
            };
            for joined in drawn.kind.joined_terminals() {
                for pair in joined.windows(2) {
                    groups.join(end(pair[0]), end(pair[1]));
                }
            }
        }
        let outside = self.outside(lead).0;
        groups.root(inside) == groups.root(outside)
    }

    /// The drawing with an ammeter of this resistance in ohms in series with a lead, and the
    /// ammeter's two ends: the volts between them, divided by the ohms, are the current into the
    /// part in amperes.
    pub fn with_ammeter(&self, lead: &SeriesLead, ohms: f64) -> (Circuit, Port) {
        let (part, terminal) = lead.first;
        let mut alteration = Alteration::none(&Conditions::default());
        alteration.broken_leads.push(BrokenLead {
            part,
            terminal,
            ohms,
        });
        let inside = NodeId(self.nodes().len());
        let port = Port {
            plus: self.outside(lead),
            minus: inside,
        };
        let circuit = self.altered(&alteration);
        if lead.others.is_empty() {
            return (circuit, port);
        }
        // The other sections are behind the same ammeter.
        let mut behind = Alteration::none(&Conditions::default());
        for (part, terminal) in &lead.others {
            behind.part_mut(&circuit, *part).nodes[*terminal] = inside;
        }
        (circuit.altered(&behind), port)
    }

    /// The node that a lead goes to.
    pub fn outside(&self, lead: &SeriesLead) -> NodeId {
        let (part, terminal) = lead.first;
        self.part(part).nodes[terminal]
    }

    /// The drawing with an ammeter of this resistance in ohms in series with a lead, and a closed
    /// contact across the ammeter: nothing changes until a setting opens the contact. Returns the
    /// ammeter's two ends, as [`Circuit::with_ammeter`] does, and the contact.
    pub fn with_bridged_ammeter(&self, lead: &SeriesLead, ohms: f64) -> (Circuit, Port, PartId) {
        let (circuit, port) = self.with_ammeter(lead, ohms);
        let [ammeter, contact] = [0, 1].map(|more| PartId(self.parts().len() + more));
        let mut across = Alteration::none(&Conditions::default());
        across.bridges.push(Bridge {
            plus: port.plus,
            minus: port.minus,
            ohms,
        });
        let circuit = circuit.altered(&across);
        let mut made = Alteration::none(&Conditions::default());
        // The meter's ohms are exact; a drawn resistor's are not.
        made.part_mut(&circuit, ammeter).kind = PartKind::Resistor(Resistor {
            ohms,
            tolerance: Some(0.0),
        });
        made.part_mut(&circuit, contact).kind = PartKind::Contact(Contact {
            kind: ContactKind::Switch,
            closed: true,
        });
        (circuit.altered(&made), port, contact)
    }
}
