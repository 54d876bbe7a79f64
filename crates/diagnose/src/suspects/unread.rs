//! Points of the manual that no used reading is of.

use circuit::{Job, Port, Quantity};

use crate::suspects::bench_model::Probe;
use crate::suspects::reading::{state, Readings, Sources};

/// A point of the manual that has not been read.
#[derive(Clone, Debug)]
pub(crate) struct UnreadPoint {
    /// Index into [`Job::manual`].
    pub(crate) entry: usize,
    pub(crate) probe: Probe,
}

/// The manual's direct-volt points that no used reading is of, on the first bench meter.
pub(crate) fn unread_points(
    job: &Job,
    sources: &Sources<'_>,
    read: &mut Readings,
) -> Vec<UnreadPoint> {
    let mut found: Vec<UnreadPoint> = Vec::new();
    for point in &sources.comparison.translation.points {
        let entry = &job.manual[point.entry];
        let taken = read.used.iter().any(|used| used.entry == Some(point.entry))
            || entry
                .port
                .is_some_and(|port| read.as_printed.contains(&port));
        let (Ok(carried), Some(port), false) = (&point.outcome, entry.port, taken) else {
            continue;
        };
        let doubted = sources.doubted.contains(&point.entry);
        if entry.quantity != Quantity::DcVolts || entry.source.is_some() || doubted {
            continue;
        }
        let Some(side) = carried.bench.first() else {
            continue;
        };
        if !(side.expected.is_finite() && side.input_ohms > 0.0) {
            continue;
        }
        let probe = Probe {
            port,
            siemens: 1.0 / side.input_ohms,
            state: state(&mut read.states, &entry.settings, job.line_factor()),
        };
        // A socket chart repeats the table: one place under one condition is one point.
        let known = |other: Port, at: usize| other == port && at == probe.state;
        let read_already = read.used.iter().any(|used| known(used.port, used.state));
        let listed = found
            .iter()
            .any(|other| known(other.probe.port, other.probe.state));
        if !read_already && !listed {
            found.push(UnreadPoint {
                entry: point.entry,
                probe,
            });
        }
    }
    found
}
