//! Printed values that their meter cannot have read.
//!
//! A row of the manual and the drawn circuit come in. A current into the port that makes the meter show what is
//! printed stands for all that the drawing may lack; without the meter that current alone raises the volts. Where
//! nearly nothing of them would be left to the meter, nobody would have read them with it. At the grid of a tube that is a
//! contact bias behind its leak, printed from another meter; elsewhere the drawing is rather wrong. Whether the value is
//! doubted is not known here.

use circuit::{Conditions, Job, Part};
use solver::Load;

use crate::manual_table::Taken;
use crate::observation::Printed;
use crate::states::States;

/// A meter that leaves less than one part in so many of the volts is none that anybody reads them with (assumed, no
/// source).
const MOST_LOADED: f64 = 20.0;

/// Whether the meter of a row at the grid of a tube would leave next to nothing of the volts that it is said to show.
pub(crate) fn is_overloaded(states: &States, job: &Job, taken: &Taken) -> bool {
    let ends = [taken.port.plus, taken.port.minus];
    let mut grids = job.circuit.parts().iter().flat_map(Part::grids);
    if !grids.any(|grid| ends.contains(&grid)) {
        return false;
    }
    let entry = taken.entries[0];
    let printed = Printed::of(job, entry).value;
    let conditions = Conditions {
        settings: job.manual[entry].settings.clone(),
        ..Conditions::default()
    };
    let open = states.at(&conditions).ok().and_then(|solution| {
        let siemens = taken.siemens(job);
        let shown = solution.anchored(taken.port, siemens, printed, None).ok()?;
        let without = Load {
            siemens: 0.0,
            amperes: shown.load.amperes,
        };
        solution.reading(without, &shown).ok()
    });
    open.is_some_and(|open| open.abs() > MOST_LOADED * printed.abs())
}
