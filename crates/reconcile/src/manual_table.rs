//! The manual's direct-volt values as readings of the drawn circuit, and the entries that are left out.
//!
//! A job and the meters it was read with come in, one row for each reading goes out. A value that
//! a socket chart and a table both print, of one place with one meter and range, is one reading
//! printed twice: it counts once, and what is said of it is said of both entries.

use std::collections::HashMap;

use crate::accuracy::AccuracyError;
use crate::range_choice::{choose_range, RangeChoice};
use circuit::{Job, ManualEntry, Meter, Port, PrintedAs, Quantity};
use solver::SolveError;

use crate::error::ReconcileError;
use crate::observation::{NoObservation, Observation, Printed};
use crate::range_candidates::RangeCandidates;
use crate::reader::Reader;
use crate::resolution::read_to;

/// An entry of the manual that is not used here.
#[derive(Clone, Debug, PartialEq)]
pub struct LeftOut {
    /// Index into [`Job::manual`].
    pub entry: usize,
    /// Why.
    pub why: WhyLeftOut,
}

/// Why an entry of the manual is not judged.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyLeftOut {
    /// Only direct volts are judged.
    Quantity(Quantity),
    /// Its source resistance is stated, so no drawn circuit predicts it.
    SourceStated {
        /// The stated ohms.
        ohms: f64,
    },
    /// One limit is printed, and no value.
    OneLimit,
    /// The circuit round it is not drawn.
    NotDrawn,
    /// No direct current can reach the point, so its voltage means nothing.
    Floating,
    /// The circuit as drawn finds no state with the manual's meter on the point.
    NoState(SolveError),
    /// The permitted error of its meter cannot be told.
    Accuracy(AccuracyError),
    /// Its reading or how it follows the parts is no finite number, as with a meter that lists no
    /// range for it.
    NotFinite,
}

/// One reading: a place, a value, a meter and range.
#[derive(Clone, Debug)]
pub(crate) struct Taken {
    /// The entries that print it; the words of the first are used.
    pub(crate) entries: Vec<usize>,
    pub(crate) port: Port,
    pub(crate) range: RangeChoice,
    /// Logarithm of how likely that range is beforehand, beside the lowest that holds the value.
    pub(crate) log_weight: f64,
    /// The same reading on the other range, with the weight of that, where its meter is in
    /// question.
    pub(crate) otherwise: Option<(Observation, f64)>,
}

/// Every reading of the table.
#[derive(Clone, Debug, Default)]
pub(crate) struct ManualTable {
    pub(crate) taken: Vec<Taken>,
    /// In the order of `taken`.
    pub(crate) rows: Vec<Observation>,
    pub(crate) left_out: Vec<LeftOut>,
}

/// Which meter the readings are taken to be of.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Meters<'a> {
    /// Entries whose meter is not the one the job says, and …
    pub(crate) vary: &'a [usize],
    /// … the one it is instead.
    pub(crate) instead: Option<&'a Meter>,
}

impl Taken {
    /// Conductance of its meter on its range, in siemens.
    pub(crate) fn siemens(&self, job: &Job) -> f64 {
        let meter = &job.manual[self.entries[0]].meter;
        1.0 / meter.input_ohms(self.range.range)
    }
}

impl Meters<'_> {
    pub(crate) const AS_STATED: Meters<'static> = Meters {
        vary: &[],
        instead: None,
    };

    /// Whether the meter of an entry is not known.
    fn in_question(&self, entry: usize) -> bool {
        self.instead.is_some() && self.vary.contains(&entry)
    }

    fn of<'m>(&'m self, job: &'m Job, entry: usize) -> &'m Meter {
        match self.instead {
            Some(meter) if self.vary.contains(&entry) => meter,
            _ => &job.manual[entry].meter,
        }
    }
}

/// Reads the whole table.
///
/// # Errors
/// [`ReconcileError::Unsolved`] if a circuit that some entry rests on has no solution.
pub(crate) fn read_table(
    reader: &mut Reader,
    job: &Job,
    meters: Meters<'_>,
) -> Result<ManualTable, ReconcileError> {
    let mut table = ManualTable::default();
    let readings = readings(job, meters, &mut table.left_out);
    for some in readings.chunks(AT_ONCE) {
        let seen = parallel::map(some, |(entries, port)| {
            let index = entries[0];
            let meter = meters.of(job, index);
            let candidates = RangeCandidates::of(job, index, meter, meters.in_question(index));
            let seen = candidates.seen(reader, *port);
            (candidates, seen)
        });
        for ((entries, port), (candidates, seen)) in some.iter().zip(seen) {
            let why = match candidates.read(reader, seen) {
                Ok(read) => {
                    table.taken.push(Taken {
                        entries: entries.clone(),
                        port: *port,
                        range: read.range,
                        log_weight: read.log_weight,
                        otherwise: read.otherwise,
                    });
                    table.rows.push(read.row);
                    continue;
                }
                Err(NoObservation::Unsolved(error)) => return Err(error.into()),
                Err(NoObservation::Floating) => WhyLeftOut::Floating,
                Err(NoObservation::NoState(error)) => WhyLeftOut::NoState(error),
                Err(NoObservation::Accuracy(error)) => WhyLeftOut::Accuracy(error),
                Err(NoObservation::NotFinite) => WhyLeftOut::NotFinite,
            };
            table.left_out.extend(entries.iter().map(|entry| LeftOut {
                entry: *entry,
                why: why.clone(),
            }));
        }
    }
    table.left_out.sort_by_key(|left| left.entry);
    Ok(table)
}

/// Readings computed at the same time; more would only use more memory.
pub(crate) const AT_ONCE: usize = 64;

/// The readings of the table, each with the entries that print it and its port; other entries are left
/// out.
fn readings(job: &Job, meters: Meters<'_>, left_out: &mut Vec<LeftOut>) -> Vec<(Vec<usize>, Port)> {
    let mut readings: Vec<(Vec<usize>, Port)> = Vec::new();
    let mut at_port: HashMap<Port, Vec<usize>> = HashMap::new();
    for (entry, printed) in job.manual.iter().enumerate() {
        match port(printed) {
            Ok(port) => {
                let there = at_port.entry(port).or_default();
                let same =
                    |known: &&usize| same_reading(job, meters, readings[**known].0[0], entry);
                match there.iter().find(same) {
                    Some(twin) => readings[*twin].0.push(entry),
                    None => {
                        there.push(readings.len());
                        readings.push((vec![entry], port));
                    }
                }
            }
            Err(why) => left_out.push(LeftOut { entry, why }),
        }
    }
    readings
}

impl Printed {
    /// What an entry prints.
    pub(crate) fn of(job: &Job, entry: usize) -> Self {
        Printed {
            value: job.manual[entry].figure.value,
            resolution: read_to(job, entry),
        }
    }
}

/// Where an entry's probes go, if the drawn circuit can tell what they read.
fn port(entry: &ManualEntry) -> Result<Port, WhyLeftOut> {
    match (entry.quantity, entry.source, entry.port) {
        (Quantity::DcVolts, _, _) if entry.printed_as == PrintedAs::OneLimit => {
            Err(WhyLeftOut::OneLimit)
        }
        (Quantity::DcVolts, None, Some(port)) => Ok(port),
        (Quantity::DcVolts, Some(ohms), _) => Err(WhyLeftOut::SourceStated { ohms }),
        (Quantity::DcVolts, None, None) => Err(WhyLeftOut::NotDrawn),
        (other, _, _) => Err(WhyLeftOut::Quantity(other)),
    }
}

/// Whether two entries print one reading. Meters are compared as the job states them, so that the
/// table has the same readings whatever meter is tried.
fn same_reading(job: &Job, meters: Meters<'_>, one: usize, other: usize) -> bool {
    let varied = |entry: usize| meters.vary.contains(&entry);
    let (a, b) = (&job.manual[one], &job.manual[other]);
    let full_scale = |entry: &ManualEntry| {
        choose_range(&entry.meter, entry.range, entry.figure.value)
            .range
            .full_scale
    };
    let same = |x: f64, y: f64| (x - y).abs() <= 1e-9 * x.abs();
    let same_range = if varied(one) {
        match (a.range, b.range) {
            (Some(x), Some(y)) => same(x, y),
            (None, None) => true,
            _ => false,
        }
    } else {
        same(full_scale(a), full_scale(b))
    };
    a.port == b.port
        && a.settings == b.settings
        && same(a.figure.value, b.figure.value)
        && varied(one) == varied(other)
        && a.meter == b.meter
        && same_range
}
