//! Alternating volts of a circuit that is not the drawn one.

use circuit::{Circuit, Conditions, Job, Meter, MeterRange};
use solver::{Phasors, SolveError};

use super::alternating::AcPoint;
use super::alternating_drawn::{hangs_on_diodes, MOST_NODES_VARIED};
use super::finish::Whose;
use super::RowId;

/// What a meter of yours on a range shows at a row of alternating volts, with this circuit in place of
/// the drawing; none where no generator of the row's frequency drives it, where the row states a
/// source of its own, or where the circuit is too large to be solved many times.
///
/// # Errors
/// [`SolveError`] where the circuit has no trustworthy solution.
pub fn alternating_seen(
    job: &Job,
    row: RowId,
    (circuit, conditions): (&Circuit, &Conditions),
    (meter, range): (&Meter, MeterRange),
) -> Result<Option<f64>, SolveError> {
    let row = job.row(row);
    let Some(port) = row.port.filter(|_| row.source.is_none()) else {
        return Ok(None);
    };
    if job.circuit.nodes().len() > MOST_NODES_VARIED || hangs_on_diodes(&job.circuit, port) {
        return Ok(None);
    }
    let point = AcPoint::new(job, &row);
    let drive = point.line_factor(Whose::Bench);
    let phasors = Phasors::new(circuit, conditions, point.hertz, drive)?;
    let (load, scale) = point.load_and_scale(meter, range);
    let volts = phasors.port(port).under(load.siemens).norm() * scale;
    Ok((phasors.is_driven() && volts.is_finite()).then_some(volts))
}
