//! A direct current through a lead, with the ammeter's own resistance in series.

use circuit::{Ammeter, Conditions, Job, ManualRow, Meter, MeterRange, SeriesLead};
use reconcile::accuracy_half_width;
use solver::{solve, SolveError};

use super::finish::{finish, Met, Ready, Whose};
use super::{Modelled, NoAnswer, QuantityCarried, QuantityRemark};

/// Ohms of a meter of which none are known: next to none.
const NO_BURDEN: f64 = 1e-3;

/// A meter that reduces the current by less than this share gets no remark.
const WORTH_SAYING: f64 = 0.01;

/// Carries a current over.
pub(super) fn carry(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
) -> Result<QuantityCarried, NoAnswer> {
    let lead = job.circuit.series_lead(row.at);
    if lead.is_none() && !job.circuit.parts().is_empty() {
        return Err(NoAnswer::NoLead);
    }
    // A printed nothing is what a drawing without a way for it says too.
    let drawn = lead.as_ref().filter(|lead| {
        let nothing = row.figure.is_some_and(|figure| figure.value == 0.0);
        nothing || job.circuit.has_path_through(lead)
    });
    let mut remarks = Vec::new();
    if drawn != lead.as_ref() {
        if row.figure.is_none() {
            return Err(NoAnswer::NoCurrent);
        }
        remarks.push(QuantityRemark::NoCurrent);
    }
    let lead = drawn;
    let printed = row.figure.map(|figure| figure.value.abs());
    let met = |meter: &Meter, whose: Whose, printed: Option<f64>| match lead {
        Some(lead) => on_drawing(job, row, lead, (meter, whose), printed),
        None => Ok(bare(meter, printed)),
    };
    let manual = row.meter.map(|meter| met(meter, Whose::Manual, printed));
    let manual = manual.transpose().map_err(NoAnswer::Unsolved)?.flatten();
    if let (Some(lead), Some(manual)) = (lead, &manual) {
        let free = through(job, row, lead, NO_BURDEN, 1.0).map_err(NoAnswer::Unsolved)?;
        if (manual.model.value - free.value).abs() > WORTH_SAYING * free.value {
            remarks.push(QuantityRemark::Burden);
        }
    }
    let ready = Ready {
        circuit: &job.circuit,
        manual,
        remarks,
    };
    finish(job, row, meters, ready, |meter, printed| {
        met(meter, Whose::Bench, printed)
    })
}

/// An ammeter in a lead of the drawing; none for a bench meter that has none.
fn on_drawing(
    job: &Job,
    row: &ManualRow<'_>,
    lead: &SeriesLead,
    (meter, whose): (&Meter, Whose),
    printed: Option<f64>,
) -> Result<Option<Met>, SolveError> {
    let factor = match whose {
        Whose::Manual => 1.0,
        Whose::Bench => job.line_factor(),
    };
    let Some(own) = &meter.ammeter else {
        if whose == Whose::Bench {
            return Ok(None);
        }
        // Read with some ammeter of which nothing is known.
        let model = through(job, row, lead, NO_BURDEN, factor)?;
        return Ok(Some(met(own_range(f64::INFINITY, 0.0), None, model)));
    };
    let guess = match printed {
        Some(amperes) => amperes,
        None => through(job, row, lead, NO_BURDEN, factor)?.value,
    };
    let Some(full_scale) = own.range_for(guess) else {
        return Ok(None);
    };
    let ohms = own.ohms(full_scale);
    let model = through(job, row, lead, ohms, factor)?;
    let error = permitted(own, full_scale, model.value, meter.counts);
    Ok(Some(met(own_range(full_scale, ohms), error, model)))
}

/// An ammeter where nothing is drawn.
fn bare(meter: &Meter, printed: Option<f64>) -> Option<Met> {
    let own = meter.ammeter.as_ref()?;
    let amperes = printed?;
    let full_scale = own.range_for(amperes)?;
    let error = permitted(own, full_scale, amperes, meter.counts);
    let range = own_range(full_scale, own.ohms(full_scale));
    Some(met(range, error, Modelled::nothing()))
}

fn permitted(own: &Ammeter, full_scale: f64, amperes: f64, counts: Option<u32>) -> Option<f64> {
    accuracy_half_width(own.accuracy?, amperes, full_scale, counts).ok()
}

fn own_range(full_scale: f64, ohms: f64) -> MeterRange {
    MeterRange {
        full_scale,
        input: Some(ohms),
    }
}

fn met(range: MeterRange, error: Option<f64>, model: Modelled) -> Met {
    Met {
        range,
        input_ohms: range.input.unwrap_or(0.0),
        error,
        most: f64::INFINITY,
        model,
        exchanged: None,
        gain: 1.0,
    }
}

/// The current through a lead with so many ohms in it, whichever way it flows, in amperes.
fn through(
    job: &Job,
    row: &ManualRow<'_>,
    lead: &SeriesLead,
    ohms: f64,
    line_factor: f64,
) -> Result<Modelled, SolveError> {
    let conditions = Conditions {
        settings: row.settings.to_vec(),
        line_factor,
    };
    let (circuit, port) = job.circuit.with_ammeter(lead, ohms);
    let solution = solve(&circuit, &conditions)?;
    let state = solution.unloaded(port);
    let sign = state.volts.signum();
    let drawn = job.circuit.parts().len();
    let sensitivities = solution.sensitivities(&circuit, &conditions, &state);
    Ok(Modelled {
        value: sign * state.volts / ohms,
        // dv/dθ = −λᵀ ∂F/∂θ; the ammeter itself is no number of the drawing.
        by_number: sensitivities
            .iter()
            .filter(|sensitivity| sensitivity.id.part.0 < drawn)
            .map(|sensitivity| (sensitivity.id, -sign * sensitivity.value / ohms))
            .collect(),
        besides: 0.0,
    })
}
