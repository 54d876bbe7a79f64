//! The drawing with a change, the manual read by it, and the search for what it asks for.

use std::sync::Arc;

use circuit::{resolve, Alteration, Circuit, Commons, Job, ManualEntry};

use super::search::{worth_a_search, Fitted, SlipSearch};
use super::{DrawingChange, DrawingSlip, Tried};
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
        let job = Arc::new(drawn_otherwise(&reconciled.job, alteration));
        let mut reader = Reader::new(&job);
        let table = read_table(&mut reader, &job, Meters::AS_STATED).ok()?;
        let same = table.rows.len() == reconciled.table.rows.len();
        same.then_some(Changed { job, reader, table })
    }

    pub(super) fn search(&self) -> SlipSearch<'_> {
        SlipSearch {
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

/// The job with a change of its drawing. A row that names a terminal, `Q1 emitter`, goes where that terminal goes.
pub(super) fn drawn_otherwise(job: &Job, alteration: &Alteration) -> Job {
    let mut other = Job {
        circuit: job.circuit.altered(alteration),
        ..Job::clone(job)
    };
    let place = |circuit: &Circuit, entry: &ManualEntry| {
        resolve(circuit, &entry.at, &entry.against, &Commons::default()).ok()
    };
    for entry in &mut other.manual {
        let drawn = place(&job.circuit, entry);
        if drawn.is_some() && drawn == entry.port {
            entry.port = place(&other.circuit, entry).or(entry.port);
        }
    }
    other
}

/// Some changes of the drawing, each where its search ends. `begun` fits the table at a change's best start; `found`
/// says what the change is and its probability beforehand.
pub(super) fn searched<T: Send + Sync>(
    reconciled: &Reconciled,
    changes: Vec<T>,
    alteration: impl Fn(&T) -> Alteration + Sync,
    begun: impl Fn(&T, &Changed) -> Option<Fitted> + Sync,
    found: impl Fn(&T, &Fitted) -> Option<(DrawingChange, f64)> + Sync,
) -> Vec<Tried> {
    let mut starts: Vec<(T, Changed, Fitted)> = parallel::filter_map(changes, |change| {
        let changed = Changed::of(reconciled, &alteration(&change))?;
        let begun = begun(&change, &changed)?;
        Some((change, changed, begun))
    });
    worth_a_search(&mut starts, |(_, _, fitted)| fitted);
    parallel::filter_map(starts, |(change, changed, begun)| {
        let done = changed.search().finished(begun);
        let mut alteration = alteration(&change);
        let (change, share) = found(&change, &done)?;
        if let DrawingChange::NotDrawn { likely, .. } = change {
            let bridges = alteration.bridges.iter_mut();
            bridges.for_each(|bridge| bridge.ohms = likely.value);
        }
        Some(Tried {
            slip: DrawingSlip {
                change,
                agreement: done.agreement(),
                log_odds: done.log_likelihood() + share.ln(),
            },
            alteration,
            agrees: done.agrees(),
        })
    })
}
