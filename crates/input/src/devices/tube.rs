//! One tube's section: class, base, pins, heater, points.

use circuit::{Basing, HeaterRating, TubeClass, TubeSheet, TubeType};
use units::{Figure, Unit};

use super::pins::read_pins;
use super::point::{read_points, Printed};
use super::{DevicesRead, OwnTube};
use crate::diagnostic::Diagnostic;
use crate::settings::tree::Section;
use crate::values::{self, Reported};
use crate::words::Words;

const TUBE: [&str; 6] = ["class", "base", "pins", "heater", "source", "point"];

/// How a tube is described whose first grid is at its supply.
const SPACE_CHARGE: &str =
    "describe it as a `triode` of plate, control grid and cathode, and draw the space-charge \
                            grid as a resistor to the cathode: its volts over its current";

pub(super) struct TubeReader<'s> {
    pub section: Section<'s>,
    pub name: &'s str,
    /// The file's name.
    pub file: &'s str,
}

impl TubeReader<'_> {
    /// Adds the tube to what was read, or a stand-in for it.
    pub fn read(&self, read: &mut DevicesRead, out: &mut Vec<Diagnostic>) {
        let section = &self.section;
        section.only(&TUBE, out);
        if circuit::tube_type(self.name).is_some() {
            let message = format!(
                "{} takes the place of the built-in type of this name",
                section.name
            );
            out.push(Diagnostic::note(section.span.clone(), message));
        }
        let class = self.class(out);
        let base = section.words("base", out);
        let pins = self.pins(class, out);
        let heater = self.heater(out);
        let source = section.words("source", out);
        let points = self.points(class, &source, out);
        let (Ok(class), Ok(pins)) = (class, pins) else {
            read.stand_ins.extend(TubeType::unread(self.name));
            return;
        };
        let basing = Basing {
            base: match &base {
                Ok(Some(words)) => words.text.clone(),
                _ => String::new(),
            },
            pins,
            heater: heater.clone().unwrap_or_default(),
        };
        let (Ok(_), Ok(_), Ok(_), Ok(points)) = (base, heater, source, points) else {
            read.stand_ins
                .extend(TubeType::stand_in(self.name, class, basing));
            return;
        };
        read.tubes.push(OwnTube {
            sheet: TubeSheet {
                name: self.name.to_owned(),
                class,
                expected_mu: None,
                mu_spread: None,
                points,
            },
            basing,
            span: section.span.clone(),
        });
    }

    fn class(&self, out: &mut Vec<Diagnostic>) -> Result<TubeClass, Reported> {
        let Some(words) = self.section.words("class", out)? else {
            let example = "class = \"twin triode\"";
            return Err(self
                .section
                .missing("does not say what it is", example, out));
        };
        let plain = |text: &str| text.to_lowercase().replace('-', " ");
        let named = TubeClass::ALL
            .into_iter()
            .find(|class| plain(class.words()) == plain(&words.text));
        match named {
            Some(class) if !class.is_described_by_points() => {
                let message = format!("a {} cannot be described here", class.words());
                let help = match class {
                    TubeClass::GlowRegulator => {
                        "draw it in the netlist by its running volts, as a zener diode"
                    }
                    _ => "describe its main section, and draw the other one as a resistor",
                };
                Err(words.error(message).help(help).report(out))
            }
            Some(class) => Ok(class),
            None => {
                let message = format!("'{}' is no class of tube", words.text);
                let all = TubeClass::ALL.into_iter();
                let all = all.filter(|class| class.is_described_by_points());
                let known: Vec<&str> = all.map(TubeClass::words).collect();
                if plain(&words.text).contains("space charge") {
                    return Err(words.error(message).help(SPACE_CHARGE).report(out));
                }
                Err(words.unknown(message, &known, out))
            }
        }
    }

    fn pins(
        &self,
        class: Result<TubeClass, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Vec<circuit::Pin>, Reported> {
        let Some(entry) = self.section.entry("pins") else {
            let example = "pins = { 1 = \"plate\", 2 = \"grid\", 3 = \"cathode\" }";
            return Err(self.section.missing("lists no pins", example, out));
        };
        read_pins(&entry, class?, out)
    }

    fn points(
        &self,
        class: Result<TubeClass, Reported>,
        source: &Result<Option<Words>, Reported>,
        out: &mut Vec<Diagnostic>,
    ) -> Result<Vec<circuit::DataPoint>, Reported> {
        let Some(entry) = self.section.entry("point") else {
            let example = format!(
                "[[{}.point]]` and below it `plate = \"250V\"`, `grid = \"-2V\"`, \
                 `plate-current = \"1.2mA\"",
                self.name
            );
            return Err(self
                .section
                .missing("has no point of its data sheet", &example, out));
        };
        let sections = entry.sections(out)?;
        let printed = Printed {
            class: class?,
            source: match source {
                Ok(Some(words)) => &words.text,
                _ => self.file,
            },
        };
        if sections.is_empty() {
            return Err(entry.error("at least one point is needed").report(out));
        }
        read_points(&printed, &sections, out)
    }

    /// `6.3V 0.3A`, or a list of such ratings where the heater can be wired in several ways.
    fn heater(&self, out: &mut Vec<Diagnostic>) -> Result<Vec<HeaterRating>, Reported> {
        let Some(entry) = self.section.entry("heater") else {
            return Ok(Vec::new());
        };
        let list = entry.list(out)?;
        values::all(list.iter().map(|words| {
            rating(&words.text).ok_or_else(|| {
                let error = words.error("this is no heater rating");
                let help = "write volts and amperes: `6.3V 0.3A`";
                error.help(help).report(out)
            })
        }))
    }
}

/// Volts and amperes with a blank or a comma between, each with its unit.
fn rating(text: &str) -> Option<HeaterRating> {
    let breaks = text.match_indices([' ', ',', '\t', '/']);
    breaks
        .filter_map(|(at, mark)| {
            let volts = figure(text.get(..at)?, Unit::Volt)?;
            let amperes = figure(text.get(at + mark.len()..)?, Unit::Ampere)?;
            Some(HeaterRating { volts, amperes })
        })
        .next()
}

/// A number above zero with its unit.
fn figure(text: &str, unit: Unit) -> Option<f64> {
    let with_unit = text.chars().any(char::is_alphabetic);
    let value = Figure::parse(text, unit).ok()?.value;
    (with_unit && value > 0.0).then_some(value)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ratings_are_read_with_and_without_blanks() {
        for text in [
            "6.3V 0.3A",
            "6.3 V 300 mA",
            "6.3 V, 0.3 A",
            "6.3V/300mA",
            "6.3 volts 0.3 amp",
        ] {
            let rating = rating(text).unwrap();
            // 300·10⁻³ and 0.3 are the same double, rounded once from the digits.
            assert_eq!((rating.volts, rating.amperes), (6.3, 0.3), "{text}");
        }
        for text in [
            "6.3V",
            "6.3 0.3",
            "0.3A 6.3V",
            "0V 0.3A",
            "",
            "6.3V 0.3A 1A",
        ] {
            assert!(rating(text).is_none(), "{text}");
        }
    }
}
