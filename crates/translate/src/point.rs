//! One point of the manual, carried over.

use std::sync::Arc;

use circuit::{Job, ManualEntry, ManualRow, Meter, MeterRange, Quantity, Setting, SettingValue};
use reconcile::{choose_range, read_to, Reconciled, ValueStatus};
use solver::SolveError;
use units::Figure;

use crate::anchor::Anchor;
use crate::band::{Band, LimitsFrom};
use crate::bench::{own_range, BenchSide, ReadyPoint};
use crate::manual_side::ManualSide;
use crate::nonlinear::ManualReading;
use crate::not_carried::NotCarried;
use crate::point_model::PointModel;

/// Answers that differ by less than this share of the assumed range's answer are not reported: 1 %,
/// well inside any tolerance that a manual of the time prints.
const WORTH_SAYING: f64 = 0.01;

/// Nor are answers reported that differ by less than this share of one unit of the last printed
/// digit: of a printed 0 any difference would be more than 1 %.
const WORTH_A_DIGIT: f64 = 0.1;

/// Ohms at a point from which nothing drawn holds it: a hundred times those of the best insulation.
const HELD_BY_THE_METER: f64 = 1e11;

/// A manual entry and its translation.
#[derive(Clone, Debug)]
pub struct PointOutcome {
    /// Index into [`Job::manual`].
    pub entry: usize,
    /// The translation, or why there is none.
    pub outcome: Result<Carried, NotCarried>,
}

/// One translated point. Volts and ohms.
#[derive(Clone, Debug)]
pub struct Carried {
    /// The point, for further meters.
    pub point_model: PointModel,
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
    /// Remarks on the numbers.
    pub remarks: Vec<Remark>,
}

/// The circuit's own prediction; none where it is not drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Model {
    /// Through the manual's meter.
    pub as_documented: Option<f64>,
    /// With no meter.
    pub unloaded: Option<f64>,
    /// Resistance in ohms seen at the point with no meter.
    pub source_ohms: Option<f64>,
    /// What the manual's meter moves, as a share of the unloaded volts (negative).
    pub loading: Option<f64>,
    /// Unloaded volts by manual and drawing together less unloaded volts of the drawing; none where nothing but
    /// a meter holds the point.
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
    /// The row asks for one of two stable states, and the circuit has one.
    OneState,
    /// Between the drawn state and one that reads the printed value the circuit passes a point
    /// where it jumps. From the drawn state's own tangent the first bench meter should show so many
    /// volts instead.
    BeyondJump(f64),
    /// More is expected than the drawn sources can produce, which is so many volts.
    AboveSources(f64),
    /// The bench meter at this place of [`Carried::bench`] has no range that holds what it should show.
    BeyondRange(usize),
}

/// Carries one manual entry over to every bench meter.
pub(crate) fn carry(reconciled: &Arc<Reconciled>, index: usize) -> PointOutcome {
    PointOutcome {
        entry: index,
        outcome: carry_entry(reconciled, index),
    }
}

fn carry_entry(reconciled: &Arc<Reconciled>, index: usize) -> Result<Carried, NotCarried> {
    let job = reconciled.job();
    let entry = &job.manual[index];
    if entry.quantity != Quantity::DcVolts {
        return Err(NotCarried::Quantity(entry.quantity));
    }
    if entry.meter_unknown {
        return Err(NotCarried::UnknownMeter);
    }
    let printed = entry.figure.value;
    let range = reconciled.range(index);
    let range = range.unwrap_or_else(|| choose_range(&entry.meter, entry.range, printed));
    let input_ohms = entry.meter.input_ohms(range.range);
    let reading = ManualReading {
        printed,
        siemens: 1.0 / input_ohms,
    };
    let point_model = PointModel::of(reconciled, index, reading)?;
    let figure = Figure {
        resolution: read_to(job, index),
        ..entry.figure.clone()
    };
    let manual = ManualSide {
        value: printed,
        resolution: figure.resolution,
        range,
        input_ohms,
        band: Band::of(entry.tolerance.as_ref(), &figure),
        limits_from: LimitsFrom::of(&ManualRow::from(entry), job.documented.tolerance.as_ref()),
        value_status: reconciled.value_status(index),
    };
    let point = ReadyPoint {
        circuit: &job.circuit,
        entry,
        manual: &manual,
        point_model: &point_model,
    };
    let mut bench: Vec<BenchSide> = Vec::with_capacity(job.bench.meters.len());
    for meter in &job.bench.meters {
        bench.extend(point.on_own_range(meter).map_err(NotCarried::NoState)?);
    }
    Ok(Carried {
        model: model(&point_model).map_err(NotCarried::NoState)?,
        source_ohms: point_model.source_ohms(),
        loading: point_model.loading(),
        unloaded: point_model.unloaded(),
        remarks: remarks(job, entry, &manual, &point_model, &bench).map_err(NotCarried::NoState)?,
        bench,
        manual,
        point_model,
    })
}

fn model(point_model: &PointModel) -> Result<Model, SolveError> {
    let PointModel::Drawn(point) = point_model else {
        return Ok(Model::default());
    };
    let drawn = point.model()?;
    Ok(Model {
        as_documented: Some(drawn.documented),
        unloaded: Some(drawn.unloaded),
        source_ohms: Some(drawn.ohms),
        loading: Some(drawn.loading),
        disagreement: (drawn.ohms < HELD_BY_THE_METER)
            .then(|| point_model.unloaded() - drawn.unloaded),
    })
}

fn remarks(
    job: &Job,
    entry: &ManualEntry,
    manual: &ManualSide,
    point_model: &PointModel,
    bench: &[BenchSide],
) -> Result<Vec<Remark>, SolveError> {
    let mut remarks = Vec::new();
    let first = bench.first();
    if let PointModel::Drawn(point) = point_model {
        // A row that names its state does not leave open which one is meant.
        let names_state = |setting: &Setting| matches!(setting.value, SettingValue::Conducts(_));
        let is_named = entry.settings.iter().any(names_state);
        match point.other_state() {
            Some(other) if !is_named => remarks.push(Remark::TwoStates(other)),
            None if is_named => remarks.push(Remark::OneState),
            _ => {}
        }
        // Only a value far from the drawing can lie beyond a jump.
        if let (true, Some(first)) = (manual.value_status != ValueStatus::Believed, first) {
            let anchor = point.anchor().ok().filter(|anchor| anchor.is_beyond_jump());
            let by_tangent = anchor.and_then(|anchor| anchor.by_tangent(1.0 / first.input_ohms));
            remarks.extend(by_tangent.map(Remark::BeyondJump));
        }
    }
    if let PointModel::Drawn(point) = point_model {
        let worst_case_volts = point.reconciled.worst_case_volts(point.port);
        if bench
            .iter()
            .any(|side| side.expected.abs() > worst_case_volts)
        {
            remarks.push(Remark::AboveSources(worst_case_volts));
        }
    }
    let beyond = |place: &usize| bench[*place].is_beyond_range();
    remarks.extend((0..bench.len()).filter(beyond).map(Remark::BeyondRange));
    if !manual.range.range.holds(manual.value) {
        remarks.push(Remark::OffScale);
    }
    if let (true, Some(meter), Some(side)) = (manual.range.assumed, job.bench.meters.first(), first)
    {
        let other = other_range(point_model, entry, manual, (meter, side))?;
        let worth_saying = |answer: &NeighbourAnswer| {
            let moved = (answer.expected - side.expected).abs();
            let digit = entry.figure.resolution;
            moved > WORTH_SAYING * side.expected.abs() && moved > WORTH_A_DIGIT * digit
        };
        remarks.extend(other.filter(worth_saying).map(Remark::OtherRange));
    }
    let drawn = matches!(point_model, PointModel::Drawn(_));
    if (job.line_factor() - 1.0).abs() > 1e-12 && !drawn {
        remarks.push(Remark::LineNotApplied);
    }
    Ok(remarks)
}

/// The answer if the manual's meter stood on its next range up. The next one down cannot hold
/// the value, or it would have been chosen.
fn other_range(
    point_model: &PointModel,
    entry: &ManualEntry,
    manual: &ManualSide,
    (meter, side): (&Meter, &BenchSide),
) -> Result<Option<NeighbourAnswer>, SolveError> {
    let (_, Some(above)) = entry.meter.neighbours(manual.range.range) else {
        return Ok(None);
    };
    let siemens = 1.0 / entry.meter.input_ohms(above);
    let expected = match point_model {
        PointModel::Stated(anchor) => {
            let other =
                PointModel::Stated(Anchor::stated(anchor.source_ohms(), siemens, manual.value));
            match own_range(&other, meter)? {
                Some(own) => other.carried(1.0 / meter.input_ohms(own))?,
                None => return Ok(None),
            }
        }
        PointModel::Drawn(point) => {
            let by_printed = side.by_printed * point_model.ratio(1.0 / side.input_ohms)?;
            point.on_other_range(siemens, side.expected, by_printed)?
        }
    };
    Ok(Some(NeighbourAnswer {
        range: above,
        expected,
    }))
}
