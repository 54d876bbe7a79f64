//! Supplies taken as they were read on the bench.
//!
//! One low rail lowers every point of a set, and each of them would fail. Readings at the terminals
//! of drawn supplies come in; the volts to hold those supplies at go out, so that all other points
//! are judged for what the rail is. The rail's own point is not: it stays compared with the manual.
//!
//! A reading counts as exact here. It was taken with the meter that reads the other points, so
//! most of its error is theirs too.

use circuit::{Job, PartId, PartKind, Port, Quantity, Setting, SettingValue, Shown};
use thiserror::Error;

/// A supply and the reading it is taken at.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RailAsRead {
    /// The supply.
    pub part: PartId,
    /// Index into [`Job::readings`].
    pub reading: usize,
    /// Volts from its minus to its plus terminal.
    pub volts: f64,
}

/// Why supplies cannot be taken as read.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RailsError {
    /// No reading was taken across the terminals of a drawn supply.
    #[error("no reading was taken across a supply of the drawn circuit")]
    NoRail,
    /// The readings are of more than one set or day, which may have had different rails.
    #[error("supply {supply} was read as {first} V and as {second} V, in different sets or on different days")]
    SeveralSets {
        /// The supply's designator.
        supply: String,
        /// Volts of one reading.
        first: f64,
        /// Volts of another.
        second: f64,
    },
}

/// Every supply that was read; of several readings of one set on one day the last counts.
///
/// # Errors
/// [`RailsError`].
pub fn rails_as_read(job: &Job) -> Result<Vec<RailAsRead>, RailsError> {
    let mut rails: Vec<RailAsRead> = Vec::new();
    for (index, part) in job.circuit.parts().iter().enumerate() {
        let (PartKind::Supply(_), [plus, minus]) = (&part.kind, part.nodes.as_slice()) else {
            continue;
        };
        let across = |port: Port| match port {
            Port { plus: a, minus: b } if (a, b) == (*plus, *minus) => Some(1.0),
            Port { plus: a, minus: b } if (b, a) == (*plus, *minus) => Some(-1.0),
            _ => None,
        };
        let mut found: Option<RailAsRead> = None;
        for (reading, taken) in job.readings.iter().enumerate() {
            let sign = taken.port.and_then(across);
            let (Some(sign), Shown::Value(figure)) = (sign, &taken.shown) else {
                continue;
            };
            if !is_dc_volts(job, &taken.point) || is_set(job, &taken.point, PartId(index)) {
                continue;
            }
            let here = RailAsRead {
                part: PartId(index),
                reading,
                volts: sign * figure.value,
            };
            if let Some(before) = found {
                let other = &job.readings[before.reading];
                if (&other.set, &other.date) != (&taken.set, &taken.date) {
                    return Err(RailsError::SeveralSets {
                        supply: part.designator.clone(),
                        first: before.volts,
                        second: here.volts,
                    });
                }
            }
            found = Some(here);
        }
        rails.extend(found);
    }
    if rails.is_empty() {
        return Err(RailsError::NoRail);
    }
    Ok(rails)
}

/// Readings carry no quantity of their own: it is that of the manual's row, or direct volts.
fn is_dc_volts(job: &Job, point: &str) -> bool {
    let row = job.manual.iter().find(|entry| entry.point == point);
    row.is_none_or(|entry| entry.quantity == Quantity::DcVolts)
}

/// Whether the row of a reading sets this supply to other volts: it says nothing of the rail as it is.
fn is_set(job: &Job, point: &str, supply: PartId) -> bool {
    let row = job.row_named(point).map(|id| job.row(id));
    row.is_some_and(|row| row.settings.iter().any(|own| own.part == supply))
}

impl RailAsRead {
    /// The supply held at what was read.
    pub fn setting(&self) -> Setting {
        Setting {
            part: self.part,
            value: SettingValue::Held(self.volts),
        }
    }
}

/// The bench's settings for a point: the row's own and the rails, but for a rail read at the very
/// terminals of its supply, and one that the row sets.
pub(crate) fn bench_settings(job: &Job, row: &[Setting], port: Port) -> Vec<Setting> {
    let own = |setting: &&Setting| {
        let nodes = &job.circuit.part(setting.part).nodes;
        let ends = (nodes.first().copied(), nodes.get(1).copied());
        ends != (Some(port.plus), Some(port.minus)) && ends != (Some(port.minus), Some(port.plus))
    };
    let is_set = |rail: &&Setting| row.iter().any(|own| own.part == rail.part);
    let rails = job.bench.rails.iter().filter(own);
    let rails = rails.filter(|rail| !is_set(rail));
    row.iter().chain(rails).copied().collect()
}
