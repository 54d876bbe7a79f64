//! The bench readings that can tell suspects apart, and those that cannot.
//!
//! A job and its comparison with the manual come in; for each usable reading its port, meter, what
//! the manual makes of it and how far either may be off go out. What a circuit would read there
//! is not known here.

use circuit::{Conditions, Job, Meter, MeterRange, Port, Quantity, Reading, Shown};
use reconcile::{choose_range, noise_of, AccuracyError};
use solver::SolveError;
use translate::{Compared, Comparison, NotCarried};

use crate::suspects::repaired::{confirmed, is_stale, repaired};

/// A reading that counts.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingUsed {
    /// Index into [`Job::readings`].
    pub reading: usize,
    /// Index into [`Job::manual`]; none for a point that the manual lacks.
    pub entry: Option<usize>,
    /// Where the probes went.
    pub port: Port,
    /// Direct volts, or a direct current.
    pub quantity: Quantity,
    /// The range it was taken on.
    pub range: MeterRange,
    /// Input resistance of the meter on that range, in ohms; of an ammeter its own resistance.
    pub input_ohms: f64,
    /// Volts or amperes shown; none for an overrange.
    pub shown: Option<f64>,
    /// What the meter should have shown by the manual's value, in volts or amperes; none where the
    /// manual has none and the drawn circuit alone says.
    pub by_manual: Option<f64>,
    /// Variance of the reading itself, in V² or A²: the meter's permitted error and rounding.
    pub noise: f64,
    /// Which of the conditions it was taken under.
    pub(crate) state: usize,
}

/// A reading that does not count.
#[derive(Clone, Debug, PartialEq)]
pub struct Unused {
    /// Index into [`Job::readings`].
    pub reading: usize,
    /// Why.
    pub why: WhyUnused,
}

/// Why a reading does not count.
#[derive(Clone, Debug, PartialEq)]
pub enum WhyUnused {
    /// It is of another set than the one looked at.
    OtherSet,
    /// The same point was read again with the same meter: this tells what the set was before a
    /// repair, not what it is.
    ReadAgain,
    /// It was read before a repair that other points show, and was not in order: it may be so no more.
    BeforeRepair,
    /// It is as printed where the drawing says otherwise, so that the drawing cannot predict it.
    AsPrinted,
    /// Only direct volts are looked at.
    Quantity(Quantity),
    /// The circuit round it is not drawn.
    NotDrawn,
    /// It was taken in a stable state that the drawn circuit does not have.
    NoSuchState,
    /// No direct current can reach the point, so its voltage means nothing.
    Floating,
    /// The permitted error of its meter cannot be told.
    Accuracy(AccuracyError),
    /// It or its meter's load is no finite number.
    NotFinite,
}

impl ReadingUsed {
    /// Volts between the probes for one unit of the reading: those across an ammeter for an ampere.
    pub(crate) fn volts_per_unit(&self) -> f64 {
        match self.quantity {
            Quantity::DcMilliamperes => self.input_ohms,
            _ => 1.0,
        }
    }

    /// What the meter loads its port with, in siemens; an ammeter is drawn as part of the circuit.
    pub(crate) fn siemens(&self) -> f64 {
        match self.quantity {
            Quantity::DcMilliamperes => 0.0,
            _ => 1.0 / self.input_ohms,
        }
    }
}

/// Readings that count, those that do not, and the conditions they were taken under.
#[derive(Clone, Debug, Default)]
pub(crate) struct Readings {
    pub(crate) used: Vec<ReadingUsed>,
    pub(crate) unused: Vec<Unused>,
    /// Ports of those read as printed, which the drawing cannot predict.
    pub(crate) as_printed: Vec<Port>,
    /// The first are those of the circuit as drawn.
    pub(crate) states: Vec<Conditions>,
}

impl Readings {
    /// The conditions that most readings of direct volts were taken under, the first of equals: so the set
    /// stands, and so a place that the manual does not have is read. What was read after a step on a part does not
    /// ask for that step again.
    pub(crate) fn usual_state(&self) -> usize {
        let volts = || {
            self.used
                .iter()
                .filter(|used| used.quantity == Quantity::DcVolts)
        };
        let count = |state: &usize| volts().filter(|used| used.state == *state).count();
        let states = (0..self.states.len()).rev();
        let states = states.filter(|state| self.states[*state].is_whole());
        states.max_by_key(count).unwrap_or(0)
    }
}

/// What the readings are held against.
#[derive(Clone, Copy)]
pub(crate) struct Sources<'a> {
    /// The manual carried over.
    pub(crate) comparison: &'a Comparison,
    /// Entries of it that cannot be believed.
    pub(crate) doubted: &'a [usize],
}

/// Sorts a job's readings.
pub(crate) fn readings(job: &Job, sources: &Sources<'_>, set: Option<&str>) -> Readings {
    let mut found = Readings {
        states: vec![Conditions {
            settings: Vec::new(),
            line_factor: job.line_factor(),
        }],
        ..Readings::default()
    };
    let set = set.or(job.readings.first().map(|reading| reading.set.as_str()));
    let mut replaced = circuit::replaced(&job.readings);
    replaced.retain(|index| set.is_none_or(|set| job.readings[*index].set == set));
    // One point that has changed is a repair, and what was read before it is of another set.
    if replaced
        .iter()
        .all(|index| confirmed(&job.readings, *index))
    {
        replaced.clear();
    }
    let repaired = repaired(&job.readings, &replaced);
    for (index, reading) in job.readings.iter().enumerate() {
        let why = if set.is_some_and(|set| reading.set != set) {
            WhyUnused::OtherSet
        } else if replaced.contains(&index) {
            WhyUnused::ReadAgain
        } else if is_stale(job, sources, &repaired, index) {
            WhyUnused::BeforeRepair
        } else {
            let compared = sources.comparison.readings.get(index);
            match used(job, sources, (index, reading), compared, &mut found.states) {
                Ok(used) => {
                    found.used.push(used);
                    continue;
                }
                Err(why) => why,
            }
        };
        found.unused.push(Unused {
            reading: index,
            why,
        });
    }
    found
}

fn used(
    job: &Job,
    sources: &Sources<'_>,
    (index, reading): (usize, &Reading),
    compared: Option<&Compared>,
    states: &mut Vec<Conditions>,
) -> Result<ReadingUsed, WhyUnused> {
    let entry = job
        .manual
        .iter()
        .position(|entry| entry.point == reading.point);
    let printed = entry.map(|entry| &job.manual[entry]);
    if let Some(printed) = printed.filter(|printed| printed.quantity != Quantity::DcVolts) {
        return Err(WhyUnused::Quantity(printed.quantity));
    }
    let mut unprinted = job.unprinted.iter();
    let unprinted = unprinted.find(|row| printed.is_none() && row.point == reading.point);
    if let Some(row) = unprinted.filter(|row| row.quantity != Quantity::DcVolts) {
        return Err(WhyUnused::Quantity(row.quantity));
    }
    let port = reading.port.or(printed.and_then(|printed| printed.port));
    let port = port.ok_or(WhyUnused::NotDrawn)?;
    let points = &sources.comparison.translation.points;
    let carried = entry.and_then(|entry| points.get(entry));
    if let Some(Err(NotCarried::Floating)) = carried.map(|point| point.outcome.as_ref().map(|_| ()))
    {
        return Err(WhyUnused::Floating);
    }
    let refused = carried.and_then(|point| point.outcome.as_ref().err());
    if let Some(NotCarried::NoState(SolveError::OneState { .. })) = refused {
        return Err(WhyUnused::NoSuchState);
    }
    let (shown, resolution) = match &reading.shown {
        Shown::Value(figure) => (Some(figure.value), figure.resolution),
        Shown::Overrange => (None, 0.0),
    };
    let range = match compared {
        Some(compared) => compared.range.range,
        None => choose_range(&reading.meter, reading.range, shown.unwrap_or(0.0)).range,
    };
    let input_ohms = reading.meter.input_ohms(range);
    // The rounding and permitted error of an overrange are those at full scale.
    let at = shown.unwrap_or(range.full_scale);
    let noise = noise_of(&reading.meter, range, at, resolution).map_err(WhyUnused::Accuracy)?;
    let by_manual = compared
        .and_then(|compared| compared.expected.as_ref())
        .filter(|_| entry.is_none_or(|entry| !sources.doubted.contains(&entry)))
        .map(|side| side.expected);
    let finite = shown.is_none_or(f64::is_finite) && by_manual.is_none_or(f64::is_finite);
    let loads = input_ohms > 0.0 && !input_ohms.is_nan();
    if !(finite && loads && noise.is_finite() && noise > 0.0) {
        return Err(WhyUnused::NotFinite);
    }
    let settings = printed.map(|printed| &printed.settings);
    let settings = settings.or(unprinted.map(|row| &row.settings));
    Ok(ReadingUsed {
        reading: index,
        entry,
        port,
        quantity: Quantity::DcVolts,
        range,
        input_ohms,
        shown,
        by_manual,
        noise,
        state: state(
            states,
            settings.map_or(&[], Vec::as_slice),
            job.line_factor(),
        ),
    })
}

/// The place of these conditions, added if they are new.
pub(crate) fn state(
    states: &mut Vec<Conditions>,
    settings: &[circuit::Setting],
    line_factor: f64,
) -> usize {
    let wanted = Conditions {
        settings: settings.to_vec(),
        line_factor,
    };
    let known = states.iter().position(|known| *known == wanted);
    known.unwrap_or_else(|| {
        states.push(wanted);
        states.len() - 1
    })
}

/// Variance of one more reading with a meter, about what it should show, in V²: permitted error
/// and half a unit of the last digit of its display.
pub(crate) fn meter_noise(meter: &Meter, range: MeterRange, volts: f64) -> Option<f64> {
    // A pointer is read to about a fiftieth of full scale (common practice, no source).
    let digit = match meter.counts {
        Some(counts) if counts > 0 => range.full_scale / f64::from(counts),
        _ => range.full_scale / 50.0,
    };
    noise_of(meter, range, volts, digit)
        .ok()
        .filter(|v| v.is_finite() && *v > 0.0)
}
