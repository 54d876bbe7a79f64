//! A minimum with one number far from what is written.
//!
//! Where the drawing is wrong, a descent from the written numbers may end in a minimum beside the likeliest one: the
//! tangents of a transistor that is drawn bottomed or cut off do not lead to one that conducts. So where the values
//! contradict the drawing, the numbers that would explain that are tried far from what is written, and the descent
//! begins there too.

use circuit::{Circuit, DeviceClass, PartKind};

use super::{Fitted, Search};
use crate::data_snooping::DECISIVE_ODDS;
use crate::descent::Descent;
use crate::discrepancy::Discrepancies;
use crate::doubts::Doubts;
use crate::drawing_slips::{numbers_elsewhere, SlipSearch};
use crate::error::ReconcileError;

/// Numbers from which a descent begins at most.
const STARTS: usize = 3;

/// Rows of a table that is looked at, at most: each start reads the whole table some times.
const MOST_ROWS: usize = 120;

impl<'s> Search<'s> {
    /// The likeliest of the minima with a number far from what is written, if the odds of it against the one that was
    /// found are decisive. Without transistors hardly any tangents lead astray, and each start costs as much as the whole
    /// search; and a slip of the pen that was left out explains the table by itself.
    pub(super) fn elsewhere(
        &self,
        (found, fit): (&Descent<'s>, &Fitted),
        misprints: &[bool],
        down: &mut impl FnMut(&mut Descent<'s>) -> Result<Fitted, ReconcileError>,
    ) -> Result<Option<(Descent<'s>, Fitted)>, ReconcileError> {
        let Doubts {
            fit: drawn, out, ..
        } = &self.doubts;
        let contradicted = !out.is_empty() || drawn.agreement().disagrees();
        let left_out = misprints.contains(&true);
        let may_be_trapped = has_transistors(&self.job.circuit);
        if !may_be_trapped || left_out || !contradicted || misprints.len() > MOST_ROWS {
            return Ok(None);
        }
        let mut best = None;
        let mut most = found.log_evidence(fit) + DECISIVE_ODDS.ln();
        let search = SlipSearch {
            reader: self.reader,
            job: self.job,
            table: self.table,
        };
        for (place, sigmas) in numbers_elsewhere(search).into_iter().take(STARTS) {
            let Some(mut descent) = self.begun_elsewhere(place, sigmas) else {
                continue;
            };
            let fit = down(&mut descent)?;
            let evidence = descent.log_evidence(&fit);
            if evidence > most {
                most = evidence;
                best = Some((descent, fit));
            }
        }
        Ok(best)
    }

    /// A descent from where a number is so many standard deviations off what is written; none where the circuit has no
    /// state there.
    fn begun_elsewhere(&self, place: usize, sigmas: f64) -> Option<Descent<'s>> {
        let mut descent = self.written.clone();
        descent.prior = descent.prior.elsewhere(place, sigmas);
        let start = descent.place();
        let seen = descent.readings_at(&start)?;
        for (row, seen) in descent.rows.iter_mut().zip(&seen) {
            (row.model, row.ohms) = (seen.model, seen.ohms);
        }
        descent.discrepancies = Discrepancies::new(&descent.rows, &self.readings, self.is_linear);
        let start = descent.place();
        descent.take(&start, seen);
        Some(descent)
    }
}

/// Whether a transistor is drawn, which may be drawn bottomed or cut off.
fn has_transistors(circuit: &Circuit) -> bool {
    let mut parts = circuit.parts().iter();
    parts.any(|part| match &part.kind {
        PartKind::Device(device) => matches!(
            device.class,
            DeviceClass::Transistor | DeviceClass::FieldEffect
        ),
        _ => false,
    })
}
