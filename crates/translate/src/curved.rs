//! The states of a point in a circuit with tubes or semiconductors: the manual's meter reading
//! what is printed, the limits of the band, and nothing on the point at all.
//!
//! Made once for each point; every bench meter and range starts from them.

use circuit::Port;
use solver::{Load, Metered, Solution, SolveError};

use crate::band::Band;

/// What the manual says of a point.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ManualReading {
    /// The printed value in volts.
    pub(crate) printed: f64,
    /// Conductance of the manual's meter in siemens.
    pub(crate) siemens: f64,
    /// The limits that the manual allows.
    pub(crate) band: Band,
}

/// States of one point under the manual's conditions.
#[derive(Clone, Debug)]
pub(crate) struct Curved {
    /// The manual's meter on the point, reading what is printed.
    pub(crate) anchored: Metered,
    /// The same current, no meter.
    pub(crate) free: Metered,
    /// The model's own state through the manual's meter.
    pub(crate) own: Metered,
    /// The manual's meter reading each limit of the band.
    limits: Vec<Metered>,
}

impl Curved {
    /// Finds them, starting from those of the same point under another meter.
    ///
    /// # Errors
    /// [`SolveError`] if no state reads the printed value or a limit.
    pub(crate) fn new(
        solution: &Solution,
        port: Port,
        reading: ManualReading,
        near: Option<&Curved>,
    ) -> Result<Self, SolveError> {
        let near = near.map(|curved| &curved.own);
        let meter = Load {
            siemens: reading.siemens,
            amperes: 0.0,
        };
        let own = solution.metered(port, meter, near)?;
        let reads = |volts: f64, near: &Metered| {
            solution.anchored(port, reading.siemens, volts, Some(near))
        };
        let anchored = reads(reading.printed, &own)?;
        let unloaded = Load {
            siemens: 0.0,
            amperes: anchored.load.amperes,
        };
        let limits = [reading.band.low, reading.band.high]
            .into_iter()
            .flatten()
            .map(|limit| reads(limit, &anchored))
            .collect::<Result<Vec<Metered>, SolveError>>()?;
        Ok(Curved {
            free: solution.metered(port, unloaded, Some(&anchored))?,
            own,
            anchored,
            limits,
        })
    }

    /// The state in which the manual's meter reads these volts, if it is one of those kept.
    pub(crate) fn kept(&self, volts: f64) -> Option<&Metered> {
        // Held volts are met to rounding; limits of a band lie much further apart.
        let close = |state: &&Metered| (state.volts - volts).abs() <= 1e-7 * (1.0 + volts.abs());
        std::iter::once(&self.anchored)
            .chain(&self.limits)
            .find(close)
    }
}
