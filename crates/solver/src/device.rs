//! A tube or semiconductor in place: its law, and the rows of the nodes it hangs on.

use circuit::{Characteristic, Circuit, Glow, PartId, PartKind, SoftKnee};
use nalgebra::{DMatrix, DVector};

use crate::law::{self, limit_junction, Evaluation, Limiter, MOST_TERMINALS};

/// A knee that no circuit reaches, in volts.
const OUT_OF_REACH: f64 = 1e6;

/// A resistance between a terminal and a node of its own inside the device.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Series {
    /// The device.
    pub(crate) part: PartId,
    /// Row of the terminal's node.
    pub(crate) outer: Option<usize>,
    /// Row of the inner node.
    pub(crate) inner: usize,
    /// Resistance in ohms.
    pub(crate) ohms: f64,
}

/// A unit of a device in the equations.
#[derive(Clone, Debug)]
pub(crate) struct Device {
    /// The part it belongs to.
    pub(crate) part: PartId,
    /// That part's designator.
    pub(crate) designator: String,
    /// Its law and numbers.
    pub(crate) characteristic: Characteristic,
    /// Rows of its terminals' nodes; none for a reference and for terminals it has not.
    pub(crate) rows: [Option<usize>; MOST_TERMINALS],
    limiters: Vec<Limiter>,
    glow: Option<Glowing>,
}

/// A glow discharge and its state.
#[derive(Clone, Copy, Debug)]
struct Glowing {
    limits: Glow,
    lit: bool,
    knee: SoftKnee,
}

/// Every unit of every device, and the inner nodes that series resistances ask for, numbered from
/// `first_inner`.
pub(crate) fn devices(
    circuit: &Circuit,
    node_rows: &[Option<usize>],
    first_inner: usize,
) -> (Vec<Device>, Vec<Series>) {
    let mut found = Vec::new();
    let mut series = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let PartKind::Device(device) = &part.kind else {
            continue;
        };
        for unit in &device.units {
            let mut rows = [None; MOST_TERMINALS];
            for (row, terminal) in rows.iter_mut().zip(&unit.at) {
                *row = node_rows[part.nodes[*terminal].0];
            }
            if unit.series_ohms > 0.0 {
                let inner = first_inner + series.len();
                series.push(Series {
                    part: PartId(index),
                    outer: rows[0],
                    inner,
                    ohms: unit.series_ohms,
                });
                rows[0] = Some(inner);
            }
            found.push(Device::new(
                (PartId(index), part.designator.clone()),
                unit.characteristic,
                unit.glow,
                rows,
            ));
        }
    }
    (found, series)
}

impl Device {
    fn new(
        (part, designator): (PartId, String),
        characteristic: Characteristic,
        glow: Option<Glow>,
        rows: [Option<usize>; MOST_TERMINALS],
    ) -> Self {
        let glow = match (glow, characteristic) {
            (Some(limits), Characteristic::SoftKnee(knee)) => Some(Glowing {
                limits,
                lit: false,
                knee,
            }),
            _ => None,
        };
        let mut device = Device {
            part,
            designator,
            limiters: law::limiters(&characteristic),
            characteristic,
            rows,
            glow,
        };
        device.follow_glow();
        device
    }

    /// Volts across the first two terminals.
    fn volts_across(&self, x: &DVector<f64>) -> f64 {
        let volts = self.terminal_volts(x);
        volts[0] - volts[1]
    }

    /// Strikes or goes out where the state asks for it; true if something changed. Lit and dark
    /// are two stable states with a gap between them, so this stands outside Newton's method.
    pub(crate) fn settle_glow(&mut self, x: &DVector<f64>) -> bool {
        let volts = self.volts_across(x);
        let amperes = self.at(x).current[0];
        let Some(glow) = &mut self.glow else {
            return false;
        };
        let lit = if glow.lit {
            amperes >= glow.limits.least_amperes
        } else {
            volts >= glow.limits.strike_volts
        };
        let changed = lit != glow.lit;
        glow.lit = lit;
        self.follow_glow();
        changed
    }

    /// Takes over whether the same discharge of a like circuit is lit.
    pub(crate) fn keep_glow_of(&mut self, known: &Device) {
        if let (Some(glow), Some(known)) = (&mut self.glow, &known.glow) {
            glow.lit = known.lit;
            self.follow_glow();
        }
    }

    /// The same device with another law, dark if it is a glow discharge.
    pub(crate) fn with_law(&self, characteristic: Characteristic, glow: Option<Glow>) -> Device {
        let named = (self.part, self.designator.clone());
        Device::new(named, characteristic, glow, self.rows)
    }

    /// Volts at which it strikes, if it is a discharge that is lit.
    pub(crate) fn lit_from(&self) -> Option<f64> {
        let glow = self.glow.as_ref().filter(|glow| glow.lit)?;
        Some(glow.limits.strike_volts)
    }

    /// The same device as the power is switched on: dark, if it is a glow discharge.
    pub(crate) fn dark(&self) -> Device {
        let mut device = self.clone();
        if let Some(glow) = &mut device.glow {
            glow.lit = false;
            device.follow_glow();
        }
        device
    }

    /// The same device with its terminals' rows numbered otherwise.
    pub(crate) fn with_rows(&self, number: impl Fn(usize) -> Option<usize>) -> Device {
        Device {
            rows: self.rows.map(|row| row.and_then(&number)),
            ..self.clone()
        }
    }

    /// Dark, the knee is out of reach and only the leakage is left.
    fn follow_glow(&mut self) {
        if let Some(glow) = &self.glow {
            let knee_volts = if glow.lit {
                glow.knee.knee_volts
            } else {
                OUT_OF_REACH
            };
            self.characteristic = Characteristic::SoftKnee(SoftKnee {
                knee_volts,
                ..glow.knee
            });
        }
    }

    /// Currents and derivatives at a state.
    pub(crate) fn at(&self, x: &DVector<f64>) -> Evaluation {
        law::evaluate(&self.characteristic, &self.terminal_volts(x))
    }

    /// Adds its currents into the nodes it touches, and their derivatives.
    pub(crate) fn add_to(
        &self,
        x: &DVector<f64>,
        currents: &mut DVector<f64>,
        slopes: &mut DMatrix<f64>,
    ) {
        let evaluation = self.at(x);
        for terminal in 0..MOST_TERMINALS {
            let Some(row) = self.rows[terminal] else {
                continue;
            };
            currents[row] += evaluation.current[terminal];
            for other in 0..MOST_TERMINALS {
                if let Some(column) = self.rows[other] {
                    slopes[(row, column)] += evaluation.conductance[terminal][other];
                }
            }
        }
    }

    /// Volts of each terminal at a state.
    pub(crate) fn terminal_volts(&self, x: &DVector<f64>) -> [f64; MOST_TERMINALS] {
        self.rows.map(|row| row.map_or(0.0, |row| x[row]))
    }

    /// The share of a step that every junction of this device allows.
    pub(crate) fn allowed_share(&self, x: &DVector<f64>, step: &DVector<f64>) -> f64 {
        self.limiters
            .iter()
            .map(|limiter| {
                let across = |vector: &DVector<f64>| {
                    let at = |terminal: usize| self.rows[terminal].map_or(0.0, |row| vector[row]);
                    at(limiter.anode) - at(limiter.cathode)
                };
                let (old, change) = (across(x), across(step));
                let limited = limit_junction(limiter, old + change, old);
                if limited < old + change {
                    ((limited - old) / change).max(0.0)
                } else {
                    1.0
                }
            })
            .fold(1.0, f64::min)
    }
}
