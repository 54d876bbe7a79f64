//! What a characteristic makes of the numbers of a data sheet.

use circuit::{Characteristic, DataPoint, PointKind};
use solver::{evaluate, Evaluation, MOST_TERMINALS};

use crate::fit_tolerance::{self, FitTolerance};

/// A number that a data sheet gives.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SheetQuantity {
    /// Plate current in amperes; of a triode-connected tube with a screen in a check, plate and
    /// screen together.
    PlateCurrent,
    /// Screen current in amperes.
    ScreenCurrent,
    /// Transconductance in siemens.
    Transconductance,
    /// Plate resistance in ohms.
    PlateResistance,
}

/// One number of the sheet beside what the characteristic gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Residual {
    /// The point, an index into the sheet's points.
    pub point: usize,
    /// Which number.
    pub quantity: SheetQuantity,
    /// What the sheet says.
    pub want: f64,
    /// What the characteristic gives.
    pub got: f64,
    /// How closely it was to be met.
    pub spread: FitTolerance,
}

impl Residual {
    /// Miss in standard deviations.
    pub fn deviate(&self) -> f64 {
        self.spread.deviate(self.want, self.got)
    }
}

/// A characteristic at every number of its points, checks and measured curves included; currents
/// of measured curves are those of this characteristic, not scaled. In the sheet of a triode-pentode
/// each section has its own points.
pub fn compare(characteristic: &Characteristic, points: &[DataPoint]) -> Vec<Residual> {
    let full_scale = |kind: PointKind| {
        points
            .iter()
            .filter(|point| point.kind == kind)
            .filter_map(|point| point.plate_amperes)
            .fold(0.0, f64::max)
    };
    let two_sections = points
        .iter()
        .any(|point| point.kind == PointKind::TriodeSection);
    let of_triode = |point: &DataPoint| {
        matches!(
            point.kind,
            PointKind::TriodeSection | PointKind::OscillatorAnode | PointKind::OscillatorGrid
        )
    };
    let is_triode = matches!(
        characteristic,
        Characteristic::Triode(_) | Characteristic::Oscillator(_)
    );
    let mut found = Vec::new();
    for (index, point) in points.iter().enumerate() {
        if two_sections && of_triode(point) != is_triode {
            continue;
        }
        let at = AtPoint::new(characteristic, point, points);
        use SheetQuantity::{PlateCurrent, PlateResistance, ScreenCurrent, Transconductance};
        let plate = |spread| (PlateCurrent, point.plate_amperes, at.plate(), spread);
        let screen = |spread| (ScreenCurrent, point.screen_amperes, at.screen(), spread);
        let gm = |spread| (Transconductance, point.gm, at.gm(), spread);
        let numbers = match point.kind {
            PointKind::OperatingPoint
            | PointKind::Drop
            | PointKind::HeldBack
            | PointKind::TriodeSection => vec![
                plate(fit_tolerance::PLATE_CURRENT),
                screen(fit_tolerance::SCREEN_CURRENT),
                gm(fit_tolerance::TRANSCONDUCTANCE),
                (PlateResistance, point.rp, at.rp(), at.rp_spread()),
            ],
            PointKind::Cutoff => vec![plate(fit_tolerance::CUTOFF_CURRENT)],
            PointKind::RemoteTail => vec![gm(fit_tolerance::TAIL_TRANSCONDUCTANCE)],
            PointKind::PublishedCurve | PointKind::MeasuredCurve | PointKind::Check => {
                let spread =
                    FitTolerance::Absolute(fit_tolerance::CURVE_SHARE * full_scale(point.kind));
                let got = match point.kind {
                    PointKind::Check => at.plate() + at.screen(),
                    _ => at.plate(),
                };
                vec![(PlateCurrent, point.plate_amperes, got, spread)]
            }
            PointKind::ConverterOscillating => vec![
                plate(fit_tolerance::PLATE_CURRENT),
                screen(fit_tolerance::SCREEN_CURRENT),
            ],
            // The cathode current of a converter at rest belongs to the other of its two states.
            PointKind::ConverterAtRest | PointKind::Regulator => Vec::new(),
            PointKind::Mixing if matches!(characteristic, Characteristic::Heptode(_)) => vec![
                plate(fit_tolerance::PLATE_CURRENT),
                screen(fit_tolerance::SCREEN_CURRENT),
            ],
            PointKind::OscillatorAnode
                if matches!(characteristic, Characteristic::Oscillator(_)) =>
            {
                vec![plate(fit_tolerance::OSCILLATOR_CURRENT)]
            }
            // Other electrodes than those of the section, or what is found after the search.
            PointKind::Target
            | PointKind::OscillatorAnode
            | PointKind::OscillatorGrid
            | PointKind::Mixing => Vec::new(),
        };
        found.extend(
            numbers
                .into_iter()
                .filter_map(|(quantity, want, got, spread)| {
                    Some(Residual {
                        point: index,
                        quantity,
                        want: want?,
                        got,
                        spread,
                    })
                }),
        );
    }
    found
}

/// A law at the volts of a point.
struct AtPoint {
    found: Evaluation,
    screen: Option<usize>,
    grid: Option<usize>,
}

const PLATE: usize = 0;

impl AtPoint {
    /// A heptode's control grid has the volts of the operating point among its points while it mixes; a triode that
    /// oscillates is at rest but for the current of its anode.
    fn new(characteristic: &Characteristic, point: &DataPoint, points: &[DataPoint]) -> Self {
        let mut volts = [0.0; MOST_TERMINALS];
        volts[PLATE] = point.plate_volts;
        let characteristic = match characteristic {
            Characteristic::Oscillator(_) if point.kind != PointKind::OscillatorAnode => {
                &characteristic.at_rest()
            }
            law => law,
        };
        let (screen, grid) = match characteristic {
            Characteristic::Triode(_) | Characteristic::Oscillator(_) => (None, Some(1)),
            Characteristic::Heptode(_) if point.kind == PointKind::Mixing => {
                let mut operating = points.iter();
                let operating = operating.find(|own| own.kind == PointKind::OperatingPoint);
                volts[2] = operating.map_or(0.0, |own| own.grid_volts);
                (Some(1), Some(3))
            }
            Characteristic::Pentode(_) | Characteristic::Heptode(_) => (Some(1), Some(2)),
            // Its oscillator grid biases itself; the sheet's grid volts are the signal grid's.
            Characteristic::Pentagrid(_) => (Some(1), Some(3)),
            _ => (None, None),
        };
        if let Some(screen) = screen {
            volts[screen] = point.screen_volts.unwrap_or(0.0);
        }
        if let Some(grid) = grid {
            volts[grid] = point.grid_volts;
        }
        AtPoint {
            found: evaluate(characteristic, &volts),
            screen,
            grid,
        }
    }

    fn plate(&self) -> f64 {
        self.found.current[PLATE]
    }

    fn screen(&self) -> f64 {
        self.screen.map_or(0.0, |screen| self.found.current[screen])
    }

    fn gm(&self) -> f64 {
        self.grid
            .map_or(0.0, |grid| self.found.conductance[PLATE][grid])
    }

    fn rp(&self) -> f64 {
        1.0 / self.found.conductance[PLATE][PLATE]
    }

    fn rp_spread(&self) -> FitTolerance {
        if self.screen.is_some() {
            fit_tolerance::PENTODE_RESISTANCE
        } else {
            fit_tolerance::TRIODE_RESISTANCE
        }
    }
}
