//! Tube types that a job describes itself, in addition to those of the catalogue.
//!
//! A data sheet's class and points, a base, and a characteristic fitted elsewhere come in; a
//! [`TubeType`] like any other goes out. The job's file format is not known here.

use thiserror::Error;

use super::base::{pins, Electrode, Pin};
use super::class::TubeClass;
use super::sheet::TubeSheet;
use super::tube::{HeaterRating, TubeType, TubeUnit, DIODE_SECTION};
use super::tube_types;
use crate::characteristic::Characteristic;

/// Base, pins and heater of a tube.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Basing {
    /// Designation of its base; may be empty.
    pub base: String,
    /// What each pin leads to.
    pub pins: Vec<Pin>,
    /// Ways to heat it; none for a cold cathode or if unstated.
    pub heater: Vec<HeaterRating>,
}

/// Why a sheet, a base and a characteristic do not make a tube.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum OwnTypeError {
    /// The characteristic is that of another kind of section.
    #[error("{name}: a {class} has sections of {needs} electrodes, the characteristic has {has}")]
    OtherSection {
        /// Type.
        name: String,
        /// What it is, in words.
        class: &'static str,
        /// Electrodes of its main section.
        needs: usize,
        /// Terminals of the characteristic.
        has: usize,
    },
    /// An electrode is on no pin.
    #[error("{name}: no pin leads to the {electrode} of section {section}")]
    NoPin {
        /// Type.
        name: String,
        /// Electrode.
        electrode: Electrode,
        /// Letter of its section.
        section: char,
    },
}

impl TubeClass {
    /// Whether a tube of this class can be described by the points of its sections.
    pub fn is_described_by_points(self) -> bool {
        !matches!(
            self,
            TubeClass::GlowRegulator
                | TubeClass::OscillatorConverter
                | TubeClass::TriodeHexode
                | TubeClass::TriodeHeptode
                | TubeClass::JoinedTriodeHexode
                | TubeClass::TuningEye
        )
    }

    /// Every class.
    pub const ALL: [TubeClass; 24] = [
        TubeClass::Triode,
        TubeClass::TwinTriode,
        TubeClass::DuoDiodeTriode,
        TubeClass::BeamPower,
        TubeClass::PowerPentode,
        TubeClass::SharpCutoffPentode,
        TubeClass::LowNoisePentode,
        TubeClass::RemoteCutoffPentode,
        TubeClass::PentagridConverter,
        TubeClass::FullWaveRectifier,
        TubeClass::HalfWaveRectifier,
        TubeClass::TwinDiode,
        TubeClass::GlowRegulator,
        TubeClass::DiodeTriode,
        TubeClass::DiodePentode,
        TubeClass::DuoDiodePentode,
        TubeClass::OscillatorConverter,
        TubeClass::TriodeHexode,
        TubeClass::TriodeHeptode,
        TubeClass::JoinedTriodeHexode,
        TubeClass::TuningEye,
        TubeClass::TriodePentode,
        TubeClass::TriodePowerPentode,
        TubeClass::TripleDiodeTriode,
    ];

    /// Sections of the class that have this electrode, counted from 0.
    pub fn sections_with(self, electrode: Electrode) -> Vec<usize> {
        self.sections()
            .iter()
            .enumerate()
            .filter(|(_, section)| section.contains(&electrode))
            .map(|(index, _)| index)
            .collect()
    }

    /// Electrodes that a tube of this class needs and that are on none of these pins, each with
    /// its section.
    pub fn without_pin(self, pins: &[Pin]) -> Vec<(usize, Electrode)> {
        let led = |unit: usize, electrode: Electrode| {
            pins.iter()
                .any(|pin| pin.electrode == electrode && pin.unit.is_none_or(|own| own == unit))
        };
        self.sections()
            .iter()
            .enumerate()
            .flat_map(|(unit, section)| section.iter().map(move |electrode| (unit, *electrode)))
            .filter(|(unit, electrode)| !led(*unit, *electrode))
            .collect()
    }
}

impl Electrode {
    /// Every electrode that a base can bring out.
    pub const ALL: [Electrode; 21] = [
        Electrode::Plate,
        Electrode::Grid,
        Electrode::Screen,
        Electrode::Suppressor,
        Electrode::OscillatorGrid,
        Electrode::SignalGrid,
        Electrode::InjectionGrid,
        Electrode::Cathode,
        Electrode::OscillatorAnode,
        Electrode::Target,
        Electrode::DiodePlate,
        Electrode::DiodeCathode,
        Electrode::Heater,
        Electrode::HeaterTap,
        Electrode::Filament,
        Electrode::Anode,
        Electrode::InternalShield,
        Electrode::Shield,
        Electrode::NoConnection,
        Electrode::InternalConnection,
        Electrode::Jumper,
    ];
}

impl Pin {
    /// A pin by the symbol of a basing diagram, such as `P2` or `NC`; none if it is not
    /// understood.
    pub fn by_symbol(number: u8, symbol: &str, class: TubeClass) -> Option<Pin> {
        if symbol.contains(';') {
            return None;
        }
        let pin = pins(&format!("1 {symbol}"), class)?.pop()?;
        Some(Pin { number, ..pin })
    }
}

impl TubeType {
    /// A tube that a job describes: its sheet, its base, and the characteristic of its main
    /// section and of the triode beside a pentode. Diodes on the cathode of an amplifier are those of
    /// the catalogue.
    ///
    /// # Errors
    /// [`OwnTypeError`] if the characteristic is that of another class, or an electrode has no pin.
    pub fn of_sheet(
        sheet: &TubeSheet,
        basing: Basing,
        main: Characteristic,
        triode: Option<Characteristic>,
    ) -> Result<TubeType, OwnTypeError> {
        let class = sheet.class;
        let sections = class.sections();
        let needs = sections.first().map_or(0, |section| section.len());
        let has = main.terminals();
        if needs != has {
            return Err(OwnTypeError::OtherSection {
                name: sheet.name.clone(),
                class: class.words(),
                needs,
                has,
            });
        }
        if let Some((section, electrode)) = class.without_pin(&basing.pins).first() {
            return Err(OwnTypeError::NoPin {
                name: sheet.name.clone(),
                electrode: *electrode,
                section: section_letter(*section),
            });
        }
        let units = sections
            .into_iter()
            .map(|electrodes| TubeUnit {
                electrodes,
                characteristic: match triode {
                    _ if electrodes.contains(&Electrode::DiodePlate) => {
                        Characteristic::VacuumDiode(DIODE_SECTION)
                    }
                    Some(triode) if electrodes.len() < needs => triode,
                    _ => main,
                },
            })
            .collect();
        let source = sheet.points.first().map(|point| point.source.clone());
        Ok(TubeType {
            name: sheet.name.clone(),
            class,
            heater: basing.heater,
            base: basing.base,
            pins: basing.pins,
            units,
            glow: None,
            residuals: String::new(),
            base_status: "stated by the job".to_owned(),
            data_status: "stated by the job".to_owned(),
            source: source.unwrap_or_default(),
        })
    }

    /// A type of this name, class and base with the characteristic of some type of its class: it
    /// names terminals and pins, and must not be used for computing.
    pub fn stand_in(name: &str, class: TubeClass, basing: Basing) -> Option<TubeType> {
        let other = tube_types().find(|tube| tube.class == class)?;
        Some(TubeType {
            name: name.to_owned(),
            heater: basing.heater,
            base: basing.base,
            pins: basing.pins,
            ..other.clone()
        })
    }

    /// A type of this name whose description could not be read: without sections, so that nothing else is said of
    /// a line that names it.
    pub fn unread(name: &str) -> Option<TubeType> {
        let unread = TubeType::stand_in(name, TubeClass::Triode, Basing::default())?;
        Some(TubeType {
            units: Vec::new(),
            ..unread
        })
    }
}

/// `A` for the first section, `B` for the second.
fn section_letter(section: usize) -> char {
    u8::try_from(section)
        .ok()
        .and_then(|index| b'A'.checked_add(index))
        .map_or('?', char::from)
}

#[cfg(test)]
#[path = "own_tests.rs"]
mod tests;
