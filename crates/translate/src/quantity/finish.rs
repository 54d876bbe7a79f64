//! What all quantities have in common when a row is carried over to every bench meter.
//!
//! The module of a quantity says what a meter reads on the drawn circuit (`ohms`, `amperes`,
//! `alternating`). Here the printed value and the drawing's are combined, and the result is scaled
//! by the drawing's ratio of the two meters.

use circuit::{spread_of, Circuit, Job, ManualRow, Meter, MeterRange, Quantity, SpreadBasis};
use reconcile::{Prediction, RangeChoice};
use solver::SolveError;

use super::combine::{own_scatter, CombinedEstimate, Sources};
use super::{DrawnValue, Modelled, NoAnswer, QuantityCarried, QuantityRemark, QuantitySide, Said};
use crate::band::{Band, BandBasis, Healthy};
use crate::bench::BenchSide;
use crate::budget::{Budget, BudgetLine, Input};
use crate::uncertainty::{quantile, Distribution};

/// A printed value so many standard deviations from the drawing's is worth a remark.
const FAR: f64 = 3.0;

/// Share of the healthy sets that a band covers where only the drawing speaks.
const HEALTHY: f64 = 0.95;

/// An open circuit reads at least this where nothing is known of the manual's ohmmeter.
const OPEN_OHMS: f64 = 10e6;

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

/// What a row rests on, before any bench meter.
struct CarryInputs<'a> {
    circuit: &'a Circuit,
    said: Said,
    manual: Option<Modelled>,
    manual_gain: f64,
    combined: Option<CombinedEstimate>,
    parts: f64,
    noise: (f64, f64),
}

/// Combines manual and drawing for a row and puts each bench meter on it.
pub(super) fn finish(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
    ready: Ready<'_>,
    met: impl Fn(&Meter, Option<f64>) -> Result<Option<Met>, SolveError>,
) -> Result<QuantityCarried, NoAnswer> {
    let said = said(row);
    let mut remarks = ready.remarks;
    let inputs = stand(
        row,
        ready.circuit,
        said,
        ready.manual.as_ref(),
        &mut remarks,
    );
    if said == Said::Nothing && inputs.manual.is_none() {
        return Err(NoAnswer::NotDrawn);
    }
    let printed = inputs.combined.map(|combined| combined.value);
    let printed = printed.or(row.figure.map(|figure| figure.value.abs()));
    let mut bench = Vec::new();
    for meter in meters {
        match met(meter, printed).map_err(NoAnswer::Unsolved)? {
            Some(met) => bench.push(side(job, row, &inputs, meter, met)),
            None => remarks.push(QuantityRemark::NoFunction),
        }
    }
    if bench.iter().any(|side| side.exchanged.is_some()) {
        remarks.push(QuantityRemark::Polarity);
    }
    remarks.dedup();
    Ok(QuantityCarried {
        said,
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

/// What is printed.
pub(super) fn said(row: &ManualRow<'_>) -> Said {
    match row.figure {
        Some(figure) if row.one_limit => match row.tolerance {
            Some(units::Tolerance::AtMost(_)) => Said::LessThan(figure.value),
            _ => Said::MoreThan(figure.value),
        },
        Some(figure) => Said::Value(figure.value.abs()),
        None if row.open => {
            let own = row.meter.filter(|_| !row.meter_unknown);
            let own = own.and_then(|meter| meter.ohmmeter.as_ref());
            Said::MoreThan(own.map_or(OPEN_OHMS, circuit::Ohmmeter::most))
        }
        None => Said::Nothing,
    }
}

/// Variance of a modelled value through the spread of the parts.
fn variance(circuit: &Circuit, model: &Modelled) -> f64 {
    let each = model.by_number.iter();
    each.map(|(id, slope)| {
        let spread = spread_of(circuit.part(id.part), id.parameter);
        (slope * spread.standard()).powi(2)
    })
    .sum::<f64>()
        + model.besides
}

/// Printed value against drawing.
fn stand<'a>(
    row: &ManualRow<'_>,
    circuit: &'a Circuit,
    said: Said,
    manual: Option<&Met>,
    remarks: &mut Vec<QuantityRemark>,
) -> CarryInputs<'a> {
    // Nobody notes how the leads were: the way round that comes nearer to the printed value.
    let nearer = |met: &Met| {
        let printed = row.figure.map(|figure| figure.value.max(1e-3))?;
        let far = |ohms: f64| (printed / ohms.max(1e-3)).ln().abs();
        let other = met.exchanged.as_ref()?;
        (far(other.value) < far(met.model.value)).then(|| other.clone())
    };
    let turned = manual.and_then(nearer);
    if turned.is_some() {
        remarks.push(QuantityRemark::LeadsExchanged);
    }
    let model = turned.or(manual.map(|met| met.model.clone()));
    let model = model.filter(|model| !model.value.is_nan());
    let parts = model.as_ref().map_or(0.0, |model| variance(circuit, model));
    let figure = row.figure;
    let rounding = figure.map_or(0.0, |figure| figure.resolution.powi(2) / 12.0);
    let error = manual.and_then(|met| met.error).unwrap_or(0.0);
    let noise = (rounding, error.powi(2) / 3.0);
    let drawn = model.as_ref().filter(|model| model.value.is_finite());
    let combined = match (said, drawn) {
        (Said::Value(printed), Some(drawn)) => Some(
            Sources {
                printed,
                noise: noise.0 + noise.1,
                drawn: drawn.value,
                parts,
            }
            .combine(),
        ),
        _ => None,
    };
    match said {
        Said::Nothing => remarks.push(QuantityRemark::DrawingAlone),
        Said::MoreThan(_) if row.open => remarks.push(QuantityRemark::AssumedLimit),
        _ => {}
    }
    let beyond = match (said, drawn) {
        (Said::MoreThan(limit), Some(drawn)) => drawn.value + FAR * parts.sqrt() < limit,
        (Said::LessThan(limit), Some(drawn)) => drawn.value - FAR * parts.sqrt() > limit,
        _ => false,
    };
    if beyond || combined.is_some_and(|combined| combined.sigmas.abs() > FAR) {
        remarks.push(QuantityRemark::Disagrees);
    }
    CarryInputs {
        circuit,
        said,
        manual: model,
        manual_gain: manual.map_or(1.0, |met| met.gain),
        combined,
        parts,
        noise,
    }
}

/// A bench meter's side of a row.
fn side(
    job: &Job,
    row: &ManualRow<'_>,
    inputs: &CarryInputs<'_>,
    meter: &Meter,
    met: Met,
) -> QuantitySide {
    // What the bench meter's own way of testing changes, by the drawing.
    let ratio = match &inputs.manual {
        Some(manual) if manual.value > 0.0 && met.model.value.is_finite() => {
            met.model.value / manual.value
        }
        _ => met.gain / inputs.manual_gain,
    };
    let ratio = if ratio.is_finite() { ratio } else { 1.0 };
    let (expected, by_printed, own_parts) = match (inputs.said, inputs.combined) {
        (_, Some(combined)) => (
            combined.value * ratio,
            combined.by_printed,
            combined.by_parts,
        ),
        (Said::Value(printed), None) => (printed * ratio, 1.0, 0.0),
        (_, None) => (met.model.value, 0.0, 0.0),
    };
    let mut lines = Vec::new();
    let mut push = |input, spread, basis, sensitivity: f64| {
        lines.push(BudgetLine {
            input,
            spread,
            basis,
            sensitivity,
        });
    };
    if let Some(combined) = inputs.combined {
        let mut told = 0.0;
        for (id, slope) in &met.model.by_number {
            let limits = spread_of(inputs.circuit.part(id.part), id.parameter);
            let half_width = limits.half_width;
            let spread = Distribution::Rectangular { half_width };
            told += (slope * own_parts * limits.standard()).powi(2);
            push(Input::Number(*id), spread, limits.basis, slope * own_parts);
        }
        let noise = inputs.noise.0 + inputs.noise.1;
        told += noise * (by_printed * ratio).powi(2);
        // The rest is what the drawing may lack.
        let rest = (combined.variance * ratio * ratio - told).max(0.0);
        let standard = rest.sqrt();
        push(
            Input::Discrepancy,
            Distribution::Normal { standard },
            SpreadBasis::Assumed,
            1.0,
        );
    }
    if matches!(inputs.said, Said::Value(_)) {
        let (rounding, error) = inputs.noise;
        for (input, variance) in [
            (Input::PrintedRounding, rounding),
            (Input::ManualMeter, error),
        ] {
            let half_width = (3.0 * variance).sqrt();
            push(
                input,
                Distribution::Rectangular { half_width },
                SpreadBasis::Assumed,
                by_printed * ratio,
            );
        }
    }
    if let Some(half_width) = met.error.filter(|error| error.is_finite()) {
        push(
            Input::BenchMeter,
            Distribution::Rectangular { half_width },
            SpreadBasis::Stated,
            1.0,
        );
    }
    let scatter = inputs.combined.map_or(inputs.parts, |combined| {
        combined.variance + own_scatter(inputs.parts)
    });
    let another_set = Prediction {
        volts: expected,
        standard: (scatter * ratio * ratio).sqrt(),
    };
    let (band, band_basis) = band(job, row, inputs, expected, another_set, ratio);
    QuantitySide {
        side: BenchSide {
            meter: meter.name.clone(),
            range: met.range,
            input_ohms: met.input_ohms,
            expected,
            by_printed,
            standard_alone: None,
            band,
            band_basis,
            another_set: inputs.manual.is_some().then_some(another_set),
            budget: Budget::of(lines),
        },
        exchanged: met.exchanged.map(|other| other.value),
        turned: false,
        most: met.most,
    }
}

/// What a healthy set may show.
fn band(
    job: &Job,
    row: &ManualRow<'_>,
    inputs: &CarryInputs<'_>,
    expected: f64,
    another_set: Prediction,
    ratio: f64,
) -> (Band, BandBasis) {
    match (inputs.said, row.figure) {
        (Said::Value(printed), Some(figure)) => {
            let band = Band::of(row.tolerance, figure);
            let healthy = inputs.combined.map(|_| Healthy {
                set: another_set,
                ratio,
                worst_case_volts: f64::INFINITY,
            });
            let by_default = row.tolerance == job.documented.tolerance.as_ref();
            let (band, basis) = band.carried((printed, expected), by_default, healthy.as_ref());
            let low = band.low.map(|low| low.max(0.0));
            (Band { low, ..band }, basis)
        }
        (Said::MoreThan(limit), _) => (
            Band {
                low: Some(limit),
                high: None,
            },
            BandBasis::Manual,
        ),
        (Said::LessThan(limit), _) => (
            Band {
                low: None,
                high: Some(limit),
            },
            BandBasis::Manual,
        ),
        _ if expected.is_finite() => {
            let half = quantile((1.0 + HEALTHY) / 2.0) * another_set.standard;
            (
                Band {
                    low: Some((expected - half).max(0.0)),
                    high: Some(expected + half),
                },
                BandBasis::Drawing,
            )
        }
        _ => (Band::default(), BandBasis::Drawing),
    }
}
