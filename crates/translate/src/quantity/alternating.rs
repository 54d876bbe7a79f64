//! Alternating volts through a meter's own impedance and response.

use circuit::{
    spread_of, Alteration, Circuit, Conditions, Job, Meter, MeterInput, MeterRange, Part, PartId,
    PartKind, PartParameter, Port, Response, Wave,
};
use reconcile::accuracy_half_width;
use solver::{ParameterId, Phasor, Phasors, SolveError};

use super::carry::{finish, said, Met, Ready, Whose};
use super::{Modelled, NoAnswer, QuantityCarried, QuantityRemark, RowFacts, Said};

/// The line's frequency where nothing else is stated.
const LINE_HERTZ: f64 = 60.0;

/// The line's frequencies anywhere.
const LINES: [f64; 2] = [50.0, 60.0];

/// Spread of parts that state none, as half-widths: common practice, no source. A transformer's ratio
/// is wound to a turn.
const CAPACITANCE: f64 = 0.20;
const INDUCTANCE: f64 = 0.20;
const RATIO: f64 = 0.03;

/// Step of a central difference, in standard deviations.
const STEP: f64 = 0.02;

/// Drawings of more nodes have no derivatives by their parts: each asks for two solutions.
pub(super) const MOST_NODES_VARIED: usize = 120;

/// Share by which the parts of so large a drawing are taken to scatter a value.
const UNVARIED: f64 = 0.10;

/// Drawings of more nodes are not worked out at a frequency.
const MOST_NODES: usize = 600;

/// Volts below which the drawing is said to give none.
const NOTHING: f64 = 1e-9;

/// A point of the drawing at its frequency.
pub(super) struct AcPoint<'a> {
    job: &'a Job,
    facts: &'a RowFacts<'a>,
    port: Option<Port>,
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
    facts: &RowFacts<'_>,
    meters: &[Meter],
) -> Result<QuantityCarried, NoAnswer> {
    let point = AcPoint::new(job, facts);
    let mut remarks = Vec::new();
    if point.port.is_some() && job.circuit.nodes().len() > MOST_NODES {
        return Err(NoAnswer::TooLarge);
    }
    if point.port.is_some() {
        let drawn = point.phasors(&job.circuit, Whose::Manual);
        let drawn = drawn.map_err(NoAnswer::Unsolved)?;
        if !drawn.is_driven() {
            if said(facts) == Said::Nothing {
                return Err(NoAnswer::NoGenerator);
            }
            remarks.push(QuantityRemark::NotDriven);
        }
    } else if said(facts) == Said::Nothing {
        return Err(NoAnswer::NotDrawn);
    }
    let printed = facts.figure.map(|figure| figure.value.abs());
    let manual = facts
        .meter
        .map(|meter| point.met(meter, Whose::Manual, printed));
    let manual = manual.transpose().map_err(NoAnswer::Unsolved)?.flatten();
    if facts.signal.wave != Wave::Sine {
        remarks.push(QuantityRemark::Wave);
    }
    if (point.line_factor(Whose::Bench) - 1.0).abs() > 1e-9 {
        remarks.push(QuantityRemark::FollowsLine);
    }
    if facts.meter_unknown && facts.figure.is_some() {
        return Err(NoAnswer::UnknownMeter);
    }
    let ready = Ready {
        circuit: &job.circuit,
        manual,
        remarks,
    };
    finish(job, facts, meters, ready, |meter, printed| {
        point.met(meter, Whose::Bench, printed)
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
    let line = drawn.iter().copied().find(|hertz| is_line(*hertz));
    let only = drawn.first().copied().filter(|first| {
        let mut all = drawn.iter();
        all.all(|hertz| same(*hertz, *first))
    });
    stated.or(line).or(only).unwrap_or(LINE_HERTZ)
}

fn is_line(hertz: f64) -> bool {
    LINES.iter().any(|line| (hertz / line - 1.0).abs() < 1e-6)
}

impl<'a> AcPoint<'a> {
    pub(super) fn new(job: &'a Job, facts: &'a RowFacts<'a>) -> Self {
        AcPoint {
            job,
            facts,
            port: facts.port.filter(|_| facts.source.is_none()),
            hertz: frequency(&job.circuit, facts.signal.hertz),
        }
    }

    /// What the line makes of the volts: the bench line over the manual's at the line's frequency.
    pub(super) fn line_factor(&self, whose: Whose) -> f64 {
        match whose {
            Whose::Bench if is_line(self.hertz) => self.job.line_factor(),
            _ => 1.0,
        }
    }

    fn phasors(&self, circuit: &Circuit, whose: Whose) -> Result<Phasors, SolveError> {
        let conditions = Conditions {
            settings: self.facts.settings.to_vec(),
            line_factor: match whose {
                Whose::Manual => 1.0,
                Whose::Bench => self.job.line_factor(),
            },
        };
        Phasors::new(circuit, &conditions, self.hertz, self.line_factor(whose))
    }

    /// A meter on the point, on the range that a technician ends on.
    fn met(
        &self,
        meter: &Meter,
        whose: Whose,
        printed: Option<f64>,
    ) -> Result<Option<Met>, SolveError> {
        let Some(ac) = meter.ac else {
            return Ok(None);
        };
        let stated = self.facts.range.filter(|_| whose == Whose::Manual);
        let mut volts = printed.unwrap_or(0.0);
        let mut range = match stated {
            Some(full_scale) => Some(meter.range(full_scale)),
            None => meter.range_for(volts),
        };
        let mut found = None;
        // A range changes the load, which changes the volts; the second look settles it.
        for _ in 0..3 {
            let Some(on) = range else { return Ok(None) };
            let met = self.on_range(meter, whose, on)?;
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

    fn on_range(&self, meter: &Meter, whose: Whose, range: MeterRange) -> Result<Met, SolveError> {
        let (load, scale) = self.load_and_scale(meter, range);
        let (model, yields) = match self.port {
            Some(port) => self.modelled(port, whose, load, scale)?,
            None => {
                let ohms = self.facts.source.unwrap_or(0.0);
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
        let wave = self.facts.signal.wave;
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

    /// What the drawing reads, and how far it yields to the load.
    fn modelled(
        &self,
        port: Port,
        whose: Whose,
        load: Load,
        scale: f64,
    ) -> Result<(Modelled, f64), SolveError> {
        let seen = |circuit: &Circuit| -> Result<f64, SolveError> {
            let drawn = self.phasors(circuit, whose)?.port(port);
            Ok(drawn.under(load.siemens).norm() * scale)
        };
        let phasors = self.phasors(&self.job.circuit, whose)?;
        let drawn = phasors.port(port);
        let one = Phasor::new(1.0, 0.0);
        let yields = (one / (one + drawn.ohms * load.siemens)).norm();
        let value = drawn.under(load.siemens).norm() * scale;
        if value < NOTHING {
            return Ok((Modelled::nothing(), yields));
        }
        let mut model = Modelled {
            value,
            by_number: Vec::new(),
            besides: 0.0,
        };
        if self.job.circuit.nodes().len() > MOST_NODES_VARIED {
            model.besides = (UNVARIED * value).powi(2);
            return Ok((model, yields));
        }
        for (index, part) in self.job.circuit.parts().iter().enumerate() {
            let id = PartId(index);
            for parameter in numbers(part) {
                let spread = spread_of(part, parameter);
                if spread.standard() <= 0.0 {
                    continue;
                }
                let at = |sigmas: f64| {
                    let change = [(id, parameter, spread.change(sigmas))];
                    seen(&self.job.circuit.varied(change))
                };
                let slope = (at(STEP)? - at(-STEP)?) / (2.0 * STEP * spread.standard());
                if slope != 0.0 {
                    let number = ParameterId {
                        part: id,
                        parameter,
                    };
                    model.by_number.push((number, slope));
                }
            }
            if let Some(share) = reactive_spread(part) {
                let standard = share / 3f64.sqrt();
                let at =
                    |sigmas: f64| seen(&with_reactance(&self.job.circuit, id, sigmas * standard));
                let by_sigma = (at(STEP)? - at(-STEP)?) / (2.0 * STEP);
                model.besides += by_sigma * by_sigma;
            }
        }
        Ok((model, yields))
    }
}

/// Numbers of a part that may differ from what is written on it and that alternating volts follow.
fn numbers(part: &Part) -> Vec<PartParameter> {
    use PartParameter as P;
    match &part.kind {
        PartKind::Resistor(_) | PartKind::Potentiometer(_) | PartKind::Lamp(_) => {
            vec![P::Resistance]
        }
        PartKind::Inductor(_) => vec![P::Resistance],
        PartKind::Transformer(_) => vec![P::PrimaryResistance, P::SecondaryResistance],
        PartKind::Supply(_) => vec![P::Volts, P::SourceResistance],
        PartKind::Generator(_) => vec![P::SourceResistance],
        PartKind::Device(device) => {
            let mut found = Vec::new();
            for unit in &device.units {
                for number in unit.characteristic.parameters() {
                    let number = P::Device(*number);
                    if !found.contains(&number) {
                        found.push(number);
                    }
                }
            }
            found
        }
        _ => Vec::new(),
    }
}

/// Half-width, as a share, of what a part's reactance or ratio may be off.
fn reactive_spread(part: &Part) -> Option<f64> {
    match &part.kind {
        PartKind::Capacitor(capacitor) => Some(capacitor.tolerance.unwrap_or(CAPACITANCE)),
        PartKind::Inductor(coil) => coil.henries.map(|_| INDUCTANCE),
        PartKind::Transformer(_) => Some(RATIO),
        _ => None,
    }
}

/// The circuit with a part's reactance or ratio larger by a share.
fn with_reactance(circuit: &Circuit, id: PartId, share: f64) -> Circuit {
    let mut alteration = Alteration::none(&Conditions::default());
    match &mut alteration.part_mut(circuit, id).kind {
        PartKind::Capacitor(capacitor) => capacitor.farads *= 1.0 + share,
        PartKind::Inductor(coil) => coil.henries = coil.henries.map(|own| own * (1.0 + share)),
        PartKind::Transformer(two) => two.ratio *= 1.0 + share,
        _ => {}
    }
    circuit.altered(&alteration)
}
