//! The drawing with a change, and the manual read by it.

use std::sync::Arc;

use circuit::{Alteration, Job};

use super::search::{Fitted, Search};
use crate::manual_table::{read_table, ManualTable, Meters};
use crate::reader::Reader;
use crate::reconciled::Reconciled;

/// The drawing with a change.
pub(super) struct Changed {
    pub(super) job: Arc<Job>,
    pub(super) reader: Reader,
    /// The manual read anew: ranges that are not stated go by the drawing.
    table: ManualTable,
}

impl Changed {
    /// None where the circuit has no state or cannot predict the same values.
    pub(super) fn of(reconciled: &Reconciled, alteration: &Alteration) -> Option<Self> {
        let job = Arc::new(Job {
            circuit: reconciled.job.circuit.altered(alteration),
            ..Job::clone(&reconciled.job)
        });
        let mut reader = Reader::new(&job);
        let table = read_table(&mut reader, &job, Meters::AS_STATED).ok()?;
        let same = table.rows.len() == reconciled.table.rows.len();
        same.then_some(Changed { job, reader, table })
    }

    pub(super) fn search(&self) -> Search<'_> {
        Search {
            reader: &self.reader,
            job: &self.job,
            table: &self.table,
        }
    }

    /// The table fitted by the tangents at what is written.
    pub(super) fn fitted(&self) -> Option<Fitted> {
        Fitted::of(None, self.reader.prior.clone(), &self.table.rows)
    }
}
