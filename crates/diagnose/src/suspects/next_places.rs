//! Where a probe may be put next: points of the manual not yet read, readings that may be wrong, and
//! every node against its reference. How telling a place is, is not known here.

use circuit::{Job, Port, Quantity};
use translate::hangs_on_diodes;

use crate::suspects::bench_model::Probe;
use crate::suspects::evaluation::Evaluator;
use crate::suspects::group::Posterior;
use crate::suspects::reading::Readings;
use crate::suspects::unread::UnreadPoint;
use crate::worst_case::WorstCaseVolts;

/// Probability from which a wrong reading is worth being read again.
const READ_AGAIN: f64 = 0.05;

/// A place for the probe.
pub(crate) struct Place {
    pub(crate) probe: Probe,
    pub(crate) entry: Option<usize>,
    pub(crate) worst_case_volts: f64,
    /// The used reading that was taken here before.
    pub(crate) again: Option<usize>,
}

/// Points whose reading may well be wrong: to read them again costs nothing.
fn read_again(
    job: &Job,
    read: &Readings,
    posteriors: &[Posterior],
    worst_case_volts: &WorstCaseVolts,
) -> Vec<Place> {
    let wrong = posteriors
        .iter()
        .filter(|one| one.probability >= READ_AGAIN);
    let places = wrong.filter_map(|one| {
        let index = one.evaluated.faults.first()?.0.reading()?;
        let place = read.used.iter().position(|used| used.reading == index)?;
        let used = &read.used[place];
        if used.quantity != Quantity::DcVolts {
            return None;
        }
        let meter = job.bench.meters.first()?;
        let range = meter.ranges.last()?;
        Some(Place {
            probe: Probe {
                port: used.port,
                siemens: 1.0 / meter.input_ohms(*range),
                state: used.state,
            },
            entry: used.entry,
            worst_case_volts: worst_case_volts.at(used.port),
            again: Some(place),
        })
    });
    places.collect()
}

/// Unread points of the manual, then every node against its island's reference, the controls as they stood for
/// most readings.
pub(crate) fn places(
    (job, worst_case_volts): (&Job, &WorstCaseVolts),
    evaluator: &Evaluator<'_>,
    (read, unread): (&Readings, &[UnreadPoint]),
    posteriors: &[Posterior],
) -> Vec<Place> {
    let mut found: Vec<Place> = unread
        .iter()
        .map(|point| Place {
            probe: point.probe,
            entry: Some(point.entry),
            worst_case_volts: worst_case_volts.at(point.probe.port),
            again: None,
        })
        .collect();
    found.extend(read_again(job, read, posteriors, worst_case_volts));
    let Some(siemens) = job.bench.meters.first().and_then(|meter| {
        let range = meter.ranges.last()?;
        Some(1.0 / meter.input_ohms(*range))
    }) else {
        return found;
    };
    let state = read.usual_state();
    for island in circuit::islands(&job.circuit) {
        let Some(minus) = island.references.first().copied() else {
            continue;
        };
        for plus in island.nodes.iter().copied().filter(|node| *node != minus) {
            let port = Port { plus, minus };
            let known = found
                .iter()
                .any(|place| place.again.is_none() && place.probe.port == port);
            let mut used = read.used.iter();
            let taken = used.any(|used| used.port == port && used.state == state)
                || read.as_printed.contains(&port);
            let floats = evaluator.bench.floats(state, port);
            // Behind the plate of a rectifier is a winding that is not drawn, with all its volts.
            let live = hangs_on_diodes(&job.circuit, port);
            if !known && !taken && !floats && !live {
                found.push(Place {
                    probe: Probe {
                        port,
                        siemens,
                        state,
                    },
                    entry: None,
                    worst_case_volts: worst_case_volts.at(port),
                    again: None,
                });
            }
        }
    }
    found
}
