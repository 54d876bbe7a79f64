//! A meter in series with one lead of a part.
//!
//! Words for a lead come in, and the part and its terminal go out. Other functions say whether any
//! current is drawn there, and give the drawing with an ammeter in that lead.

use crate::alteration::{Alteration, Bridge, BrokenLead};
use crate::circuit::{Circuit, NodeId, PartId, Port};
use crate::electrode_letters::is_electrode;
use crate::part::{Contact, ContactKind, Part, PartKind, Resistor};
use crate::place::socket;
use crate::setting::Conditions;
use crate::topology::Groups;

impl Circuit {
    /// The one lead that words such as `V1A cathode`, `V3 pin 8` or `R7` name; none if they name a
    /// node, nothing, or several leads. For a part with two ends it is the first end.
    pub fn series_lead(&self, words: &str) -> Option<(PartId, usize)> {
        let words = words.trim();
        if let Some(id) = self.part_named(words) {
            return (self.part(id).nodes.len() == 2).then_some((id, 0));
        }
        let (name, rest) = words.split_once(char::is_whitespace)?;
        let rest = rest.trim();
        let is_named = |part: &Part| {
            let whole = part.designator.eq_ignore_ascii_case(name);
            let section = matches!(part.kind, PartKind::Device(_))
                && socket(&part.designator).is_some_and(|of| of.eq_ignore_ascii_case(name));
            whole || section
        };
        let parts = self.parts().iter().enumerate();
        let mut found = parts
            .filter(|(_, part)| is_named(part))
            .flat_map(|(index, part)| {
                let terminals = terminals_of(part, rest);
                terminals.into_iter().map(move |at| (PartId(index), at))
            });
        match (found.next(), found.next()) {
            (Some(only), None) => Some(only),
            _ => None,
        }
    }

    /// Whether the drawing has a way for direct current through a lead, whatever its controls stand
    /// at. There is none through a battery of which only filaments are the load, for these are not
    /// drawn.
    pub fn has_path_through(&self, (part, terminal): (PartId, usize)) -> bool {
        let inside = self.nodes().len();
        let mut groups = Groups::new(inside + 1);
        for (index, drawn) in self.parts().iter().enumerate() {
            let is_open =
                matches!(&drawn.kind, PartKind::Capacitor(capacitor) if capacitor.leak.is_none());
            if is_open {
                continue;
            }
            let end = |at: usize| match index == part.0 && at == terminal {
                true => inside,
                false => drawn.nodes[at].0,
            };
            for joined in drawn.kind.joined_terminals() {
                for pair in joined.windows(2) {
                    groups.join(end(pair[0]), end(pair[1]));
                }
            }
        }
        let outside = self.part(part).nodes[terminal].0;
        groups.root(inside) == groups.root(outside)
    }

    /// The drawing with an ammeter of this resistance in ohms in series with a lead, and the
    /// ammeter's two ends: the volts between them, divided by the ohms, are the current into the
    /// part in amperes.
    pub fn with_ammeter(&self, (part, terminal): (PartId, usize), ohms: f64) -> (Circuit, Port) {
        let mut alteration = Alteration::none(&Conditions::default());
        alteration.broken_leads.push(BrokenLead {
            part,
            terminal,
            ohms,
        });
        let outside = self.part(part).nodes[terminal];
        let inside = NodeId(self.nodes().len());
        let port = Port {
            plus: outside,
            minus: inside,
        };
        (self.altered(&alteration), port)
    }

    /// The drawing with an ammeter of this resistance in ohms in series with a lead, and a closed
    /// contact across the ammeter: nothing changes until a setting opens the contact. Returns the
    /// ammeter's two ends, as [`Circuit::with_ammeter`] does, and the contact.
    pub fn with_bridged_ammeter(
        &self,
        lead: (PartId, usize),
        ohms: f64,
    ) -> (Circuit, Port, PartId) {
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

fn terminals_of(part: &Part, word: &str) -> Vec<usize> {
    let pin = word
        .split_once(char::is_whitespace)
        .filter(|(first, _)| first.eq_ignore_ascii_case("pin"))
        .and_then(|(_, number)| number.trim().parse::<u8>().ok());
    match (pin, &part.kind) {
        (Some(pin), PartKind::Device(device)) => device
            .terminals
            .iter()
            .enumerate()
            .filter(|(_, terminal)| terminal.pins.contains(&pin))
            .map(|(at, _)| at)
            .collect(),
        (Some(_), _) => Vec::new(),
        (None, kind) => kind
            .terminals()
            .iter()
            .enumerate()
            .filter(|(_, name)| is_electrode(word, name))
            .map(|(at, _)| at)
            .collect(),
    }
}
