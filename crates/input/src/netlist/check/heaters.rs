//! Heaters in series: what the members of each string are, and whether they can be in one.
//!
//! The words of the statements come in, strings of the circuit go out. What an open heater does to a
//! set is not known here.

use circuit::{
    socket, Circuit, Device, DeviceClass, Electrode, HeaterMember, HeaterMemberKind, HeaterString,
    NodeId, Part, PartId, PartKind, SupplyKind, TubeClass, TubeType,
};

use super::heater_faults::{self as faults, Named};
use crate::netlist::draft::NetlistDraft;
use crate::netlist::findings::Findings;
use crate::netlist::lex::Word;
use crate::netlist::types::{known, Known};

/// Rated currents that are closer than this share of the larger one are the same: ratings have two
/// or three digits.
const SAME_CURRENT: f64 = 0.02;

/// Puts the strings into the circuit.
pub(super) fn strings(sheet: &mut NetlistDraft<'_>, findings: &mut Findings) {
    let mut named: Vec<Named> = Vec::new();
    for (number, (keyword, words)) in std::mem::take(&mut sheet.heaters).into_iter().enumerate() {
        let mut members: Vec<HeaterMember> = Vec::new();
        let mut places: Vec<Word<'_>> = Vec::new();
        let mut sound = true;
        for word in words {
            let Some(member) = member(sheet, &word, findings) else {
                sound = false;
                continue;
            };
            let before = named.iter().find(|one| one.name == member.name);
            if let Some(before) = before {
                faults::again(&word, &member.name, before, number, findings);
                sound = false;
                continue;
            }
            named.push(Named {
                name: member.name.clone(),
                bytes: word.bytes.clone(),
                string: number,
            });
            members.push(member);
            places.push(word);
        }
        let tubes = members.iter().filter(|member| member.is_tube()).count();
        // A member that was reported may be what is missing.
        if sound && (members.len() < 2 || tubes == 0) {
            faults::too_few(&keyword, tubes, findings);
            continue;
        }
        let circuit = sheet.builder.peek();
        one_current(circuit, sheet.own, (&members, &places), findings);
        let mut supplies = Vec::new();
        for (member, word) in members.iter().zip(&places) {
            let cathodes = lone_cathodes(circuit, sheet.own, member);
            let standing = standing_at(circuit, &cathodes);
            if let (Some(cathode), true) = (cathodes.first(), standing.is_empty()) {
                faults::no_supply(word, circuit.node_name(*cathode), findings);
            }
            supplies.extend(standing);
        }
        sheet
            .builder
            .heater_string(HeaterString { members, supplies });
    }
}

/// What a word of the statement names; none if it can be no member, which is reported.
fn member(
    sheet: &NetlistDraft<'_>,
    word: &Word<'_>,
    findings: &mut Findings,
) -> Option<HeaterMember> {
    let circuit = sheet.builder.peek();
    let parts = parts_of(circuit, word.text);
    let Some(first) = parts.first().map(|id| circuit.part(*id)) else {
        if let Some(section) = section_of(circuit, word.text) {
            faults::no_heater(word, &format!("a {}", section.kind.noun()), findings);
            return None;
        }
        // A line that could not be read has been reported.
        if !sheet
            .designators
            .contains_key(&word.text.to_ascii_uppercase())
        {
            faults::unknown(word, &tubes(circuit), findings);
        }
        return None;
    };
    let kind = match &first.kind {
        PartKind::Resistor(_) => HeaterMemberKind::Resistor,
        PartKind::Device(device) if device.class == DeviceClass::Tube => {
            let tube = tube_of(device, sheet.own);
            // The heater of a tube of the job may not be stated, and one that its line describes has none.
            let cold = tube.is_some_and(|tube| tube.class == TubeClass::GlowRegulator);
            if cold {
                faults::cold(word, &device.type_name, findings);
                return None;
            }
            HeaterMemberKind::Tube {
                pins: tube.map_or(Vec::new(), heater_pins),
            }
        }
        PartKind::Device(device) if device.class == DeviceClass::Regulator => {
            match tube_of(device, sheet.own) {
                Some(_) => faults::cold(word, &device.type_name, findings),
                None => faults::no_heater(word, "a diode", findings),
            }
            return None;
        }
        other => {
            faults::no_heater(word, &format!("a {}", other.noun()), findings);
            return None;
        }
    };
    Some(HeaterMember {
        name: match kind {
            HeaterMemberKind::Tube { .. } => stem(&first.designator).to_owned(),
            HeaterMemberKind::Resistor => first.designator.clone(),
        },
        parts,
        kind,
    })
}

/// A piece of a part that is drawn in several, such as `C1A` of the can `C1` and `T1.high` of the transformer `T1`.
fn section_of<'c>(circuit: &'c Circuit, name: &str) -> Option<&'c Part> {
    circuit.parts().iter().find(|part| {
        let own = part.designator.get(..name.len());
        let rest = part.designator.get(name.len()..).unwrap_or_default();
        let is_section =
            rest.starts_with('.') || rest.len() == 1 && rest.starts_with(char::is_alphabetic);
        own.is_some_and(|own| own.eq_ignore_ascii_case(name)) && is_section
    })
}

/// Designations of all tubes drawn, in the order of the netlist.
fn tubes(circuit: &Circuit) -> Vec<&str> {
    let is_tube = |part: &&Part| matches!(&part.kind, PartKind::Device(device) if device.class == DeviceClass::Tube);
    let tubes = circuit.parts().iter().filter(is_tube);
    let mut names: Vec<&str> = tubes.map(|part| stem(&part.designator)).collect();
    names.dedup();
    names
}

/// The designation of a socket: that of its sections without their letter.
fn stem(designator: &str) -> &str {
    socket(designator).unwrap_or(designator)
}

/// All sections of the tube of this name or of a section of this name, or the part.
fn parts_of(circuit: &Circuit, name: &str) -> Vec<PartId> {
    let is_tube = |part: &Part| matches!(part.kind, PartKind::Device(_));
    let of_socket =
        |part: &Part| is_tube(part) && stem(&part.designator).eq_ignore_ascii_case(stem(name));
    let is = |part: &Part| part.designator.eq_ignore_ascii_case(name);
    let parts = circuit.parts().iter().enumerate();
    let found = parts.filter(|(_, part)| of_socket(part) || is(part));
    found.map(|(place, _)| PartId(place)).collect()
}

fn tube_of<'o>(device: &Device, own: &'o [TubeType]) -> Option<&'o TubeType> {
    match known(&device.type_name, own) {
        Some(Known::Tube(tube)) => Some(tube),
        Some(Known::Semiconductor(_)) | None => None,
    }
}

/// The two base pins at the ends of a tube's heater or filament; none where they are not two.
fn heater_pins(tube: &TubeType) -> Vec<u8> {
    let of = |electrode: Electrode| {
        let pins = tube.pins.iter();
        let own = pins.filter(move |pin| pin.electrode == electrode);
        own.map(|pin| pin.number)
    };
    let mut pins: Vec<u8> = of(Electrode::Heater).collect();
    pins.extend(of(Electrode::Filament));
    if pins.len() == 1 {
        // The other end is the cathode.
        pins.extend(of(Electrode::Cathode).next());
    }
    pins.sort_unstable();
    match pins.len() {
        2 => pins,
        _ => Vec::new(),
    }
}

/// Warns of the first tube whose rated currents are none of those that all before it have.
fn one_current(
    circuit: &Circuit,
    own: &[TubeType],
    (members, places): (&[HeaterMember], &[Word<'_>]),
    findings: &mut Findings,
) {
    let same = |a: f64, b: f64| (a - b).abs() <= SAME_CURRENT * a.max(b);
    let mut common: Option<(Vec<f64>, &Word<'_>)> = None;
    for (member, word) in members.iter().zip(places) {
        let PartKind::Device(device) = &circuit.part(member.parts[0]).kind else {
            continue;
        };
        let rated = tube_of(device, own).map_or(&[][..], |tube| &tube.heater);
        let rated: Vec<f64> = rated.iter().map(|rating| rating.amperes).collect();
        if rated.is_empty() {
            continue;
        }
        let Some((before, first)) = &common else {
            common = Some((rated, word));
            continue;
        };
        let shared = before.iter().copied();
        let shared: Vec<f64> = shared
            .filter(|amperes| rated.iter().any(|own| same(*amperes, *own)))
            .collect();
        if shared.is_empty() {
            faults::other_current((word, &device.type_name, &rated), (first, before), findings);
            return;
        }
        common = Some((shared, *first));
    }
}

/// The nodes of the cathodes of a rectifier tube without any plate drawn; none of any other member.
fn lone_cathodes(circuit: &Circuit, own: &[TubeType], member: &HeaterMember) -> Vec<NodeId> {
    let mut nodes = Vec::new();
    for part in member.parts.iter().map(|id| circuit.part(*id)) {
        let PartKind::Device(device) = &part.kind else {
            continue;
        };
        let rectifier = tube_of(device, own).filter(|tube| {
            matches!(
                tube.class,
                TubeClass::FullWaveRectifier | TubeClass::HalfWaveRectifier
            )
        });
        let Some(tube) = rectifier.filter(|_| device.units.is_empty()) else {
            continue;
        };
        let is_cathode = |pin: u8| {
            let pin = tube.pin(pin);
            pin.is_some_and(|pin| pin.electrode == Electrode::Cathode)
        };
        for (terminal, node) in device.terminals.iter().zip(&part.nodes) {
            if terminal.pins.iter().copied().any(is_cathode) && !nodes.contains(node) {
                nodes.push(*node);
            }
        }
    }
    nodes
}

/// Supplies that stand for a rectifier: their higher end is at one of its cathodes. A battery stands
/// for itself.
fn standing_at(circuit: &Circuit, cathodes: &[NodeId]) -> Vec<PartId> {
    let parts = circuit.parts().iter().enumerate();
    let standing = parts.filter(|(_, part)| match &part.kind {
        PartKind::Supply(supply) if supply.kind == SupplyKind::Supply => {
            let higher = part.nodes.get(usize::from(supply.volts < 0.0));
            higher.is_some_and(|node| cathodes.contains(node))
        }
        _ => false,
    });
    standing.map(|(place, _)| PartId(place)).collect()
}
