//! Alternating volts as the drawing has them, and how they follow its numbers.

use std::rc::Rc;

use circuit::{
    spread_of, Alteration, Circuit, Conditions, DeviceParameter, Job, ManualRow, Part, PartId,
    PartKind, PartParameter, Port,
};
use solver::{ParameterId, Phasor, Phasors, SolveError};

use super::alternating::AcPoint;
use super::circuits::Circuits;
use super::finish::Whose;
use super::{Modelled, NoAnswer};

/// Spread of parts that state none, as half-widths: common practice, no source. A transformer's ratio
/// is wound to a turn.
const CAPACITANCE: f64 = 0.20;
const INDUCTANCE: f64 = 0.20;
const RATIO: f64 = 0.03;

/// Step of a central difference, in standard deviations.
const STEP: f64 = 0.02;

/// Drawings of more nodes have no derivatives by their parts: each asks for operating points.
pub(super) const MOST_NODES_VARIED: usize = 120;

/// Share by which the parts of so large a drawing are taken to scatter a value.
const UNVARIED: f64 = 0.10;

/// Drawings of more nodes are not worked out at a frequency.
const MOST_NODES: usize = 600;

/// Volts below which the drawing is said to give none.
const NOTHING: f64 = 1e-9;

/// The drawing at the frequency of a point.
pub(super) struct AcDrawing<'a> {
    circuit: &'a Circuit,
    port: Port,
    /// On the line of the manual, and on that of the bench.
    manual: Rc<Phasors>,
    bench: Rc<Phasors>,
}

/// Whether nothing but diodes is drawn at one of the two places, such as the plate of a rectifier whose
/// winding is left out: what a diode lets through at rest is not the source of the volts there.
pub fn hangs_on_diodes(circuit: &Circuit, port: Port) -> bool {
    [port.plus, port.minus].into_iter().any(|node| {
        let mut met = false;
        let alone = circuit.parts().iter().all(|part| {
            let ends = part.nodes.iter().enumerate();
            let mut ends = ends.filter(|(_, at)| **at == node).peekable();
            if ends.peek().is_none() {
                return true;
            }
            met = true;
            let PartKind::Device(device) = &part.kind else {
                return false;
            };
            ends.all(|(terminal, _)| {
                let mut units = device.units.iter();
                units.all(|unit| unit.at.len() == 2 || !unit.at.contains(&terminal))
            })
        });
        met && alone
    })
}

impl<'a> AcDrawing<'a> {
    /// The drawing of a row; none where the row is not drawn, hangs on diodes alone, or states a source
    /// of its own.
    pub(super) fn of(
        point: &AcPoint<'_>,
        job: &'a Job,
        row: &ManualRow<'_>,
        known: &mut Circuits<'_>,
    ) -> Result<Option<Self>, NoAnswer> {
        let drawn = |port: &Port| row.source.is_none() && !hangs_on_diodes(&job.circuit, *port);
        let Some(port) = row.port.filter(drawn) else {
            return Ok(None);
        };
        if job.circuit.nodes().len() > MOST_NODES {
            return Err(NoAnswer::TooLarge);
        }
        let mut on_line = |whose: Whose, line_factor: f64| {
            let conditions = Conditions {
                settings: row.settings.to_vec(),
                line_factor,
            };
            let drive = point.line_factor(whose);
            let phasors = known.phasors(conditions, point.hertz, drive);
            phasors.map_err(NoAnswer::Unsolved)
        };
        Ok(Some(AcDrawing {
            circuit: &job.circuit,
            port,
            manual: on_line(Whose::Manual, 1.0)?,
            bench: on_line(Whose::Bench, job.line_factor())?,
        }))
    }

    /// Whether any generator of the frequency is drawn.
    pub(super) fn is_driven(&self) -> bool {
        self.manual.is_driven()
    }

    /// What the drawing reads under a load in siemens on a scale, and by how much the load lowers the volts.
    pub(super) fn modelled(
        &self,
        whose: Whose,
        siemens: Phasor,
        scale: f64,
    ) -> Result<(Modelled, f64), SolveError> {
        let phasors = match whose {
            Whose::Manual => &self.manual,
            Whose::Bench => &self.bench,
        };
        let drawn = phasors.port(self.port);
        let one = Phasor::new(1.0, 0.0);
        let yields = (one / (one + drawn.ohms * siemens)).norm();
        let value = drawn.under(siemens).norm() * scale;
        if value < NOTHING {
            return Ok((Modelled::nothing(), yields));
        }
        let mut model = Modelled {
            value,
            by_number: Vec::new(),
            besides: 0.0,
        };
        let small = self.circuit.nodes().len() <= MOST_NODES_VARIED;
        let reading = small.then(|| phasors.reading(self.port, siemens)).flatten();
        let Some(reading) = reading else {
            model.besides = (UNVARIED * value).powi(2);
            return Ok((model, yields));
        };
        for (index, part) in self.circuit.parts().iter().enumerate() {
            let id = PartId(index);
            for parameter in numbers(part) {
                let spread = spread_of(part, parameter);
                if spread.standard() <= 0.0 {
                    continue;
                }
                let at = |sigmas: f64| -> Result<f64, SolveError> {
                    let change = [(id, parameter, spread.change(sigmas))];
                    let varied = reading.varied(&self.circuit.varied(change))?;
                    Ok(varied.norm() * scale)
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
            let at = |sigmas: f64| {
                let other = with_reactance(self.circuit, id, sigmas)?;
                Some(reading.with_reactances(&other).norm() * scale)
            };
            if let (Some(above), Some(below)) = (at(STEP), at(-STEP)) {
                let by_sigma = (above - below) / (2.0 * STEP);
                model.besides += by_sigma * by_sigma;
            }
        }
        Ok((model, yields))
    }
}

/// Numbers of a part that may differ from what is written on it and that alternating volts follow: all but the
/// leakage of a capacitor, beside its reactance, and a resistance in series with a device.
fn numbers(part: &Part) -> impl Iterator<Item = PartParameter> + '_ {
    let all = part.numbers().map(|number| number.parameter);
    all.filter(|number| {
        !matches!(
            number,
            PartParameter::Leak | PartParameter::Device(DeviceParameter::SeriesResistance)
        )
    })
}

/// A part's reactance or ratio, and its half-width as a share of it.
fn reactance(kind: &mut PartKind) -> Option<(&mut f64, f64)> {
    match kind {
        PartKind::Capacitor(capacitor) => {
            let share = capacitor.tolerance.unwrap_or(CAPACITANCE);
            Some((&mut capacitor.farads, share))
        }
        PartKind::Inductor(coil) => coil.henries.as_mut().map(|henries| (henries, INDUCTANCE)),
        PartKind::Transformer(two) => Some((&mut two.ratio, RATIO)),
        PartKind::Resistor(_)
        | PartKind::Potentiometer(_)
        | PartKind::Supply(_)
        | PartKind::Generator(_)
        | PartKind::Lamp(_)
        | PartKind::Contact(_)
        | PartKind::Device(_) => None,
    }
}

/// The circuit with a part's reactance or ratio so many standard deviations larger; none for a part
/// without either.
fn with_reactance(circuit: &Circuit, id: PartId, sigmas: f64) -> Option<Circuit> {
    let mut alteration = Alteration::none(&Conditions::default());
    let (number, share) = reactance(&mut alteration.part_mut(circuit, id).kind)?;
    *number *= 1.0 + sigmas * share / 3f64.sqrt();
    Some(circuit.altered(&alteration))
}
