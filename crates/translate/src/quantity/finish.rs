//! What all quantities have in common when a row is carried over to every bench meter.
//!
//! The module of a quantity says what a meter reads on the drawn circuit (`ohms`, `amperes`,
//! `alternating`). Here the printed value and the drawing's are combined (`row_inputs`), and the result is scaled
//! by the drawing's ratio of the two meters (`bench_side`).

use circuit::{Circuit, Job, ManualRow, Meter, MeterRange, Quantity};
use reconcile::RangeChoice;
use solver::SolveError;

use super::bench_side::bench_side;
use super::row_inputs::RowInputs;
use super::{DrawnValue, Modelled, NoAnswer, QuantityCarried, QuantityRemark, QuantitySide, Said};

/// Which meter is put on a point: the manual's, or one of the bench.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Whose {
    Manual,
    Bench,
}

/// A meter on a point of the drawing.
#[derive(Clone, Debug)]
pub(super) struct Met {
    pub(super) range: MeterRange,
    pub(super) input_ohms: f64,
    /// Half-width of the meter's permitted error.
    pub(super) error: Option<f64>,
    pub(super) most: f64,
    /// What the drawing reads; not a number where it says nothing.
    pub(super) model: Modelled,
    /// The same with the leads exchanged, where that differs.
    pub(super) exchanged: Option<Modelled>,
    /// What the meter shows of what is there without it, where the drawing says no value.
    pub(super) gain: f64,
}

/// A row with what its quantity says of meters.
pub(super) struct Ready<'a> {
    pub(super) circuit: &'a Circuit,
    pub(super) manual: Option<Met>,
    pub(super) remarks: Vec<QuantityRemark>,
}

/// Combines manual and drawing for a row and puts each bench meter on it.
pub(super) fn finish(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
    ready: Ready<'_>,
    met: impl Fn(&Meter, Option<f64>) -> Result<Option<Met>, SolveError>,
) -> Result<QuantityCarried, NoAnswer> {
    let mut remarks = ready.remarks;
    let inputs = RowInputs::of(row, ready.circuit, ready.manual.as_ref(), &mut remarks);
    if inputs.said == Said::Nothing && inputs.manual.is_none() {
        return Err(NoAnswer::NotDrawn);
    }
    let printed = inputs.combined.map(|combined| combined.value);
    let printed = printed.or(row.figure.map(|figure| figure.value.abs()));
    let mut bench = Vec::new();
    for meter in meters {
        match met(meter, printed).map_err(NoAnswer::Unsolved)? {
            Some(met) => bench.push(bench_side(job, row, &inputs, meter, met)),
            None => remarks.push(QuantityRemark::NoFunction),
        }
    }
    if bench.iter().any(|side| side.exchanged.is_some()) {
        remarks.push(QuantityRemark::Polarity);
    }
    // An ohmmeter shows more than it holds as an open circuit.
    let beyond = |side: &QuantitySide| side.side.expected.abs() > side.side.range.full_scale;
    if row.quantity != Quantity::Ohms && bench.iter().any(beyond) {
        remarks.push(QuantityRemark::BeyondRange);
    }
    remarks.dedup();
    Ok(QuantityCarried {
        said: inputs.said,
        drawn: inputs.manual.as_ref().map(|model| DrawnValue {
            value: model.value,
            standard: inputs.parts.sqrt(),
        }),
        sigmas: inputs.combined.map(|combined| combined.sigmas),
        manual_range: ready.manual.as_ref().and_then(|met| range_of(row, met)),
        bench,
        remarks,
    })
}

/// The range of the manual's meter, which only rows of volts state.
fn range_of(row: &ManualRow<'_>, met: &Met) -> Option<RangeChoice> {
    (row.quantity == Quantity::AcVolts).then_some(RangeChoice {
        range: met.range,
        assumed: row.range.is_none(),
    })
}
