//! Terminals as users write them behind a designation: `plate`, `pin 6`, `cap`, `plate2`.
//!
//! A part, or the sections of a tube, and words come in; terminals go out. Whether several of them are one place
//! is decided where they are wanted.

use crate::catalogue::Pin;
use crate::characteristic::Characteristic;
use crate::circuit::{Circuit, PartId};
use crate::electrode_letters::{is_electrode, system_letters};
use crate::part::{Part, PartKind};
use crate::place::socket;

/// A terminal of a part, by its place in the part's list of nodes.
pub(crate) type PartTerminal = (PartId, usize);

impl Circuit {
    /// The part of this designator, or the sections of the tube in this socket: `V1` is drawn as
    /// `V1A` and `V1B`.
    pub(crate) fn parts_of(&self, name: &str) -> Vec<PartId> {
        if let Some(id) = self.part_named(name) {
            return vec![id];
        }
        let of_socket = |part: &Part| {
            let socket = socket(&part.designator);
            socket.is_some_and(|socket| socket.eq_ignore_ascii_case(name))
        };
        let parts = self.parts().iter().enumerate();
        parts
            .filter(|(_, part)| matches!(part.kind, PartKind::Device(_)) && of_socket(part))
            .map(|(index, _)| PartId(index))
            .collect()
    }

    /// The terminals of these parts that words name.
    pub(crate) fn terminals_at(&self, parts: &[PartId], words: &str) -> Vec<PartTerminal> {
        let pin = words
            .split_once(char::is_whitespace)
            .filter(|(first, _)| first.eq_ignore_ascii_case("pin"))
            .and_then(|(_, number)| Pin::number_of(number.trim()))
            .or_else(|| Pin::number_of(words).filter(|pin| *pin == Pin::CAP));
        let of_parts = |of_part: &dyn Fn(&Part) -> Vec<usize>| -> Vec<PartTerminal> {
            let each = parts.iter().map(|id| (*id, of_part(self.part(*id))));
            each.flat_map(|(id, own)| own.into_iter().map(move |at| (id, at)))
                .collect()
        };
        if let Some(pin) = pin {
            return of_parts(&|part| at_pin(part, pin));
        }
        let found = of_parts(&|part| at_electrode(part, words));
        let mut nodes = found.iter().map(|(id, at)| self.part(*id).nodes[*at]);
        let first = nodes.next();
        match first.is_some() && nodes.all(|node| Some(node) == first) {
            true => found,
            false => {
                let section = self.of_lettered_section(parts, words);
                let section = section.or_else(|| self.of_numbered_section(parts, words));
                section.map_or(found, |terminal| vec![terminal])
            }
        }
    }

    /// `PT` and `PP` of a triode beside another system, as basings print it: the plate of the triode, and that of the
    /// pentode or heptode, whose first grid is `G1`.
    fn of_lettered_section(&self, parts: &[PartId], word: &str) -> Option<PartTerminal> {
        let (electrode, of_triode) = system_letters(word)?;
        let is_triode = |id: &&PartId| is_triode(self.part(**id));
        let triodes = parts.iter().filter(is_triode).count();
        let mut own = parts.iter().filter(|id| is_triode(id) == of_triode);
        let section = own.next().filter(|_| triodes == 1 && parts.len() > 1)?;
        match at_electrode(self.part(*section), electrode).as_slice() {
            [terminal] => Some((*section, *terminal)),
            _ => None,
        }
    }

    /// `plate2` or `G2` of a twin tube: that electrode of its second section. A word that fits sections that are not
    /// alike is none.
    fn of_numbered_section(&self, parts: &[PartId], word: &str) -> Option<PartTerminal> {
        let electrode = word.trim_end_matches(|last: char| last.is_ascii_digit());
        let number: usize = word.get(electrode.len()..)?.parse().ok()?;
        let is_numbered = |id: &&PartId| section_number(self.part(**id)) == Some(number);
        let fitting = parts.iter().map(|id| self.part(*id));
        let fitting = fitting.filter(|part| !at_electrode(part, word).is_empty());
        let mut fitting = fitting.map(|part| part.kind.terminals());
        let first = fitting.next();
        let alike = fitting.all(|other| Some(&other) == first.as_ref());
        let section = parts.iter().find(is_numbered).filter(|_| alike)?;
        match at_electrode(self.part(*section), electrode).as_slice() {
            [terminal] => Some((*section, *terminal)),
            _ => None,
        }
    }
}

fn is_triode(part: &Part) -> bool {
    let PartKind::Device(device) = &part.kind else {
        return false;
    };
    let laws = device.units.iter().map(|unit| &unit.characteristic);
    let mut laws = laws.filter(|law| !matches!(law, Characteristic::VacuumDiode(_)));
    laws.any(|law| {
        matches!(
            law,
            Characteristic::Triode(_) | Characteristic::Oscillator(_)
        )
    })
}

/// The number of a section in its tube, from 1: `V1A` is the first.
fn section_number(part: &Part) -> Option<usize> {
    let letter = socket(&part.designator).and(part.designator.bytes().last())?;
    Some(usize::from(letter.to_ascii_uppercase() - b'A') + 1)
}

fn at_electrode(part: &Part, word: &str) -> Vec<usize> {
    let names = part.kind.terminals();
    let places = (0..names.len().min(part.nodes.len())).filter(|at| is_electrode(word, names[*at]));
    places.collect()
}

fn at_pin(part: &Part, pin: u8) -> Vec<usize> {
    let PartKind::Device(device) = &part.kind else {
        return Vec::new();
    };
    let terminals = device.terminals.iter().take(part.nodes.len()).enumerate();
    terminals
        .filter(|(_, terminal)| terminal.pins.contains(&pin))
        .map(|(at, _)| at)
        .collect()
}
