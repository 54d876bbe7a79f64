//! What a bench meter should show of another quantity than direct volts, and within which limits.
//!
//! What a row rests on and the bench meter on the drawing come in; the expected value, its budget and the band of a
//! healthy set go out. How the printed value and the drawing's were combined is not known here.

use circuit::{spread_of, Job, ManualRow, Meter, Quantity, SpreadBasis};
use reconcile::Prediction;

use super::combine::own_scatter;
use super::finish::Met;
use super::row_inputs::RowInputs;
use super::{QuantitySide, Said};
use crate::band::{Band, BandBasis, Healthy, LimitsFrom};
use crate::bench::BenchSide;
use crate::budget::{Budget, BudgetLine, Input};
use crate::uncertainty::{quantile, Distribution};

/// Share of the healthy sets that a band covers where only the drawing speaks.
const HEALTHY: f64 = 0.95;

/// Ohms that a pin on the chassis may show through leads and contacts (common practice, no source).
const OF_LEADS: f64 = 0.5;

/// The row's value carried over to a bench meter.
#[derive(Clone, Copy)]
struct Carried {
    /// What the bench meter's own way of testing changes, by the drawing.
    ratio: f64,
    expected: f64,
    /// How much of it follows the printed value, 0 to 1.
    by_printed: f64,
    /// How it follows a part by the part's own slope.
    by_parts: f64,
}

impl Carried {
    fn of(inputs: &RowInputs<'_>, met: &Met) -> Self {
        let ratio = match &inputs.manual {
            Some(manual) if manual.value > 0.0 && met.model.value.is_finite() => {
                met.model.value / manual.value
            }
            _ => met.gain / inputs.manual_gain,
        };
        let ratio = if ratio.is_finite() { ratio } else { 1.0 };
        let (expected, by_printed, by_parts) = match (inputs.said, inputs.combined) {
            (_, Some(combined)) => (
                combined.value * ratio,
                combined.by_printed,
                combined.by_parts,
            ),
            (Said::Value(printed), None) => (printed * ratio, 1.0, 0.0),
            (_, None) => (met.model.value, 0.0, 0.0),
        };
        Carried {
            ratio,
            expected,
            by_printed,
            by_parts,
        }
    }
}

/// A bench meter's side of a row.
pub(super) fn bench_side(
    job: &Job,
    row: &ManualRow<'_>,
    inputs: &RowInputs<'_>,
    meter: &Meter,
    met: Met,
) -> QuantitySide {
    let carried = Carried::of(inputs, &met);
    let Carried {
        ratio, expected, ..
    } = carried;
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
            by_printed: carried.by_printed,
            standard_alone: None,
            band,
            band_basis,
            another_set: inputs.manual.is_some().then_some(another_set),
            budget: Budget::of(budget_lines(inputs, &met, carried)),
        },
        exchanged: met.exchanged.map(|other| other.value),
        turned: false,
        most: met.most,
    }
}

/// The uncertainty terms of what a bench meter shows.
fn budget_lines(inputs: &RowInputs<'_>, met: &Met, carried: Carried) -> Vec<BudgetLine> {
    let Carried {
        ratio,
        by_printed,
        by_parts,
        ..
    } = carried;
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
            told += (slope * by_parts * limits.standard()).powi(2);
            push(Input::Number(*id), spread, limits.basis, slope * by_parts);
        }
        let noise = inputs.noise.whole();
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
        for (input, variance) in [
            (Input::PrintedRounding, inputs.noise.rounding),
            (Input::ManualMeter, inputs.noise.meter),
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
    lines
}

/// What a healthy set may show.
fn band(
    job: &Job,
    row: &ManualRow<'_>,
    inputs: &RowInputs<'_>,
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
            let from = LimitsFrom::of(row, job.documented.tolerance.as_ref());
            let (band, basis) = band.carried((printed, expected), from, healthy.as_ref());
            let low = band.low.map(|low| low.max(0.0));
            let high = match row.quantity {
                Quantity::Ohms => band.high.map(|high| high.max(OF_LEADS)),
                _ => band.high,
            };
            (Band { low, high }, basis)
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
