//! Type numbers: which tube or semiconductor a word means, and the diagnostic if it means none.
//!
//! Tubes of the job come before those of the catalogue. The parameters of a type are not known
//! here.

use circuit::{
    semiconductor, semiconductors, tube_type, tube_types, DeviceClass, SemiconductorKind,
    SemiconductorType, TubeClass, TubeType,
};

use crate::nearest::{begins_alike, nearest_few};

use super::items::{Item, ItemKind};
use super::part::Drawn;
use super::values::Values;

/// Names shown in a hint.
const SHOWN: usize = 3;

/// A type that a word means.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Known<'o> {
    Tube(&'o TubeType),
    Semiconductor(&'static SemiconductorType),
}

/// The type of this name, ignoring case.
pub(super) fn known<'o>(name: &str, own: &'o [TubeType]) -> Option<Known<'o>> {
    let of_job = own.iter().find(|tube| tube.name.eq_ignore_ascii_case(name));
    of_job
        .or_else(|| tube_type(name))
        .map(Known::Tube)
        .or_else(|| semiconductor(name).map(Known::Semiconductor))
}

/// The name of a class of tubes, to be used after an article.
pub(super) fn class_words(class: TubeClass) -> &'static str {
    match class {
        TubeClass::BeamPower => "beam power tube",
        other => other.words(),
    }
}

/// A type's name with the article for its pronunciation: `a 6V6`, `an 807`, `an EL34`.
pub(super) fn with_article(name: &str) -> String {
    let vowel = name.starts_with(|first: char| "8AEFHILMNORSX".contains(first));
    let article = if vowel { "an" } else { "a" };
    format!("{article} {name}")
}

impl Known<'_> {
    pub fn words(self) -> &'static str {
        match self {
            Known::Tube(tube) => class_words(tube.class),
            Known::Semiconductor(of) => match of.kind {
                SemiconductorKind::Diode { .. } => "diode",
                SemiconductorKind::Selenium(_) => "selenium rectifier",
                SemiconductorKind::Zener(_) => "Zener diode",
                SemiconductorKind::Bipolar { .. } | SemiconductorKind::FieldEffect(_) => {
                    "transistor"
                }
            },
        }
    }

    /// An example of the beginning of such a line.
    fn example(self) -> &'static str {
        match self {
            Known::Tube(tube) if tube.class == TubeClass::GlowRegulator => "VR1: ",
            Known::Tube(_) => "V1: ",
            Known::Semiconductor(of) => match of.kind {
                SemiconductorKind::Diode { .. } | SemiconductorKind::Selenium(_) => "CR1: ",
                SemiconductorKind::Zener(_) => "VR1: ",
                SemiconductorKind::Bipolar { .. } | SemiconductorKind::FieldEffect(_) => "Q1: ",
            },
        }
    }
}

/// Takes the word that names a type: a known type, otherwise the first word that may be meant as
/// one, unless the line describes the part itself.
pub(super) fn take_type<'a>(
    values: &mut Values<'a, '_>,
    own: &[TubeType],
    described: bool,
) -> Option<Item<'a>> {
    let named = |item: &Item<'_>| matches!(item.kind, ItemKind::Word | ItemKind::Value);
    let taken = values.take(|item| named(item) && known(item.text, own).is_some());
    let taken = match taken {
        None if !described => values.take(named),
        found => found,
    };
    taken.map(|(_, item)| item)
}

/// Reports that the word names no type, or a type of a kind other than the line's.
pub(super) fn not_this_kind(
    item: &Item<'_>,
    own: &[TubeType],
    class: DeviceClass,
    values: &mut Values<'_, '_>,
) -> Drawn {
    let noun = values.subject.noun;
    let (message, label, help) = match known(item.text, own) {
        Some(other) => (
            format!("{} is a {}, not a {noun}", item.text, other.words()),
            "another kind of part",
            format!("write `{}{}, …`", other.example(), item.text),
        ),
        None => (
            format!("unknown {noun} type '{}'", item.text),
            "unknown type",
            help(item.text, own, class),
        ),
    };
    values.findings.refuse(&item.bytes, message, label, help);
    values.faulty = true;
    Drawn::Unknown(class)
}

/// Words for a tube that holds its volts by a discharge, which `devices.toml` does not describe.
const DISCHARGES: [&str; 5] = ["corona", "glow", "gas", "voltage-regulator", "stabilizer"];

fn help(name: &str, own: &[TubeType], class: DeviceClass) -> String {
    let tube = matches!(class, DeviceClass::Tube | DeviceClass::Regulator);
    let names: Vec<&str> = if tube {
        let fits =
            |of: &&TubeType| class == DeviceClass::Tube || of.class == TubeClass::GlowRegulator;
        let own = own.iter().filter(fits).map(|of| of.name.as_str());
        let known = tube_types().filter(fits).map(|of| of.name.as_str());
        own.chain(known).collect()
    } else {
        let diode = class == DeviceClass::Diode;
        semiconductors()
            .iter()
            .filter(|of| diode == matches!(of.kind, SemiconductorKind::Diode { .. }))
            .flat_map(|of| of.names.iter().map(String::as_str))
            .collect()
    };
    let like = alike(name, names);
    let near = match like.as_slice() {
        [] => String::new(),
        names => format!("known types like it: {}; ", names.join(", ")),
    };
    let describe = match class {
        DeviceClass::Tube if DISCHARGES.iter().any(|known| name.eq_ignore_ascii_case(known)) => {
            "draw a glow or corona tube as a Zener diode of its running volts, such as `VR1: zener 900V`"
        }
        DeviceClass::Tube if name.to_ascii_lowercase().starts_with("photo") => {
            "draw a phototube as a resistor, the volts across it over its current at the light of the manual"
        }
        DeviceClass::Tube => {
            "describe another tube in devices.toml; draw a glow, trigger or gas-filled tube as a Zener diode of \
             its running volts (docs/files.md)"
        }
        DeviceClass::Regulator => {
            "draw another glow tube as a Zener diode of its running volts, such as `zener 105V`"
        }
        DeviceClass::Diode => "of another type write the kind: `silicon`, `germanium` or `selenium 8 plates`",
        _ => {
            "of another type write the kind, such as `npn silicon hfe=100`, `pnp germanium hfe=60` or `n-jfet idss=8mA \
             vp=-6V`; a unijunction transistor is drawn as the resistor between its bases, a thyristor as a contact"
        }
    };
    format!("{near}{describe}")
}

/// Known names similar to this one: those that begin with it or that it begins with, and those with
/// few letters changed.
fn alike<'n>(name: &str, names: Vec<&'n str>) -> Vec<&'n str> {
    let ranked = nearest_few(name, names, |known| known, begins_alike);
    let nearest = ranked.first().map_or(0, |(distance, _)| *distance);
    let level = ranked
        .into_iter()
        .take_while(|(distance, _)| *distance == nearest);
    level.map(|(_, known)| known).take(SHOWN).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_suffix_and_a_slip_find_the_type() {
        let names = vec!["6V6", "6AQ5", "12AX7", "12AT7", "0A2"];
        assert_eq!(alike("6V6GT", names.clone()), ["6V6"]);
        assert_eq!(alike("12ax", names.clone()), ["12AX7"]);
        assert_eq!(alike("12AY7", names.clone()), ["12AX7", "12AT7"]);
        assert_eq!(alike("807", names.clone()), Vec::<&str>::new());
    }

    #[test]
    fn the_hint_names_devices_toml_only_for_what_it_takes() {
        let hint = |class| help("9Z9", &[], class).contains("devices.toml");
        let taken = TubeClass::GlowRegulator.is_described_by_points();
        assert_eq!(hint(DeviceClass::Regulator), taken);
        assert_eq!(
            hint(DeviceClass::Tube),
            TubeClass::Triode.is_described_by_points()
        );
    }

    #[test]
    fn types_of_the_job_come_first() {
        let mut mine = tube_type("12AX7").unwrap().clone();
        mine.source = "measured".into();
        let Some(Known::Tube(found)) = known("12ax7", std::slice::from_ref(&mine)) else {
            panic!("a tube of this name is known");
        };
        assert_eq!(found.source, "measured");
        assert!(matches!(known("2n404", &[]), Some(Known::Semiconductor(_))));
        assert_eq!(known("12AX", &[]), None);
    }
}
