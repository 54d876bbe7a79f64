//! The manual's direct-volt values as readings of the drawn circuit, and those that are none.
//!
//! A job and the meters it was read with come in, one row for each reading goes out. A value that
//! a socket chart and a table both print, of one place with one meter and range, is one reading
//! printed twice: it counts once, and what is said of it is said of both entries.

use circuit::{Job, ManualEntry, Meter, MeterRange, Port, Quantity};
use solver::SolveError;
use translate::{choose_range, AccuracyError, RangeChoice};

use crate::error::DiagnoseError;
use crate::row::{NoRow, Printed, Probe, Reader, Row};

/// An entry of the manual that says nothing here.
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
    /// The entries that print it, the first of them the one whose words are used.
    pub(crate) entries: Vec<usize>,
    pub(crate) port: Port,
    pub(crate) range: RangeChoice,
    /// Logarithm of how likely that range is beforehand, beside the lowest that holds the value.
    pub(crate) log_weight: f64,
    /// The same reading on the other range, with the weight of that, where its meter is in
    /// question.
    pub(crate) otherwise: Option<(Row, f64)>,
}

/// Every reading of the table.
#[derive(Clone, Debug, Default)]
pub(crate) struct Sheet {
    pub(crate) taken: Vec<Taken>,
    /// In the order of `taken`.
    pub(crate) rows: Vec<Row>,
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

/// How likely a reading was taken one range higher than it had to be, beside on the lowest
/// (common practice, no source: a needle near the end of the scale makes one switch up).
const NEXT_RANGE: f64 = 0.25;

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
/// [`DiagnoseError::Unsolved`] if a circuit that some entry rests on has no solution.
pub(crate) fn sheet(
    reader: &mut Reader<'_>,
    job: &Job,
    meters: Meters<'_>,
) -> Result<Sheet, DiagnoseError> {
    let mut sheet = Sheet::default();
    for (index, entry) in job.manual.iter().enumerate() {
        let port = match port(entry) {
            Ok(port) => port,
            Err(why) => {
                sheet.left_out.push(LeftOut { entry: index, why });
                continue;
            }
        };
        let mut known = sheet.taken.iter_mut();
        if let Some(twin) = known.find(|taken| same_reading(job, meters, taken.entries[0], index)) {
            twin.entries.push(index);
            continue;
        }
        let why = match read_entry(
            reader,
            (entry, port),
            meters.of(job, index),
            meters.in_question(index),
        ) {
            Ok(read) => {
                sheet.taken.push(Taken {
                    entries: vec![index],
                    port,
                    range: read.range,
                    log_weight: read.log_weight,
                    otherwise: read.otherwise,
                });
                sheet.rows.push(read.row);
                continue;
            }
            Err(NoRow::Unsolved(error)) => return Err(error.into()),
            Err(NoRow::Floating) => WhyLeftOut::Floating,
            Err(NoRow::NoState(error)) => WhyLeftOut::NoState(error),
            Err(NoRow::Accuracy(error)) => WhyLeftOut::Accuracy(error),
            Err(NoRow::NotFinite) => WhyLeftOut::NotFinite,
        };
        sheet.left_out.push(LeftOut { entry: index, why });
    }
    Ok(sheet)
}

/// Reads one entry on its range.
///
/// A value printed as 100 may have been 100.4 on the next range up, which the rule of the lowest
/// range cannot see; where rounding leaves that open, the range nearer to the drawn circuit is
/// taken. In trials with healthy manuals nearly all false doubts were such values.
///
/// Where the meter is in question, any value may have been read on the next range up: there a
/// heavier meter loads as a lighter one does a range below. That is taken as [`NEXT_RANGE`] times
/// as likely beforehand, and taken where it is likelier all the same. Without it a table read on
/// comfortable ranges was told to be of a lighter class, at odds of over a hundred.
fn read_entry(
    reader: &mut Reader<'_>,
    (entry, port): (&ManualEntry, Port),
    meter: &Meter,
    in_question: bool,
) -> Result<Read, NoRow> {
    let printed = Printed::of(entry);
    let mut on = |range: MeterRange| {
        let probe = Probe {
            port,
            settings: &entry.settings,
            meter,
            range,
        };
        reader.read(&probe, printed)
    };
    let choice = choose_range(meter, entry.range, printed.value);
    let row = on(choice.range)?;
    let most = printed.value.abs() + printed.resolution / 2.0;
    let open = choice.assumed && choice.range.holds(printed.value) && !choice.range.holds(most);
    let (_, above) = meter.neighbours(choice.range);
    let doubtful = open || (in_question && choice.assumed);
    let Some(above) = above.filter(|_| doubtful) else {
        return Ok(Read::only(choice, row));
    };
    let log_weight = if open { 0.0 } else { NEXT_RANGE.ln() };
    let other = on(above)?;
    let above = RangeChoice {
        range: above,
        ..choice
    };
    let mut read = if other.log_density() + log_weight > row.log_density() {
        Read {
            range: above,
            row: other,
            log_weight,
            otherwise: Some((row, 0.0)),
        }
    } else {
        Read {
            range: choice,
            row,
            log_weight: 0.0,
            otherwise: Some((other, log_weight)),
        }
    };
    if !in_question {
        read.otherwise = None;
    }
    Ok(read)
}

/// An entry, read.
struct Read {
    range: RangeChoice,
    row: Row,
    log_weight: f64,
    otherwise: Option<(Row, f64)>,
}

impl Read {
    fn only(range: RangeChoice, row: Row) -> Self {
        Read {
            range,
            row,
            log_weight: 0.0,
            otherwise: None,
        }
    }
}

impl Sheet {
    /// The row of an entry.
    pub(crate) fn row_of(&self, entry: usize) -> Option<usize> {
        let prints = |taken: &Taken| taken.entries.contains(&entry);
        self.taken.iter().position(prints)
    }
}

impl Printed {
    /// What an entry prints.
    pub(crate) fn of(entry: &ManualEntry) -> Self {
        Printed {
            value: entry.figure.value,
            resolution: entry.figure.resolution,
        }
    }
}

/// Where an entry's probes go, if the drawn circuit can tell what they read.
fn port(entry: &ManualEntry) -> Result<Port, WhyLeftOut> {
    match (entry.quantity, entry.source, entry.port) {
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
