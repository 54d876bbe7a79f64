//! Alternating volts through a meter's own impedance and response.

use circuit::{
    is_line_frequency, Circuit, Job, ManualRow, Meter, MeterInput, MeterRange, PartKind, Response,
    Wave,
};
use reconcile::accuracy_half_width;
use solver::{Phasor, SolveError};

use super::alternating_drawn::AcDrawing;
use super::circuits::Circuits;
use super::finish::{finish, Met, Ready, Whose};
use super::row_inputs::said;
use super::{Modelled, NoAnswer, QuantityCarried, QuantityRemark, Said};

/// The line's frequency where nothing else is stated.
const LINE_HERTZ: f64 = 60.0;

/// A point at its frequency.
pub(super) struct AcPoint<'a> {
    job: &'a Job,
    row: &'a ManualRow<'a>,
    pub(super) hertz: f64,
}

/// A meter's alternating side on a range.
#[derive(Clone, Copy)]
pub(super) struct Load {
    pub(super) siemens: Phasor,
    /// Share of the volts at its leads that its scale shows, for a sine.
    passes: f64,
    ohms: f64,
}

/// Carries alternating volts over.
pub(super) fn carry(
    job: &Job,
    row: &ManualRow<'_>,
    meters: &[Meter],
    known: &mut Circuits<'_>,
) -> Result<QuantityCarried, NoAnswer> {
    let point = AcPoint::new(job, row);
    let mut remarks = Vec::new();
    let drawing = AcDrawing::of(&point, job, row, known)?;
    match &drawing {
        Some(drawing) if !drawing.is_driven() => {
            if said(row) == Said::Nothing {
                return Err(NoAnswer::NoGenerator);
            }
            remarks.push(QuantityRemark::NotDriven);
        }
        None if said(row) == Said::Nothing => return Err(NoAnswer::NotDrawn),
        _ => {}
    }
    let drawing = drawing.as_ref();
    let printed = row.figure.map(|figure| figure.value.abs());
    let manual = row
        .meter
        .map(|meter| point.met(drawing, meter, Whose::Manual, printed));
    let manual = manual.transpose().map_err(NoAnswer::Unsolved)?.flatten();
    if row.signal.wave != Wave::Sine {
        remarks.push(QuantityRemark::Wave);
    }
    if (point.line_factor(Whose::Bench) - 1.0).abs() > 1e-9 {
        remarks.push(QuantityRemark::FollowsLine);
    }
    if row.meter_unknown && row.figure.is_some() {
        return Err(NoAnswer::UnknownMeter);
    }
    let ready = Ready {
        circuit: &job.circuit,
        manual,
        remarks,
    };
    finish(job, row, meters, ready, |meter, printed| {
        point.met(drawing, meter, Whose::Bench, printed)
    })
}

/// The stated frequency; else the line's. Where all generators drawn share another, it is theirs.
fn frequency(circuit: &Circuit, stated: Option<f64>) -> f64 {
    let drawn = circuit.parts().iter().filter_map(|part| match &part.kind {
        PartKind::Generator(generator) => Some(generator.hertz),
        _ => None,
    });
    let drawn: Vec<f64> = drawn.collect();
    let same = |a: f64, b: f64| (a / b - 1.0).abs() < 1e-6;
    let line = drawn
        .iter()
        .copied()
        .find(|hertz| is_line_frequency(*hertz));
    let only = drawn.first().copied().filter(|first| {
        let mut all = drawn.iter();
        all.all(|hertz| same(*hertz, *first))
    });
    stated.or(line).or(only).unwrap_or(LINE_HERTZ)
}

impl<'a> AcPoint<'a> {
    pub(super) fn new(job: &'a Job, row: &'a ManualRow<'a>) -> Self {
        AcPoint {
            job,
            row,
            hertz: frequency(&job.circuit, row.signal.hertz),
        }
    }

    /// What the line makes of the volts: the bench line over the manual's at the line's frequency.
    pub(super) fn line_factor(&self, whose: Whose) -> f64 {
        match whose {
            Whose::Bench if is_line_frequency(self.hertz) => self.job.line_factor(),
            _ => 1.0,
        }
    }

    /// A meter on the point, on the range that a technician ends on.
    fn met(
        &self,
        drawing: Option<&AcDrawing<'_>>,
        meter: &Meter,
        whose: Whose,
        printed: Option<f64>,
    ) -> Result<Option<Met>, SolveError> {
        let Some(ac) = meter.ac else {
            return Ok(None);
        };
        let stated = self.row.range.filter(|_| whose == Whose::Manual);
        let mut volts = printed.unwrap_or(0.0);
        let mut range = match stated {
            Some(full_scale) => Some(meter.range(full_scale)),
            None => meter.range_for(volts),
        };
        let mut found = None;
        // A range changes the load, which changes the volts, so the range is chosen twice.
        for _ in 0..3 {
            let Some(on) = range else { return Ok(None) };
            let met = self.on_range(drawing, meter, whose, on)?;
            let shown = met.model.value;
            found = Some(met);
            if stated.is_some() || !shown.is_finite() || printed.is_some() {
                break;
            }
            volts = shown;
            let next = meter.range_for(volts);
            if next == range {
                break;
            }
            range = next;
        }
        Ok(found.map(|mut met| {
            let shown = match met.model.value.is_finite() {
                true => met.model.value,
                false => volts,
            };
            met.error = ac.accuracy.and_then(|accuracy| {
                accuracy_half_width(accuracy, shown, met.range.full_scale, meter.counts).ok()
            });
            met
        }))
    }

    fn on_range(
        &self,
        drawing: Option<&AcDrawing<'_>>,
        meter: &Meter,
        whose: Whose,
        range: MeterRange,
    ) -> Result<Met, SolveError> {
        let (load, scale) = self.load_and_scale(meter, range);
        let (model, yields) = match drawing {
            Some(drawing) => drawing.modelled(whose, load.siemens, scale)?,
            None => {
                let ohms = self.row.source.unwrap_or(0.0);
                let one = Phasor::new(1.0, 0.0);
                let under = one / (one + load.siemens * ohms);
                (Modelled::nothing(), under.norm())
            }
        };
        Ok(Met {
            range,
            input_ohms: load.ohms,
            error: None,
            most: f64::INFINITY,
            model,
            exchanged: None,
            gain: yields * scale * self.line_factor(whose),
        })
    }

    /// A meter on a range, and what it shows of a volt at its leads.
    pub(super) fn load_and_scale(&self, meter: &Meter, range: MeterRange) -> (Load, f64) {
        let (load, response, blocked) = self.load(meter, range);
        let wave = self.row.signal.wave;
        let scale = load.passes * wave.shown(response, blocked) / wave.rms();
        (load, scale)
    }

    /// A meter's alternating side: resistance and capacitance side by side, behind what blocks direct
    /// volts.
    fn load(&self, meter: &Meter, range: MeterRange) -> (Load, Response, bool) {
        let omega = std::f64::consts::TAU * self.hertz;
        let Some(ac) = meter.ac else {
            let none = Load {
                siemens: Phasor::new(0.0, 0.0),
                passes: 1.0,
                ohms: f64::INFINITY,
            };
            return (none, Response::TrueRms, true);
        };
        let ohms = match ac.input {
            MeterInput::Sensitivity(units::Sensitivity(per_volt)) => per_volt * range.full_scale,
            MeterInput::Fixed(ohms) => ohms,
        };
        let input = Phasor::new(1.0 / ohms, omega * ac.capacitance);
        let one = Phasor::new(1.0, 0.0);
        let (siemens, passes) = match ac.blocking {
            // Z = 1/Y + 1/(jωC), of which the scale sees the first part
            Some(farads) => {
                let whole = one / input + one / Phasor::new(0.0, omega * farads);
                (one / whole, ((one / input) / whole).norm())
            }
            None => (input, 1.0),
        };
        let load = Load {
            siemens,
            passes,
            ohms,
        };
        (load, ac.responds, ac.blocking.is_some())
    }
}
