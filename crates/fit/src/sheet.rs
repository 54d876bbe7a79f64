//! What a data sheet says about one section of a tube.

use circuit::{DataPoint, GridCurrent, PointKind, TubeClass, TubeSheet};

use crate::error::FitError;

/// Which law a section follows, and what of it is not fitted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SectionKind {
    /// Vacuum diode of a contact potential in volts.
    VacuumDiode {
        /// Contact potential in volts: about 0 for rectifiers, −0.1 V for signal diodes.
        contact: f64,
    },
    /// Triode.
    Triode,
    /// Pentode with an even grid.
    Pentode,
    /// Beam tetrode.
    BeamTetrode,
    /// Pentode with a remote-cutoff grid.
    RemotePentode,
    /// Heptode mixer: a remote-cutoff pentode, and one point as a mixer.
    Heptode,
    /// Pentagrid converter.
    Pentagrid,
}

/// The amplification factor that a fit should keep near.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ExpectedMu {
    /// The factor: of the plate for a triode, of grid 1 to the screen for a tube with a screen.
    pub value: f64,
    /// One standard deviation, as a fraction.
    pub spread: f64,
}

/// The points of one section.
#[derive(Clone, Debug, PartialEq)]
pub struct DataSheet {
    /// What the section is.
    pub kind: SectionKind,
    /// Its points.
    pub points: Vec<DataPoint>,
    /// Amplification factor to keep near; if not given, it is taken from the points.
    pub expected_mu: Option<ExpectedMu>,
    /// Grid current to give to the characteristic; it is not fitted.
    pub grid: GridCurrent,
}

/// A fitted amplification factor well above cut-off is this much above the printed one (assumed,
/// no source).
const ABOVE_PRINTED: f64 = 1.03;

/// Its standard deviation, as a fraction (assumed, no source).
const USUAL_SPREAD: f64 = 0.06;

/// Its standard deviation, as a fraction, if it follows from currents and transconductance only.
const DERIVED_SPREAD: f64 = 0.30;

/// Contact potential of signal diodes in volts (from memory).
const SIGNAL_DIODE_CONTACT: f64 = -0.1;

impl DataSheet {
    /// The sheet of a type of the catalogue; none for glow tubes, whose figures are used as they
    /// stand.
    pub fn of_type(sheet: &TubeSheet) -> Option<DataSheet> {
        let kind = match sheet.class {
            TubeClass::Triode
            | TubeClass::TwinTriode
            | TubeClass::DuoDiodeTriode
            | TubeClass::DiodeTriode
            | TubeClass::TripleDiodeTriode
            | TubeClass::TuningEye => SectionKind::Triode,
            TubeClass::BeamPower => SectionKind::BeamTetrode,
            TubeClass::PowerPentode
            | TubeClass::SharpCutoffPentode
            | TubeClass::LowNoisePentode
            | TubeClass::DiodePentode
            | TubeClass::DuoDiodePentode
            | TubeClass::TriodePentode
            | TubeClass::TriodePowerPentode => SectionKind::Pentode,
            TubeClass::RemoteCutoffPentode => SectionKind::RemotePentode,
            TubeClass::TriodeHeptode | TubeClass::JoinedTriodeHexode => SectionKind::Heptode,
            TubeClass::PentagridConverter
            | TubeClass::OscillatorConverter
            | TubeClass::TriodeHexode => SectionKind::Pentagrid,
            TubeClass::FullWaveRectifier | TubeClass::HalfWaveRectifier => {
                SectionKind::VacuumDiode { contact: 0.0 }
            }
            TubeClass::TwinDiode => SectionKind::VacuumDiode {
                contact: SIGNAL_DIODE_CONTACT,
            },
            TubeClass::GlowRegulator => return None,
        };
        let spread = sheet.mu_spread.unwrap_or(USUAL_SPREAD);
        let value = sheet
            .expected_mu
            .or_else(|| printed_mu(kind, &sheet.points));
        Some(DataSheet {
            kind,
            points: sheet.points.clone(),
            expected_mu: value.map(|value| ExpectedMu { value, spread }),
            grid: if sheet.class.is_power() {
                GridCurrent::POWER
            } else {
                GridCurrent::RECEIVING
            },
        })
    }

    /// The sheet of the triode that stands beside a type's pentode, if there is one; beside a mixer with what it
    /// shows as an oscillator.
    pub fn of_triode_section(sheet: &TubeSheet) -> Option<DataSheet> {
        let oscillates = sheet.class.is_triode_mixer();
        let points = sheet.points.iter().filter_map(|point| {
            let kind = match point.kind {
                PointKind::TriodeSection => PointKind::OperatingPoint,
                kind @ (PointKind::OscillatorGrid | PointKind::OscillatorAnode) if oscillates => {
                    kind
                }
                _ => return None,
            };
            Some(DataPoint {
                kind,
                ..point.clone()
            })
        });
        let triode = TubeSheet {
            class: TubeClass::Triode,
            points: points.collect(),
            expected_mu: None,
            mu_spread: None,
            ..sheet.clone()
        };
        let found = !triode.points.is_empty();
        DataSheet::of_type(&triode).filter(|_| found)
    }

    /// The factor to keep near.
    pub(crate) fn mu(&self) -> Result<ExpectedMu, FitError> {
        let derived = || {
            let value = match self.kind {
                SectionKind::Triode => printed_mu(self.kind, &self.points),
                _ => self.operating_points().find_map(screen_mu),
            }?;
            Some(ExpectedMu {
                value,
                spread: DERIVED_SPREAD,
            })
        };
        self.expected_mu
            .or_else(derived)
            .ok_or(FitError::NoOperatingPoint {
                missing: "an amplification factor",
            })
    }

    pub(crate) fn operating_points(&self) -> impl Iterator<Item = &DataPoint> {
        self.points
            .iter()
            .filter(|point| point.kind == PointKind::OperatingPoint)
    }

    /// Whether any of its curves has an emission of its own.
    pub(crate) fn has_measured_curves(&self) -> bool {
        self.points
            .iter()
            .any(|point| point.kind == PointKind::MeasuredCurve)
    }
}

/// The largest of the printed factors, or of a triode's gm·rp where none is printed, raised as usual: the
/// factor of the law is that of a tube well above cut-off, and it falls towards cut-off. In a tube with a screen
/// gm·rp is the factor of the plate, not of the screen.
fn printed_mu(kind: SectionKind, points: &[DataPoint]) -> Option<f64> {
    let is_triode = kind == SectionKind::Triode;
    let of_plate = |point: &DataPoint| is_triode.then_some(point.gm? * point.rp?);
    points
        .iter()
        .filter(|point| point.kind == PointKind::OperatingPoint)
        .filter_map(|point| point.mu.or_else(|| of_plate(point)))
        .reduce(f64::max)
        .map(|largest| ABOVE_PRINTED * largest)
}

/// From the three-halves law: `U = 1.5·It/(gm·It/Ip)` and `U = Vg1 + Vg2/mu`.
fn screen_mu(point: &DataPoint) -> Option<f64> {
    let drive = 1.5 * point.plate_amperes? / point.gm? - point.grid_volts;
    let mu = point.screen_volts? / drive;
    (mu.is_finite() && mu > 0.0).then_some(mu)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of(name: &str) -> DataSheet {
        let own = circuit::tube_sheets().iter().find(|s| s.name == name);
        DataSheet::of_type(own.unwrap()).unwrap()
    }

    #[test]
    fn a_triode_keeps_near_its_largest_printed_factor() {
        // 19.5 and 17 are printed for the 12AU7.
        let mu = of("12AU7").expected_mu.unwrap();
        assert!((mu.value - 1.03 * 19.5).abs() < 1e-9);
        assert!((mu.spread - 0.06).abs() < 1e-12);
        // The 12AT7's varies strongly, and its row says so.
        assert!((of("12AT7").expected_mu.unwrap().spread - 0.20).abs() < 1e-12);
    }

    #[test]
    fn a_screen_factor_that_is_not_given_follows_from_currents_and_transconductance() {
        let mut sheet = of("6SJ7");
        sheet.expected_mu = None;
        // 100 V/−3 V/100 V: 2.9 mA, 1575 µmho: U = 1.5·2.9/1.575 = 2.762 V, 100/(2.762 + 3).
        assert!((sheet.mu().unwrap().value - 17.356).abs() < 1e-2);
    }

    #[test]
    fn power_types_get_the_grid_current_of_power_types_and_glow_tubes_no_fit() {
        assert_eq!(of("EL84").grid, GridCurrent::POWER);
        assert_eq!(of("6AU6").grid, GridCurrent::RECEIVING);
        let glow = circuit::tube_sheets().iter().find(|s| s.name == "0A2");
        assert!(DataSheet::of_type(glow.unwrap()).is_none());
    }
}
