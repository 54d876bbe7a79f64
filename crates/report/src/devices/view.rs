//! What the caller hands over for each device.

use circuit::{DataPoint, SemiconductorType, TubeType};

/// One device that is built in.
#[derive(Clone, Debug)]
pub enum DeviceView<'a> {
    /// A tube.
    Tube(TubeView<'a>),
    /// A semiconductor.
    Semiconductor(&'a SemiconductorType),
}

/// A tube, and how well its model meets its sheet.
#[derive(Clone, Debug)]
pub struct TubeView<'a> {
    /// The type.
    pub tube: &'a TubeType,
    /// Numbers of its sheet, in the sheet's order.
    pub figures: Vec<PointFigure<'a>>,
}

/// One number of a sheet beside what the model gives.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PointFigure<'a> {
    /// The point it belongs to.
    pub point: &'a DataPoint,
    /// Which number of it.
    pub quantity: PointQuantity,
    /// What the sheet says, in the unit of the quantity.
    pub sheet: f64,
    /// What the model gives; none where the two are not compared.
    pub model: Option<f64>,
}

/// A number that a sheet gives for a point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum PointQuantity {
    /// Plate current in amperes.
    PlateCurrent,
    /// Screen current in amperes.
    ScreenCurrent,
    /// Plate and screen together, in amperes.
    CathodeCurrent,
    /// Current through a glow tube, in amperes.
    ThroughCurrent,
    /// Transconductance in siemens.
    Transconductance,
    /// Plate resistance in ohms.
    PlateResistance,
}

impl PointQuantity {
    /// Its name in words.
    pub fn words(self) -> &'static str {
        match self {
            PointQuantity::PlateCurrent => "plate current",
            PointQuantity::ScreenCurrent => "screen current",
            PointQuantity::CathodeCurrent => "cathode current",
            PointQuantity::ThroughCurrent => "current through it",
            PointQuantity::Transconductance => "transconductance",
            PointQuantity::PlateResistance => "plate resistance",
        }
    }

    /// The symbol of its unit.
    pub fn unit(self) -> &'static str {
        match self {
            PointQuantity::PlateCurrent
            | PointQuantity::ScreenCurrent
            | PointQuantity::CathodeCurrent
            | PointQuantity::ThroughCurrent => "A",
            PointQuantity::Transconductance => "S",
            PointQuantity::PlateResistance => "Ω",
        }
    }
}
