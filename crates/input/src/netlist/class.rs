//! The kind of part of a statement.
//!
//! The class letters of the designation and the words after the colon come in; a [`Class`] goes
//! out. The words decide if they name a kind (`pot`, `lamp`, `open`); the letters are only a hint.

use circuit::{ContactKind, SupplyKind};

use super::items::{Item, ItemKind};

/// Kinds of part that this version reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Class {
    Resistor,
    Potentiometer,
    Capacitor,
    Inductor,
    Transformer,
    Supply(SupplyKind),
    Generator,
    Lamp,
    Contact(ContactKind),
    Tube,
    Diode,
    Regulator,
    NeonLamp,
    Transistor,
    Varistor,
}

/// Why the kind is not known.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Unclassed {
    /// A kind that is known but not supported by this version, in the plural.
    Later(&'static str),
    /// Class letters without a meaning.
    Letters(String),
}

/// Class letters of IEEE 315 and the kinds that they suggest.
const LETTERS: [(&str, Class); 21] = [
    ("R", Class::Resistor),
    ("RT", Class::Resistor),
    ("C", Class::Capacitor),
    ("L", Class::Inductor),
    ("LS", Class::Resistor),
    ("M", Class::Resistor),
    ("T", Class::Transformer),
    ("PS", Class::Supply(SupplyKind::Supply)),
    ("BT", Class::Supply(SupplyKind::Battery)),
    ("G", Class::Generator),
    ("DS", Class::Lamp),
    ("S", Class::Contact(ContactKind::Switch)),
    ("F", Class::Contact(ContactKind::Fuse)),
    ("V", Class::Tube),
    ("CR", Class::Diode),
    ("D", Class::Diode),
    ("SR", Class::Diode),
    ("VR", Class::Regulator),
    ("Q", Class::Transistor),
    ("J", Class::Contact(ContactKind::Switch)),
    ("RV", Class::Varistor),
];

/// Class letters of IEEE 315 whose parts are not supported yet.
const LATER_LETTERS: [(&str, &str); 1] = [("U", "integrated circuits")];

/// Words that name a kind.
const WORDS: [(&str, Class); 13] = [
    (
        "resistor thermistor ntc ptc photoresistor ldr ballast cord speaker headphones earphones \
         meter",
        Class::Resistor,
    ),
    ("pot potentiometer rheostat control", Class::Potentiometer),
    ("capacitor electrolytic", Class::Capacitor),
    ("inductor choke coil", Class::Inductor),
    ("transformer autotransformer", Class::Transformer),
    ("varistor", Class::Varistor),
    ("supply", Class::Supply(SupplyKind::Supply)),
    ("battery cell", Class::Supply(SupplyKind::Battery)),
    ("generator", Class::Generator),
    ("lamp bulb", Class::Lamp),
    ("fuse", Class::Contact(ContactKind::Fuse)),
    (
        "switch key relay contact jack jumper",
        Class::Contact(ContactKind::Switch),
    ),
    (POSITIONS, Class::Contact(ContactKind::Switch)),
];

/// Words that state the position of a contact, and by it that there is one.
const POSITIONS: &str = "on off open closed";

/// Words that name a kind of device and have a further meaning.
const DEVICE_WORDS: [(&str, Class); 5] = [
    ("triode", Class::Tube),
    ("zener", Class::Regulator),
    ("neon", Class::NeonLamp),
    ("led bridge", Class::Diode),
    ("npn pnp n-jfet p-jfet", Class::Transistor),
];

/// Materials of rectifiers; with the class letter of a transistor they are the material of the
/// transistor.
const MATERIALS: [(&str, Class); 1] = [("germanium silicon selenium", Class::Diode)];

impl Class {
    /// The kind in one or two words.
    pub fn noun(self) -> &'static str {
        match self {
            Class::Resistor => "resistor",
            Class::Potentiometer => "potentiometer",
            Class::Capacitor => "capacitor",
            Class::Inductor => "coil",
            Class::Transformer => "transformer",
            Class::Supply(SupplyKind::Supply) => "supply",
            Class::Supply(SupplyKind::Battery) => "battery",
            Class::Generator => "signal generator",
            Class::Lamp => "lamp",
            Class::Contact(ContactKind::Switch) => "switch",
            Class::Contact(ContactKind::Fuse) => "fuse",
            Class::Contact(ContactKind::Jack) => "jack",
            Class::Tube => "tube",
            Class::Diode => "diode",
            Class::Regulator => "regulator",
            Class::NeonLamp => "neon lamp",
            Class::Transistor => "transistor",
            Class::Varistor => "varistor",
        }
    }

    /// The bare words that may name this kind, except `open`, `closed`, `on` and `off`, which also
    /// state a position.
    pub fn names(self) -> impl Iterator<Item = &'static str> {
        let of_this = move |row: &&(&str, Class)| row.1 == self && row.0 != POSITIONS;
        let rows = WORDS.iter().filter(of_this);
        rows.flat_map(|(words, _)| words.split(' '))
    }
}

/// Whether a word is a noun for a kind of part, as `pot`, and not `open` or `closed`.
pub(super) fn is_noun(word: &str) -> bool {
    find(&WORDS, word).is_some()
        && !POSITIONS
            .split(' ')
            .any(|own| own.eq_ignore_ascii_case(word))
}

/// The kind that the items and the class letters of a part state.
///
/// # Errors
/// [`Unclassed`] if this version does not support the kind, or if no kind is stated.
pub(super) fn classify(letters: &str, items: &[Item<'_>]) -> Result<Class, Unclassed> {
    let bare = || items.iter().filter(|item| item.kind == ItemKind::Word);
    let hint = find(&LETTERS, letters);
    // `neon lamp` is a device and not a filament lamp; `npn silicon` is not a diode.
    if let Some(class) = bare().find_map(|item| find(&DEVICE_WORDS, item.text)) {
        return Ok(class);
    }
    // `relay coil` is the coil; `relay` alone is a contact.
    let is_relay = bare().any(|item| item.text.eq_ignore_ascii_case("relay"));
    if is_relay && bare().any(|item| find(&WORDS, item.text) == Some(Class::Inductor)) {
        return Ok(Class::Inductor);
    }
    for item in bare() {
        if let Some(class) = find(&WORDS, item.text) {
            // A fuse is open or closed too.
            return Ok(match (class, hint) {
                (Class::Contact(_), Some(contact @ Class::Contact(_))) => contact,
                _ => class,
            });
        }
        if hint != Some(Class::Transistor) {
            if let Some(class) = find(&MATERIALS, item.text) {
                return Ok(class);
            }
        }
    }
    if let Some(later) = find(&LATER_LETTERS, letters) {
        return Err(Unclassed::Later(later));
    }
    hint.ok_or_else(|| Unclassed::Letters(letters.to_owned()))
}

/// Whether these class letters stand for a kind of part, supported by this version or not.
pub(super) fn has_meaning(letters: &str) -> bool {
    find(&LETTERS, letters).is_some() || find(&LATER_LETTERS, letters).is_some()
}

/// The class letters that this version reads, for a help line.
pub(super) fn known_letters() -> String {
    LETTERS.map(|(letters, _)| letters).join(", ")
}

/// What the row says that has this among its words.
fn find<T: Copy>(table: &[(&str, T)], word: &str) -> Option<T> {
    let has = |words: &str| words.split(' ').any(|own| own.eq_ignore_ascii_case(word));
    let row = table.iter().find(|(words, _)| has(words));
    row.map(|(_, found)| *found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::netlist::items::items;
    use crate::netlist::lex::words;

    fn classified(letters: &str, text: &str) -> Result<Class, Unclassed> {
        classify(letters, &items(text, &words(text, 0)))
    }

    /// What the netlist reads can be looked up.
    #[test]
    fn every_letter_and_word_stands_on_the_page_on_files() {
        let page = include_str!("../../../../docs/files.md");
        for (letters, _) in LETTERS {
            assert!(page.contains(&format!("`{letters}`")), "{letters}");
        }
        let apart = |c: char| !c.is_alphanumeric() && c != '-';
        let said: Vec<&str> = page.split(apart).collect();
        let words = WORDS.iter().chain(&DEVICE_WORDS).chain(&MATERIALS);
        for word in words.flat_map(|(words, _)| words.split(' ')) {
            assert!(said.contains(&word), "docs/files.md lacks '{word}'");
        }
    }

    #[test]
    fn words_decide_and_letters_hint() {
        assert_eq!(classified("R", "500k"), Ok(Class::Resistor));
        assert_eq!(classified("R", "pot 500k"), Ok(Class::Potentiometer));
        assert_eq!(
            classified("F", "closed"),
            Ok(Class::Contact(ContactKind::Fuse))
        );
        assert_eq!(
            classified("K", "open"),
            Ok(Class::Contact(ContactKind::Switch))
        );
        // `open` as the value of an option says nothing about the kind.
        let supply = Class::Supply(SupplyKind::Supply);
        assert_eq!(classified("PS", "9V off=open"), Ok(supply));
    }

    #[test]
    fn devices_are_told_by_their_letters_and_their_words() {
        for (letters, text, class) in [
            ("V", "12AX7", Class::Tube),
            ("X", "selenium 8 plates", Class::Diode),
            ("CR", "1N34A", Class::Diode),
            ("VR", "zener 9.1V", Class::Regulator),
            ("DS", "lamp neon 65V", Class::NeonLamp),
            ("Q", "silicon npn hfe=100", Class::Transistor),
            ("Q", "germanium 2N404", Class::Transistor),
            ("X", "pnp germanium", Class::Transistor),
        ] {
            assert_eq!(classified(letters, text), Ok(class), "{letters} {text}");
        }
    }

    #[test]
    fn kinds_of_later_versions_are_told_from_strangers() {
        assert_eq!(
            classified("U", "741"),
            Err(Unclassed::Later("integrated circuits"))
        );
        assert_eq!(classified("K", "5k"), Err(Unclassed::Letters("K".into())));
    }
}
