//! An ohmmeter on a point: the drawing's resistance under its own test volts.

use circuit::{Job, ManualRow, Meter, MeterRange, OhmRange, Ohmmeter, Port};
use solver::{Lead, ParameterId, PowerOff, SolveError, TestSource};

use super::circuits::Circuits;
use super::finish::{finish, Met, Ready};
use super::row_inputs::said;
use super::{Modelled, NoAnswer, QuantityCarried, QuantityRemark, Said};

/// A capacitor of so many farads drifts an ohms reading long enough to be noticed: 1 µF behind
/// 1 MΩ takes a second.
const CHARGES: f64 = 1e-6;

/// A drift by a smaller share is not worth a line: the usual parts of 20 % leave as much open.
const DRIFTS: f64 = 0.2;

/// A range changes what a junction reads, which changes the range; after so many tries the last
/// one stands.
const MOST_RANGES: usize = 4;

/// Two readings that differ by less than this share are one: less than any pointer shows.
const SAME: f64 = 0.01;

/// Ohms that wires, contacts and leads of one node may have in a chart (common practice, no source).
const OF_WIRES: f64 = 1.0;

/// Carries a resistance over.
pub(super) fn carry(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
    known: &mut Circuits<'_>,
) -> Result<QuantityCarried, NoAnswer> {
    let charges = charges(row, meters, known);
    let off = match row.port {
        Some(_) => Some(known.off(row.settings).map_err(NoAnswer::Unsolved)?),
        None => None,
    };
    let drawn = off.zip(row.port);
    if let (Some(port), Said::Value(ohms)) = (row.port, said(row)) {
        if port.plus == port.minus && ohms > OF_WIRES {
            return Err(NoAnswer::OnOneNode);
        }
    }
    let met = |meter: &Meter, printed: Option<f64>| match drawn {
        Some((off, port)) if !(off.is_open(port) && printed.is_some()) => {
            // A limit is printed: what the drawing reads is read on its own range.
            on_drawing(off, port, meter, printed.filter(|_| !row.one_limit))
        }
        _ => Ok(bare(meter, printed)),
    };
    let printed = row.figure.map(|figure| figure.value);
    let manual = row.meter.map(|meter| met(meter, printed)).transpose();
    let manual = manual.map_err(NoAnswer::Unsolved)?.flatten();
    let mut remarks = Vec::new();
    if let Some((off, port)) = drawn {
        if off.is_open(port) && matches!(said(row), Said::Value(_)) {
            remarks.push(QuantityRemark::DrawnOpen);
        }
        if charges {
            remarks.push(QuantityRemark::Charging);
        }
    }
    let ready = Ready {
        circuit: off.map_or(&job.circuit, PowerOff::circuit),
        manual,
        remarks,
    };
    finish(job, row, meters, ready, met)
}

/// An ohmmeter on the drawing, its red lead on the first point.
///
/// Where the `printed` ohms belong on another range than the drawing's, either way round, the meter
/// stands on theirs: there it would be read, and there its error holds.
fn on_drawing(
    off: &PowerOff,
    port: Port,
    meter: &Meter,
    printed: Option<f64>,
) -> Result<Option<Met>, SolveError> {
    let Some(own) = &meter.ohmmeter else {
        return Ok(None);
    };
    let lead = red(own);
    let Some((mut range, mut model)) = on_own_range(off, port, own, lead)? else {
        return Ok(None);
    };
    let other = match off.circuit().has_semiconductors() {
        true => on_own_range(off, port, own, exchanged(lead))?,
        false => None,
    };
    let turned_range = other.as_ref().map(|(range, _)| *range);
    let mut other = other.map(|(_, other)| other);
    let mut at = model.value;
    let theirs = printed.and_then(|ohms| Some((ohms, own.range_for(ohms)?)));
    let theirs = theirs.filter(|(_, theirs)| *theirs != range && Some(*theirs) != turned_range);
    if let Some((ohms, theirs)) = theirs {
        (range, at) = (theirs, ohms);
        model = on_range(off, port, range, lead)?;
        if other.is_some() {
            other = Some(on_range(off, port, range, exchanged(lead))?);
        }
    }
    let other = other.filter(|other| differ(model.value, other.value));
    Ok(Some(Met {
        range: range_of(range),
        input_ohms: range.ohms,
        error: own.half_width(range, at, meter.counts),
        most: own.most(),
        model,
        exchanged: other,
        gain: 1.0,
    }))
}

/// An ohmmeter where nothing is drawn.
fn bare(meter: &Meter, printed: Option<f64>) -> Option<Met> {
    let own = meter.ohmmeter.as_ref()?;
    let range = own.range_for(printed.unwrap_or(0.0))?;
    Some(Met {
        range: range_of(range),
        input_ohms: range.ohms,
        error: printed.and_then(|ohms| own.half_width(range, ohms, meter.counts)),
        most: own.most(),
        model: Modelled::nothing(),
        exchanged: None,
        gain: 1.0,
    })
}

fn range_of(range: OhmRange) -> MeterRange {
    MeterRange {
        full_scale: range.full_scale.unwrap_or(range.ohms),
        input: Some(range.ohms),
    }
}

/// The drawing's reading with a lead on the first point, on the range that a technician ends on.
fn on_own_range(
    off: &PowerOff,
    port: Port,
    meter: &Ohmmeter,
    lead: Lead,
) -> Result<Option<(OhmRange, Modelled)>, SolveError> {
    if meter.ranges.is_empty() {
        return Ok(None);
    }
    // A technician starts on a low range and goes up until it reads.
    let mut range = meter.ranges[0];
    let mut found = on_range(off, port, range, lead)?;
    for _ in 0..MOST_RANGES {
        let Some(next) = meter.range_for(found.value) else {
            break;
        };
        if next == range {
            break;
        }
        range = next;
        found = on_range(off, port, range, lead)?;
    }
    Ok(Some((range, found)))
}

/// The drawing's reading on a given range, in ohms.
fn on_range(
    off: &PowerOff,
    port: Port,
    range: OhmRange,
    lead: Lead,
) -> Result<Modelled, SolveError> {
    if port.plus == port.minus {
        return Ok(Modelled {
            value: 0.0,
            by_number: Vec::new(),
            besides: 0.0,
        });
    }
    if off.is_open(port) {
        return Ok(Modelled {
            value: f64::INFINITY,
            by_number: Vec::new(),
            besides: 0.0,
        });
    }
    let source = TestSource {
        volts: range.volts,
        ohms: range.ohms,
    };
    let tested = off.tested(port, source, lead)?;
    let slope = range.shown_slope(tested.volts);
    Ok(Modelled {
        value: range.shown(tested.volts),
        by_number: tested
            .by_number
            .into_iter()
            .map(|sensitivity| (sensitivity.id, sensitivity.value * slope))
            .collect(),
        besides: 0.0,
    })
}

/// The lead that a technician puts on the first point: red.
fn red(meter: &Ohmmeter) -> Lead {
    match meter.red_is_minus {
        true => Lead::Minus,
        false => Lead::Plus,
    }
}

/// The other lead.
fn exchanged(lead: Lead) -> Lead {
    match lead {
        Lead::Plus => Lead::Minus,
        Lead::Minus => Lead::Plus,
    }
}

/// Whether two readings differ by more than any pointer shows.
fn differ(one: f64, other: f64) -> bool {
    match (one.is_finite(), other.is_finite()) {
        (true, true) => (one - other).abs() > SAME * one.abs().max(other.abs()),
        (one, other) => one != other,
    }
}

/// Whether a capacitor drifts the reading while the ohmmeter charges it, at the point itself or behind
/// resistors: what the drawing reads with it empty differs.
fn charges(row: &ManualRow<'_>, meters: &[Meter], known: &mut Circuits<'_>) -> bool {
    let mut own = row.meter.into_iter().chain(meters);
    let Some((port, meter)) = row.port.zip(own.find_map(|meter| meter.ohmmeter.as_ref())) else {
        return false;
    };
    let read = |off: &PowerOff| ohms_seen(off, port, meter).ok().flatten();
    let empty = known.uncharged(row.settings, CHARGES).and_then(read);
    let rests = known.off(row.settings).ok().and_then(read);
    let pair = empty.zip(rests);
    pair.is_some_and(|(empty, rests)| empty.red < (1.0 - DRIFTS) * rests.red)
}

/// An ohmmeter on two points of a circuit without power.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OhmsSeen {
    /// What it shows with its red lead on the first point, in ohms; infinite for an open circuit.
    pub red: f64,
    /// The same with its leads exchanged.
    pub exchanged: f64,
}

/// What an ohmmeter shows, each way round on the range that a technician ends on; none for a meter
/// without one.
///
/// # Errors
/// [`SolveError`] where no operating point is found.
pub fn ohms_seen(
    off: &PowerOff,
    port: Port,
    meter: &Ohmmeter,
) -> Result<Option<OhmsSeen>, SolveError> {
    let lead = red(meter);
    let Some((_, first)) = on_own_range(off, port, meter, lead)? else {
        return Ok(None);
    };
    let other = match off.circuit().has_semiconductors() {
        true => on_own_range(off, port, meter, exchanged(lead))?,
        false => None,
    };
    Ok(Some(OhmsSeen {
        red: first.value,
        exchanged: other.map_or(first.value, |(_, other)| other.value),
    }))
}

/// The same with the red lead on the first point, and its derivative by each number of the circuit; none
/// for a meter without an ohmmeter.
///
/// # Errors
/// As [`ohms_seen`].
pub fn ohms_by_parts(
    off: &PowerOff,
    port: Port,
    meter: &Ohmmeter,
) -> Result<Option<OhmsByParts>, SolveError> {
    let found = on_own_range(off, port, meter, red(meter))?;
    Ok(found.map(|(_, model)| (model.value, model.by_number)))
}

/// Ohms, and how they follow each number of the circuit.
pub type OhmsByParts = (f64, Vec<(ParameterId, f64)>);
