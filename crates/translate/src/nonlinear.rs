//! The states of a point in a circuit with tubes or semiconductors: the manual's meter reading
//! what is printed, and nothing on the point at all.
//!
//! Made once for each point; every bench meter and range starts from them.

use circuit::Port;
use solver::{Load, Metered, Solution, SolveError};

/// What the manual says of a point.
#[derive(Clone, Copy, Debug)]
pub(crate) struct ManualReading {
    /// The printed value in volts.
    pub(crate) printed: f64,
    /// Conductance of the manual's meter in siemens.
    pub(crate) siemens: f64,
}

/// States of one point under the manual's conditions.
#[derive(Clone, Debug)]
pub(crate) struct NonlinearStates {
    /// The manual's meter on the point, reading what is printed.
    pub(crate) anchored: Metered,
    /// The same current, no meter.
    pub(crate) free: Metered,
}

impl NonlinearStates {
    /// Finds them.
    ///
    /// # Errors
    /// [`SolveError`] if no state reads the printed value.
    pub(crate) fn new(
        solution: &Solution,
        port: Port,
        reading: ManualReading,
    ) -> Result<Self, SolveError> {
        let meter = Load {
            siemens: reading.siemens,
            amperes: 0.0,
        };
        let own = solution.metered(port, meter, None)?;
        let anchored = solution.anchored(port, reading.siemens, reading.printed, Some(&own))?;
        let unloaded = Load {
            siemens: 0.0,
            amperes: anchored.load.amperes,
        };
        Ok(NonlinearStates {
            free: solution.metered(port, unloaded, Some(&anchored))?,
            anchored,
        })
    }
}
