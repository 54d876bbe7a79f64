//! One point of the manual, carried over.

use circuit::{Job, ManualEntry, Meter, MeterRange, Port, Quantity, Setting};
use solver::SolveError;

use crate::anchor::{Anchor, Side};
use crate::band::Band;
use crate::bench::{own_range, AnchoredPoint, BenchSide};
use crate::curved::ManualReading;
use crate::rails::bench_settings;
use reconcile::States;
use reconcile::{choose_range, RangeChoice};

/// Answers that differ by less than this share of the assumed range's answer are not worth a
/// line: 1 %, well inside any tolerance that a manual of the time prints.
const WORTH_SAYING: f64 = 0.01;

/// Nor are those that differ by less than this share of one unit of the last printed digit: of a
/// printed 0 any hair would be more than 1 %.
const WORTH_A_DIGIT: f64 = 0.1;

/// A manual entry and what became of it.
#[derive(Clone, Debug)]
pub struct PointOutcome {
    /// Index into [`Job::manual`].
    pub entry: usize,
    /// The translation, or why there is none.
    pub outcome: Result<Carried, NotCarried>,
}

/// Why a manual entry is left as it is.
#[derive(Clone, Debug, PartialEq)]
pub enum NotCarried {
    /// This quantity is not translated yet.
    Quantity(Quantity),
    /// The manual does not name the meter, and no class has been put in for it
    /// ([`circuit::Job::with_unknown_meter`]).
    UnknownMeter,
    /// The circuit round the point is not drawn, and no source resistance is stated.
    NotDrawn,
    /// No direct current can reach the point, so its voltage means nothing.
    Floating,
    /// The circuit has no trustworthy solution under this row's conditions.
    Unsolved(SolveError),
    /// The circuit as drawn finds no state with the manual's or the bench meter's reading.
    NoState(SolveError),
}

/// One translated point. Volts and ohms.
#[derive(Clone, Debug)]
pub struct Carried {
    /// The anchored port, for carrying further values.
    pub anchor: Anchor,
    /// The manual's side.
    pub manual: ManualSide,
    /// What the circuit alone predicts.
    pub model: Model,
    /// Resistance seen at the point with no meter.
    pub source_ohms: f64,
    /// What the manual's meter moved, as a share of the unloaded volts (negative).
    pub loading: f64,
    /// The manual's value with no meter at all.
    pub unloaded: f64,
    /// Each bench meter's side, in the order of [`circuit::Bench::meters`].
    pub bench: Vec<BenchSide>,
    /// What ought to be said beside the numbers.
    pub remarks: Vec<Remark>,
}

/// How the manual's value was taken.
#[derive(Clone, Debug, PartialEq)]
pub struct ManualSide {
    /// Printed volts.
    pub value: f64,
    /// The range.
    pub range: RangeChoice,
    /// Input resistance of the manual's meter on that range, in ohms.
    pub input_ohms: f64,
    /// The band that the manual allows.
    pub band: Band,
}

/// The circuit's own prediction; none where it is not drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Model {
    /// Through the manual's meter.
    pub as_documented: Option<f64>,
    /// With no meter.
    pub unloaded: Option<f64>,
    /// Unloaded volts of the manual less unloaded volts of the model.
    pub disagreement: Option<f64>,
}

/// What another range of the manual's meter would have meant.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct NeighbourAnswer {
    /// That range.
    pub range: MeterRange,
    /// What the first bench meter should then show, in volts.
    pub expected: f64,
}

/// Something to say about a point.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Remark {
    /// The range was assumed, and the neighbouring one gives another answer.
    OtherRange(NeighbourAnswer),
    /// The line voltage differs, but this point's circuit is not drawn, so its value was not
    /// changed for it.
    LineNotApplied,
    /// The printed value does not fit on the stated range.
    OffScale,
    /// The circuit has two stable states, one of which the manual's values show: the
    /// other would put so many volts here, with no meter on.
    TwoStates(f64),
    /// Between the drawn state and one that reads the printed value the circuit passes a point
    /// where it jumps. From the drawn state's own tangent the first bench meter should show so many
    /// volts instead.
    BeyondJump(f64),
}

/// Carries one manual entry over to every bench meter.
pub(crate) fn carry(job: &Job, states: &States<'_>, index: usize) -> PointOutcome {
    let entry = &job.manual[index];
    PointOutcome {
        entry: index,
        outcome: carry_entry(job, states, entry),
    }
}

fn carry_entry(job: &Job, states: &States<'_>, entry: &ManualEntry) -> Result<Carried, NotCarried> {
    if entry.quantity != Quantity::DcVolts {
        return Err(NotCarried::Quantity(entry.quantity));
    }
    if entry.meter_unknown {
        return Err(NotCarried::UnknownMeter);
    }
    let printed = entry.figure.value;
    let range = choose_range(&entry.meter, entry.range, printed);
    let input_ohms = entry.meter.input_ohms(range.range);
    let sight = sight(job, states, entry)?;
    let band = Band::of(entry.tolerance.as_ref(), &entry.figure);
    let reading = ManualReading {
        printed,
        siemens: 1.0 / input_ohms,
        band,
    };
    let anchor = sight.anchor(reading, None)?;
    let manual = ManualSide {
        value: printed,
        range,
        input_ohms,
        band,
    };
    let point = AnchoredPoint {
        circuit: &job.circuit,
        entry,
        manual: &manual,
        anchor: &anchor,
    };
    let mut bench: Vec<BenchSide> = Vec::with_capacity(job.bench.meters.len());
    for meter in &job.bench.meters {
        bench.extend(point.on_own_range(meter).map_err(NotCarried::NoState)?);
    }

    let mut remarks = Vec::new();
    remarks.extend(anchor.other_state().map(Remark::TwoStates));
    if let Some(first) = bench.first().filter(|_| anchor.is_beyond_jump()) {
        remarks.extend(
            anchor
                .by_tangent(1.0 / first.input_ohms)
                .map(Remark::BeyondJump),
        );
    }
    if !range.range.holds(printed) {
        remarks.push(Remark::OffScale);
    }
    if let (true, Some(first), Some(side)) =
        (range.assumed, job.bench.meters.first(), bench.first())
    {
        let other = other_range(&sight, entry, range.range, first, &anchor)?;
        remarks.extend(
            other
                .filter(|answer| {
                    let moved = (answer.expected - side.expected).abs();
                    let digit = entry.figure.resolution;
                    moved > WORTH_SAYING * side.expected.abs() && moved > WORTH_A_DIGIT * digit
                })
                .map(Remark::OtherRange),
        );
    }
    if line_differs(job) && anchor.model_unloaded().is_none() {
        remarks.push(Remark::LineNotApplied);
    }
    Ok(Carried {
        manual,
        model: Model {
            as_documented: anchor.model_as_documented(),
            unloaded: anchor.model_unloaded(),
            disagreement: anchor.disagreement(),
        },
        source_ohms: anchor.source_ohms(),
        loading: anchor.loading(),
        unloaded: anchor.unloaded(),
        bench,
        remarks,
        anchor,
    })
}

/// The answer if the manual's meter stood on its next range up. The next one down cannot hold
/// the value, or it would have been chosen.
fn other_range(
    sight: &Sight,
    entry: &ManualEntry,
    assumed: MeterRange,
    bench: &Meter,
    near: &Anchor,
) -> Result<Option<NeighbourAnswer>, NotCarried> {
    let (_, Some(above)) = entry.meter.neighbours(assumed) else {
        return Ok(None);
    };
    let reading = ManualReading {
        printed: entry.figure.value,
        siemens: 1.0 / entry.meter.input_ohms(above),
        band: Band::default(),
    };
    let anchor = sight.anchor(reading, Some(near))?;
    let answer = own_range(&anchor, bench).and_then(|own| {
        own.map(|own| anchor.carried(1.0 / bench.input_ohms(own)))
            .transpose()
    });
    Ok(answer
        .map_err(NotCarried::NoState)?
        .map(|expected| NeighbourAnswer {
            range: above,
            expected,
        }))
}

/// A point before any meter is put on it: seen once, then used for every range.
enum Sight {
    Stated {
        ohms: f64,
    },
    Drawn {
        port: Port,
        manual: Side,
        bench: Side,
    },
}

impl Sight {
    fn anchor(&self, reading: ManualReading, near: Option<&Anchor>) -> Result<Anchor, NotCarried> {
        match self {
            Sight::Stated { ohms } => Ok(Anchor::stated(*ohms, reading.siemens, reading.printed)),
            Sight::Drawn {
                port,
                manual,
                bench,
            } => Anchor::drawn(manual.clone(), bench.clone(), *port, reading, near)
                .map_err(NotCarried::NoState),
        }
    }
}

fn sight(job: &Job, states: &States<'_>, entry: &ManualEntry) -> Result<Sight, NotCarried> {
    let port = match (entry.source, entry.port) {
        (Some(ohms), _) => return Ok(Sight::Stated { ohms }),
        (None, Some(port)) => port,
        (None, None) => return Err(NotCarried::NotDrawn),
    };
    let side = |settings: &[Setting], line_factor| {
        Side::under(states, settings, line_factor, port).map_err(NotCarried::Unsolved)
    };
    let manual = side(&entry.settings, 1.0)?;
    if manual.solution.floats(port) {
        return Err(NotCarried::Floating);
    }
    let settings = bench_settings(job, &entry.settings, port);
    let bench = if line_differs(job) || settings != entry.settings {
        side(&settings, job.line_factor())?
    } else {
        manual.clone()
    };
    Ok(Sight::Drawn {
        port,
        manual,
        bench,
    })
}

fn line_differs(job: &Job) -> bool {
    (job.line_factor() - 1.0).abs() > 1e-12
}
