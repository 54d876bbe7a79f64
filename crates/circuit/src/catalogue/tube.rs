//! Tube types: base, heater, sections with their characteristics, and the sources of these.
//!
//! Rows of the type, parameter and glow-tube tables come in, types go out.

use super::base::{pins, Electrode, Pin};
use super::class::TubeClass;
use super::parameters::characteristic;
use super::rows::{CatalogueError, Row};
use super::tube_table::TubeTable;
use crate::characteristic::{Characteristic, SoftKnee, VacuumDiode};

/// One way to heat a tube.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeaterRating {
    /// Volts.
    pub volts: f64,
    /// Amperes.
    pub amperes: f64,
}

/// One section of a tube.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeUnit {
    /// Its electrodes, in the order of the terminals of its characteristic.
    pub electrodes: &'static [Electrode],
    /// The currents between them.
    pub characteristic: Characteristic,
}

/// The striking volts of a glow tube, and the limits of current between which it regulates.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GlowLimits {
    /// Volts above which a dark tube strikes.
    pub strike_volts: f64,
    /// Current in amperes below which it goes out.
    pub least_amperes: f64,
    /// Current in amperes above which it is overloaded.
    pub most_amperes: f64,
}

/// One tube type.
#[derive(Clone, Debug, PartialEq)]
pub struct TubeType {
    /// Type designation, by EIA or its European counterpart.
    pub name: String,
    /// What it is.
    pub class: TubeClass,
    /// Ways to heat it, the whole heater first; empty for a cold cathode.
    pub heater: Vec<HeaterRating>,
    /// Designation of its base.
    pub base: String,
    /// What each pin leads to.
    pub pins: Vec<Pin>,
    /// Its sections: `V1A` is the first, `V1B` the second.
    pub units: Vec<TubeUnit>,
    /// Limits of a glow tube.
    pub glow: Option<GlowLimits>,
    /// The residuals of the fit at the points of the data sheet; empty if nothing was fitted.
    pub residuals: String,
    /// How far base and pins can be trusted.
    pub base_status: String,
    /// How far the points behind the characteristic can be trusted.
    pub data_status: String,
    /// Where the points are from.
    pub source: String,
}

/// A small diode on the cathode of an amplifier: 1 mA at 10 V, contact potential 0.3 V, so that it
/// is near −0.6 V with a load of megohms (assumed, no source).
pub(super) const DIODE_SECTION: VacuumDiode = VacuumDiode {
    perveance: 3.2e-5,
    contact: 0.3,
    emission: 1.0,
};

/// Width in volts of the bend of a lit glow tube (assumed, no source).
const GLOW_SOFTNESS: f64 = 0.5;

/// Resistance in ohms of an unlit glow tube (assumed, no source).
const UNLIT_OHMS: f64 = 1e9;

impl TubeType {
    /// The pins of an electrode of a section, counted from 0; more than one if several pins lead to
    /// it, none if the section has no such electrode.
    pub fn pins_of(&self, unit: usize, electrode: Electrode) -> impl Iterator<Item = u8> + '_ {
        self.pins
            .iter()
            .filter(move |pin| pin.electrode == electrode && pin.unit.is_none_or(|own| own == unit))
            .map(|pin| pin.number)
    }

    /// What a pin leads to.
    pub fn pin(&self, number: u8) -> Option<Pin> {
        self.pins.iter().copied().find(|pin| pin.number == number)
    }
}

/// One type, from its row in each table.
pub(super) fn tube(row: &Row<'_>, table: &TubeTable) -> Result<TubeType, CatalogueError> {
    let class = TubeClass::from_words(row.text("class")?).ok_or_else(|| row.fault("class"))?;
    let name = row.text("type")?;
    let (main, limits, mut residuals) = if class == TubeClass::GlowRegulator {
        let own = table.glow(name)?;
        (lit(own)?, Some(limits(own)?), String::new())
    } else {
        let own = table.parameters(name)?;
        let residuals = own.text("residuals")?.to_owned();
        (characteristic(own, class)?, None, residuals)
    };
    let triode = match class.is_triode_pentode() {
        true => Some(table.triode(name)?),
        false => None,
    };
    if let Some(triode) = triode {
        residuals = format!("{residuals}; triode: {}", triode.text("residuals")?);
    }
    let sections = class.sections().into_iter().enumerate();
    let units = sections
        .map(|(section, electrodes)| {
            let characteristic = match electrodes.first() {
                Some(Electrode::DiodePlate) => Characteristic::VacuumDiode(DIODE_SECTION),
                Some(Electrode::Target) => side_anode(table.points()?, name, "target")?,
                Some(Electrode::OscillatorAnode) => {
                    side_anode(table.points()?, name, "oscillator anode")?
                }
                _ => match triode {
                    Some(triode) if section > 0 => characteristic(triode, TubeClass::Triode)?,
                    _ => main,
                },
            };
            Ok(TubeUnit {
                electrodes,
                characteristic,
            })
        })
        .collect::<Result<_, CatalogueError>>()?;
    Ok(TubeType {
        name: name.to_owned(),
        class,
        heater: heater(row)?,
        base: row.text("base")?.to_owned(),
        pins: pins(row.text("pins")?, class).ok_or_else(|| row.fault("pins"))?,
        units,
        glow: limits,
        residuals,
        base_status: row.text("base_status")?.to_owned(),
        data_status: row.text("data_status")?.to_owned(),
        source: row.text("source")?.to_owned(),
    })
}

/// An anode besides the main section, with one printed point: a diode through that point, whatever
/// the grid does. Examples are the target of a tuning eye, and the anode of a running oscillator
/// with its average current (assumed).
fn side_anode(
    points: &[Row<'_>],
    name: &str,
    kind: &str,
) -> Result<Characteristic, CatalogueError> {
    let point = points
        .iter()
        .find(|row| row.text("type") == Ok(name) && row.text("kind") == Ok(kind))
        .ok_or_else(|| CatalogueError::NoRow {
            table: "tube points",
            name: format!("{name}, {kind}"),
        })?;
    // I = G·V^1.5
    let volts = point.number("plate_volts")?;
    let amperes = point.number("plate_milliamperes")? * 1e-3;
    Ok(Characteristic::VacuumDiode(VacuumDiode {
        perveance: amperes / volts.powf(1.5),
        contact: 0.0,
        emission: 1.0,
    }))
}

/// `12.6/6.3` volts at `0.15/0.30` amperes are two ways to wire one heater.
fn heater(row: &Row<'_>) -> Result<Vec<HeaterRating>, CatalogueError> {
    let numbers = |column| {
        row.text(column)?
            .split('/')
            .filter(|text| !text.is_empty())
            .map(|text| text.parse::<f64>().map_err(|_| row.fault(column)))
            .collect::<Result<Vec<f64>, CatalogueError>>()
    };
    let (volts, amperes) = (numbers("heater_volts")?, numbers("heater_amperes")?);
    if volts.len() != amperes.len() {
        return Err(row.fault("heater_amperes"));
    }
    let ratings = volts.into_iter().zip(amperes);
    Ok(ratings
        .map(|(volts, amperes)| HeaterRating { volts, amperes })
        .collect())
}

/// A lit tube: a straight line through its running volts at its middle current.
fn lit(row: &Row<'_>) -> Result<Characteristic, CatalogueError> {
    let slope = row.number("slope_ohms")?;
    let middle = row.number("running_milliamperes")? * 1e-3;
    Ok(Characteristic::SoftKnee(SoftKnee {
        // V0 = Vrun − Imid·rd
        knee_volts: row.number("running_volts")? - middle * slope,
        slope_ohms: slope,
        softness: GLOW_SOFTNESS,
        leak_ohms: UNLIT_OHMS,
    }))
}

fn limits(row: &Row<'_>) -> Result<GlowLimits, CatalogueError> {
    Ok(GlowLimits {
        strike_volts: row.number("strike_volts")?,
        least_amperes: row.number("least_milliamperes")? * 1e-3,
        most_amperes: row.number("most_milliamperes")? * 1e-3,
    })
}

#[cfg(test)]
mod tests {
    use super::super::{tube_type, tube_types};
    use super::*;

    fn pins_of(name: &str, unit: usize, electrode: Electrode) -> Vec<u8> {
        tube_type(name).unwrap().pins_of(unit, electrode).collect()
    }

    #[test]
    fn every_electrode_of_every_section_has_a_pin_and_a_terminal() {
        for tube in tube_types() {
            for (index, unit) in tube.units.iter().enumerate() {
                assert_eq!(unit.electrodes.len(), unit.characteristic.terminals());
                for electrode in unit.electrodes {
                    let pins = tube.pins_of(index, *electrode).count();
                    assert!(pins > 0, "{} section {index} {electrode}", tube.name);
                }
            }
        }
    }

    #[test]
    fn no_pin_is_listed_twice_and_every_heated_tube_has_two_heater_pins() {
        for tube in tube_types() {
            let mut numbers: Vec<u8> = tube.pins.iter().map(|pin| pin.number).collect();
            numbers.sort_unstable();
            numbers.dedup();
            assert_eq!(numbers.len(), tube.pins.len(), "{}", tube.name);
            let heated = tube
                .pins
                .iter()
                .filter(|pin| matches!(pin.electrode, Electrode::Heater | Electrode::Filament))
                .count();
            // A rectifier whose cathode is connected to one end of the heater has one pin for each.
            let wanted = usize::from(!tube.heater.is_empty());
            assert!(heated >= wanted, "{}", tube.name);
        }
    }

    /// Bases 9A, 7BZ and 5T as tube manuals print them.
    #[test]
    fn sections_doubled_pins_and_filaments_are_told_apart() {
        assert_eq!(pins_of("12AX7", 0, Electrode::Plate), [6]);
        assert_eq!(pins_of("12AX7", 1, Electrode::Plate), [1]);
        assert_eq!(pins_of("6AQ5", 0, Electrode::Grid), [1, 7]);
        assert_eq!(pins_of("6AQ5", 0, Electrode::Cathode), [2]);
        assert_eq!(pins_of("5Y3GT", 1, Electrode::Plate), [4]);
        assert_eq!(pins_of("5Y3GT", 1, Electrode::Cathode), [8]);
        assert_eq!(pins_of("6AV6", 2, Electrode::DiodePlate), [5]);
        assert_eq!(pins_of("6AV6", 2, Electrode::Cathode), [2]);
        assert_eq!(
            tube_type("0D3").unwrap().pin(3).unwrap().electrode,
            Electrode::Jumper
        );
    }

    #[test]
    fn heaters_have_their_ratings_and_glow_tubes_none() {
        let heater = &tube_type("12AX7").unwrap().heater;
        assert_eq!(heater.len(), 2);
        assert_eq!((heater[1].volts, heater[1].amperes), (6.3, 0.30));
        let glow = tube_type("0A2").unwrap();
        assert!(glow.heater.is_empty());
        // 150 V at 17.5 mA with 80 Ω: 148.6 V at no current, by hand.
        let Characteristic::SoftKnee(knee) = glow.units[0].characteristic else {
            panic!("a glow tube is a soft knee");
        };
        assert!((knee.knee_volts - 148.6).abs() < 1e-9);
        assert!((glow.glow.unwrap().strike_volts - 185.0).abs() < 1e-9);
    }
}
