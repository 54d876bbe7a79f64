//! The device that a line draws of its tube.
//!
//! Connections come in, by electrode (`plate=a`) or by base pin (`6=a`), never by both; a device
//! for each of its sections and the node words of their terminals go out. A section none of whose own
//! electrodes is connected is not drawn, which is noted.

use circuit::{Electrode, PartKind, Terminal, TubeClass, TubeType};

use super::devices::{are_kept_together, devices};
use super::faults::{self, Style};
use super::placing::{places, style, Placed};
use super::section_faults;
use super::slots::{layout, Layout, Slot};
use super::stated::as_stated;
use crate::netlist::connections::Connections;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::part::class_of;
use crate::netlist::values::Subject;

/// A tube and what of it a line draws.
#[derive(Clone, Copy, Debug)]
pub(in crate::netlist) struct Socket<'t> {
    pub tube: &'t TubeType,
    /// One section, counted from 0, or the whole tube.
    pub section: Option<usize>,
}

/// A part that a line draws, with its connections.
#[derive(Clone, Debug)]
pub(in crate::netlist) struct Seated<'a> {
    /// What stands behind the line's designation: the letter of a section, or nothing.
    pub suffix: String,
    pub kind: PartKind,
    /// The node of each of its terminals; none if that was reported to be impossible, and the
    /// terminals are then those that the line names.
    pub nodes: Option<Vec<Word<'a>>>,
    /// Pins that no section needs, with the nodes on them.
    pub ties: Vec<(Terminal, Word<'a>)>,
}

impl Seated<'_> {
    /// A part of the line's own designation that is at no nodes.
    pub fn without_nodes(kind: PartKind) -> Self {
        Seated {
            suffix: String::new(),
            kind,
            nodes: None,
            ties: Vec::new(),
        }
    }
}

/// A tube while its line is read.
#[derive(Clone, Copy, Debug)]
pub(super) struct Seating<'s> {
    /// The tube and what of it is drawn.
    pub socket: Socket<'s>,
    pub layout: &'s Layout,
    pub style: Style,
    pub subject: &'s Subject<'s>,
}

/// The devices of a line, one for each section drawn; see [`mod@super::devices`].
pub(in crate::netlist) fn seat<'a>(
    socket: Socket<'_>,
    subject: &Subject<'_>,
    connections: &Connections<'a>,
    findings: &mut Findings,
) -> Vec<Seated<'a>> {
    let layout = layout(socket.tube, socket.section);
    let style = connections.list.iter().find_map(style);
    let seating = Seating {
        socket,
        layout: &layout,
        style: style.unwrap_or(Style::Electrodes),
        subject,
    };
    let placed = places(&seating, connections, findings);
    let drawn = placed
        .as_ref()
        .and_then(|placed| sections_drawn(&seating, placed, findings));
    if are_kept_together(&seating) {
        section_faults::kept_together(subject, findings);
    }
    match (placed, drawn) {
        (Some(placed), Some(drawn)) => devices(&seating, &placed, &drawn),
        _ => {
            let stated = as_stated(&socket.tube.name, class_of(socket.tube), connections);
            vec![Seated::without_nodes(stated)]
        }
    }
}

/// Which of the layout's sections are drawn; none if one is drawn in part.
fn sections_drawn(
    seating: &Seating<'_>,
    placed: &[Placed<'_, '_>],
    findings: &mut Findings,
) -> Option<Vec<bool>> {
    let layout = seating.layout;
    let shared = |slot: usize| {
        let users = layout
            .sections
            .iter()
            .filter(|(_, own)| own.contains(&slot));
        users.count() > 1
    };
    let mut drawn: Vec<bool> = layout
        .sections
        .iter()
        .map(|(_, own)| {
            own.iter()
                .any(|slot| !shared(*slot) && placed[*slot].is_some())
        })
        .collect();
    if rectified_only(seating, placed) {
        faults::no_plates(seating, findings);
        return Some(vec![false; drawn.len()]);
    }
    if !drawn.contains(&true) {
        drawn.fill(true);
    }
    let missing: Vec<&Slot> = layout
        .slots
        .iter()
        .enumerate()
        .filter(|(index, _)| {
            let mut sections = layout.sections.iter().zip(&drawn);
            placed[*index].is_none()
                && sections.any(|((_, own), drawn)| *drawn && own.contains(index))
        })
        .map(|(_, slot)| slot)
        .collect();
    if !missing.is_empty() {
        faults::lacking(&missing, seating, findings);
        return None;
    }
    for ((number, own), _) in layout
        .sections
        .iter()
        .zip(&drawn)
        .filter(|(_, drawn)| !**drawn)
    {
        let own = own.iter().filter(|slot| !shared(**slot));
        let slots: Vec<&Slot> = own.map(|slot| &layout.slots[*slot]).collect();
        section_faults::section_left_out(*number, &slots, seating, findings);
    }
    Some(drawn)
}

/// Whether the line of a rectifier names where its rectified volts are taken and no plate: what
/// feeds it is then drawn as a source, or not at all.
fn rectified_only(seating: &Seating<'_>, placed: &[Placed<'_, '_>]) -> bool {
    let rectifier = matches!(
        seating.socket.tube.class,
        TubeClass::FullWaveRectifier | TubeClass::HalfWaveRectifier
    );
    let has = |electrode: Electrode| {
        let mut slots = seating.layout.slots.iter().zip(placed);
        slots.any(|(slot, placed)| slot.electrode == electrode && placed.is_some())
    };
    rectifier && has(Electrode::Cathode) && !has(Electrode::Plate)
}
