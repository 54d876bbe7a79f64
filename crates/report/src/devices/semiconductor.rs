//! The page of a semiconductor, and what it shares with that of a tube.
//!
//! A type comes in, the blocks of its page go out.

use circuit::{Characteristic, SemiconductorKind, SemiconductorType};
use units::{engineering, significant, Unit};

use super::parameters::{numbers, of_characteristic, Parameter};
use super::trust;
use crate::document::Block;
use crate::labels::each_once;
use crate::table::{Align, Cell, Column, Table};

/// The page.
pub(crate) fn blocks(own: &SemiconductorType) -> Vec<Block> {
    let mut facts = vec![
        format!("Terminals: {}.", terminals(own.kind).join(", ")),
        format!("Figures: {}.", own.check.replace(" uA", " µA")),
    ];
    if !own.note.is_empty() {
        facts.push(format!("Note: {}.", own.note));
    }
    facts.push(format!("Status of the figures: {}.", own.status));
    vec![
        Block::Title(format!("{}: {}", own.names.join(", "), what(own))),
        Block::Lines(facts),
        Block::Caption("Parameters of the model".to_owned()),
        Block::Table(parameter_table(&of_semiconductor(own))),
        Block::Caption("How far to trust it".to_owned()),
        Block::Lines(trust::of_semiconductor(own)),
        Block::Caption("Sources of the figures".to_owned()),
        Block::Lines(sources(&own.source)),
    ]
}

/// Words for the title that do not only say the name again.
fn what(own: &SemiconductorType) -> String {
    match own.kind {
        SemiconductorKind::Bipolar { .. } => format!("{} transistor", own.words),
        SemiconductorKind::FieldEffect(_) => own.words.clone(),
        _ => format!("{} {}", material(own), kind(own.kind)),
    }
}

/// The terminals in words. They are not numbered: cases of one type differ in that.
pub(crate) fn terminals(kind: SemiconductorKind) -> &'static [&'static str] {
    match kind {
        SemiconductorKind::Diode { .. }
        | SemiconductorKind::Selenium(_)
        | SemiconductorKind::Zener(_) => &["anode", "cathode"],
        SemiconductorKind::Bipolar { .. } => &["collector", "base", "emitter"],
        SemiconductorKind::FieldEffect(_) => &["drain", "gate", "source"],
    }
}

/// The kind in a word or two.
pub(crate) fn kind(kind: SemiconductorKind) -> &'static str {
    match kind {
        SemiconductorKind::Diode { .. } => "diode",
        SemiconductorKind::Selenium(_) => "rectifier plate",
        SemiconductorKind::Zener(_) => "Zener diode",
        SemiconductorKind::Bipolar { .. } => "transistor",
        SemiconductorKind::FieldEffect(_) => "junction FET",
    }
}

pub(crate) fn material(own: &SemiconductorType) -> &'static str {
    // No other material is used for these, and so no table names it.
    if matches!(
        own.kind,
        SemiconductorKind::Zener(_) | SemiconductorKind::FieldEffect(_)
    ) {
        return "silicon";
    }
    let said = |word: &str| own.words.contains(word) || own.note.contains(word);
    ["silicon", "germanium", "selenium"]
        .into_iter()
        .find(|material| said(material))
        .unwrap_or("")
}

/// The numbers of a semiconductor at 27 °C.
pub(crate) fn of_semiconductor(semiconductor: &SemiconductorType) -> Vec<Parameter> {
    match semiconductor.kind {
        SemiconductorKind::Diode {
            junction,
            series_ohms,
        } => {
            let mut all = of_characteristic(&Characteristic::Junction(junction));
            all.extend(numbers! { (series_ohms,);
                "series" 0 ["Ω"] "in series with the junction";
            });
            all
        }
        SemiconductorKind::Selenium(plate) => numbers! { plate;
            "knee" knee_volts ["V"] "per plate";
            "softness" softness ["V"] "width of the bend, per plate";
            "slope" slope_volts ["V"] "beyond the knee at rated current, per plate";
            "reverse" reverse_volts ["V"] "leakage resistance times rated current";
        },
        SemiconductorKind::Zener(zener) => numbers! { zener;
            "test current" test_amperes ["A"] "at which the marked volts hold";
            "low volts" low.0 ["V"] "lower end of the slope's line";
            "low slope" low.1 ["Ω"] "slope at that end and below";
            "high volts" high.0 ["V"] "upper end of the slope's line";
            "high slope" high.1 ["Ω"] "slope at that end and above";
            "softness" softness ["V"] "width of the bend";
        },
        SemiconductorKind::Bipolar {
            transistor,
            collector_ohms,
        } => {
            let mut all = of_characteristic(&Characteristic::Bipolar(transistor));
            all.extend(numbers! { (collector_ohms,);
                "collector" 0 ["Ω"] "in series with the collector";
            });
            all
        }
        SemiconductorKind::FieldEffect(own) => of_characteristic(&Characteristic::FieldEffect(own)),
    }
}

/// Names, values and units under each other.
pub(crate) fn parameter_table(parameters: &[Parameter]) -> Table {
    let columns = vec![
        Column::new("parameter", "", Align::Left),
        Column::new("what it is", "", Align::Left),
        Column::new("value", "", Align::Right),
        Column::new("unit", "", Align::Left),
    ];
    let row = |own: &Parameter| {
        let (value, unit) = shown(own);
        let cells: [Cell; 4] = [
            own.name.into(),
            own.meaning.into(),
            value.into(),
            unit.into(),
        ];
        cells.to_vec()
    };
    let rows = parameters.iter().map(row).collect();
    Table { columns, rows }
}

/// Four digits and a unit; amperes and ohms go by thousands, the others stay as they are.
fn shown(own: &Parameter) -> (String, String) {
    let unit = match own.unit {
        "A" => Some(Unit::Ampere),
        "Ω" => Some(Unit::Ohm),
        _ => None,
    };
    let text = match unit {
        Some(unit) => engineering(own.value, unit, 4),
        None => format!("{} {}", significant(own.value, 4), own.unit),
    };
    let (value, unit) = text.split_once(' ').unwrap_or((text.as_str(), ""));
    (value.replace('-', "\u{2212}"), unit.to_owned())
}

/// Sources, each once.
pub(crate) fn sources(text: &str) -> Vec<String> {
    let each = text.split('|').map(str::trim);
    each_once(each.filter(|source| !source.is_empty()).map(str::to_owned))
}

#[cfg(test)]
mod tests {
    use super::*;
    use circuit::{semiconductor, semiconductors};

    #[test]
    fn a_transistor_has_its_terminals_and_its_material() {
        let own = semiconductor("2N404").unwrap();
        assert_eq!(terminals(own.kind), ["collector", "base", "emitter"]);
        assert_eq!(material(own), "germanium");
        assert_eq!(material(semiconductor("1N34A").unwrap()), "germanium");
        for own in semiconductors() {
            let parameters = of_semiconductor(own);
            assert_eq!(parameter_table(&parameters).rows.len(), parameters.len());
            assert!(parameters.len() >= 4);
            assert!(parameters.iter().all(|own| own.value.is_finite()));
        }
    }

    #[test]
    fn a_source_given_for_two_points_is_printed_once() {
        assert_eq!(
            sources("a manual | a manual | a sheet"),
            ["a manual", "a sheet"]
        );
    }
}
