//! What a row of another quantity than direct volts rests on, before any bench meter.
//!
//! The printed value and what the drawing says through the manual's meter come in; both together go out, with what of
//! them is worth a remark. Bench meters are not known here.

use circuit::{Circuit, ManualRow};

use super::combine::{CombinedEstimate, Sources};
use super::finish::Met;
use super::{Modelled, QuantityRemark, Said};
use crate::derivative::variance_by_parts;

/// A printed value so many standard deviations from the drawing's is worth a remark.
const FAR: f64 = 3.0;

/// An open circuit reads at least this where nothing is known of the manual's ohmmeter.
const OPEN_OHMS: f64 = 10e6;

/// What a row rests on, before any bench meter.
pub(super) struct RowInputs<'a> {
    pub(super) circuit: &'a Circuit,
    pub(super) said: Said,
    /// What the drawing says through the manual's meter.
    pub(super) manual: Option<Modelled>,
    pub(super) manual_gain: f64,
    pub(super) combined: Option<CombinedEstimate>,
    /// Variance of the drawing's value through the spread of the parts.
    pub(super) parts: f64,
    pub(super) noise: Noise,
}

/// Variances of a printed value.
#[derive(Clone, Copy)]
pub(super) struct Noise {
    /// Through its rounding.
    pub(super) rounding: f64,
    /// Through the error that the manual's meter may have.
    pub(super) meter: f64,
}

impl Noise {
    pub(super) fn whole(self) -> f64 {
        self.rounding + self.meter
    }
}

impl<'a> RowInputs<'a> {
    /// Printed value against drawing; `manual` is the manual's meter on the drawing.
    pub(super) fn of(
        row: &ManualRow<'_>,
        circuit: &'a Circuit,
        manual: Option<&Met>,
        remarks: &mut Vec<QuantityRemark>,
    ) -> Self {
        let said = said(row);
        let turned = manual.and_then(|met| exchanged(row, met));
        if turned.is_some() {
            remarks.push(QuantityRemark::LeadsExchanged);
        }
        let model = turned.or(manual.map(|met| met.model.clone()));
        let model = model.filter(|model| !model.value.is_nan());
        let parts = model.as_ref().map_or(0.0, |model| model.variance(circuit));
        let figure = row.figure;
        let error = manual.and_then(|met| met.error).unwrap_or(0.0);
        let noise = Noise {
            rounding: figure.map_or(0.0, |figure| figure.resolution.powi(2) / 12.0),
            meter: error.powi(2) / 3.0,
        };
        let drawn = model.as_ref().filter(|model| model.value.is_finite());
        let combined = match (said, drawn) {
            (Said::Value(printed), Some(drawn)) => Some(
                Sources {
                    printed,
                    noise: noise.whole(),
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
        RowInputs {
            circuit,
            said,
            manual: model,
            manual_gain: manual.map_or(1.0, |met| met.gain),
            combined,
            parts,
            noise,
        }
    }
}

impl Modelled {
    /// Variance of the value through the spread of the parts.
    fn variance(&self, circuit: &Circuit) -> f64 {
        variance_by_parts(circuit, self.by_number.iter().copied()) + self.besides
    }
}

/// What the manual's meter reads with its leads exchanged, where that comes nearer to the printed value: nobody
/// notes how the leads were.
fn exchanged(row: &ManualRow<'_>, met: &Met) -> Option<Modelled> {
    let printed = row.figure.map(|figure| figure.value.max(1e-3))?;
    let far = |ohms: f64| (printed / ohms.max(1e-3)).ln().abs();
    let other = met.exchanged.as_ref()?;
    (far(other.value) < far(met.model.value)).then(|| other.clone())
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
