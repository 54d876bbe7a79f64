//! A tube or semiconductor in the circuit: its law, and the rows of its terminals.

use std::sync::Arc;

use circuit::{Characteristic, Circuit, Conditions, Glow, PartId, PartKind, SoftKnee};
use nalgebra::{DMatrix, DVector};

use crate::impedances::Impedances;
use crate::law::{self, limit_junction, ByNumber, Evaluation, Limiter, MOST_TERMINALS};
use crate::ties::Place;

/// A knee voltage that no circuit reaches, in volts.
const OUT_OF_REACH: f64 = 1e6;

/// A resistance between a terminal and a node of its own inside the device.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Series {
    /// The device.
    pub(crate) part: PartId,
    /// The terminal's node.
    pub(crate) outer: usize,
    /// The inner node; its number follows those of the circuit's nodes.
    pub(crate) inner: usize,
    /// Resistance in ohms.
    pub(crate) ohms: f64,
}

/// A unit of a device in the equations.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Device {
    /// The part it belongs to.
    pub(crate) part: PartId,
    /// That part's designator.
    pub(crate) designator: Arc<str>,
    /// Its law and numbers.
    pub(crate) characteristic: Characteristic,
    /// Nodes of its terminals; none for terminals that it does not have.
    pub(crate) nodes: [Option<usize>; MOST_TERMINALS],
    /// The place of each terminal among the rows that devices touch.
    pub(crate) terminals: [Place; MOST_TERMINALS],
    limiters: Vec<Limiter>,
    glow: Option<Glowing>,
}

/// A glow discharge and its state.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Glowing {
    limits: Glow,
    lit: bool,
    knee: SoftKnee,
}

/// Every unit of every device in the circuit, and the inner nodes that series resistances ask for, numbered after
/// those of the circuit.
pub(crate) fn devices(circuit: &Circuit, conditions: &Conditions) -> (Vec<Device>, Vec<Series>) {
    let mut found = Vec::new();
    let mut series = Vec::new();
    for (index, part) in circuit.parts().iter().enumerate() {
        let PartKind::Device(device) = &part.kind else {
            continue;
        };
        if conditions.is_out(PartId(index)) {
            continue;
        }
        for unit in &device.units {
            let mut nodes = [None; MOST_TERMINALS];
            for (node, terminal) in nodes.iter_mut().zip(&unit.at) {
                *node = Some(part.nodes[*terminal].0);
            }
            if let (Some(outer), true) = (nodes[0], unit.series_ohms > 0.0) {
                let inner = circuit.nodes().len() + series.len();
                series.push(Series {
                    part: PartId(index),
                    outer,
                    inner,
                    ohms: unit.series_ohms,
                });
                nodes[0] = Some(inner);
            }
            found.push(Device::new(
                (PartId(index), part.designator.as_str().into()),
                unit.characteristic,
                unit.glow,
                nodes,
            ));
        }
    }
    (found, series)
}

impl Device {
    fn new(
        (part, designator): (PartId, Arc<str>),
        characteristic: Characteristic,
        glow: Option<Glow>,
        nodes: [Option<usize>; MOST_TERMINALS],
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
            nodes,
            terminals: [Place::default(); MOST_TERMINALS],
            glow,
        };
        device.follow_glow();
        device
    }

    /// Sets the place of each terminal.
    pub(crate) fn attach(&mut self, place: impl Fn(usize) -> Place) {
        self.terminals = self.nodes.map(|node| node.map_or(Place::default(), &place));
    }

    /// Scales the sources between its terminals and their rows.
    pub(crate) fn with_sources(&mut self, share: f64) {
        for terminal in &mut self.terminals {
            terminal.volts *= share;
        }
    }

    /// The unknowns that its terminals are connected to, each with the terminal's number.
    pub(crate) fn rows(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let each = self.terminals.iter().enumerate();
        each.filter_map(|(terminal, place)| Some((terminal, place.row?)))
    }

    /// A terminal's entry of a vector of rows less that of its last terminal.
    pub(crate) fn above_last(&self, terminal: usize, of: &DVector<f64>) -> f64 {
        let at = |terminal: usize| self.terminals[terminal].row.map_or(0.0, |row| of[row]);
        at(terminal) - at(self.characteristic.terminals() - 1)
    }

    /// Resistance in ohms between a terminal and its last one, without sign.
    pub(crate) fn ohms_to_last(&self, terminal: usize, impedances: &Impedances<'_>) -> f64 {
        let last = self.terminals[self.characteristic.terminals() - 1].row;
        let own = self.terminals[terminal].row;
        let between = |row: Option<usize>, column: Option<usize>| match (row, column) {
            (Some(row), Some(column)) => impedances.at(row, column),
            _ => 0.0,
        };
        let crossed = between(own, last) + between(last, own);
        (between(own, own) + between(last, last) - crossed).abs()
    }

    /// Its terminals that are connected, each with its node.
    pub(crate) fn attached(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let terminals = self.nodes.iter().enumerate();
        terminals.filter_map(|(terminal, node)| Some((terminal, (*node)?)))
    }

    /// The terminals at the anode and at the cathode of each of its junctions.
    pub(crate) fn junctions(&self) -> impl Iterator<Item = (usize, usize)> + '_ {
        let each = self.limiters.iter();
        each.map(|limiter| (limiter.anode, limiter.cathode))
    }

    /// Volts across the first two terminals.
    pub(crate) fn volts_across(&self, x: &DVector<f64>) -> f64 {
        let volts = self.terminal_volts(x);
        volts[0] - volts[1]
    }

    /// Lights or extinguishes a glow discharge as the state requires; true if something changed. Lit
    /// and dark are two stable states with a gap between them, so this is done outside Newton's
    /// method.
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

    /// Copies from a similar circuit whether the same discharge is lit.
    pub(crate) fn keep_glow_of(&mut self, known: &Device) {
        if let (Some(glow), Some(known)) = (&mut self.glow, &known.glow) {
            glow.lit = known.lit;
            self.follow_glow();
        }
    }

    /// The same device with another law, dark if it is a glow discharge.
    pub(crate) fn with_law(&self, characteristic: Characteristic, glow: Option<Glow>) -> Device {
        let named = (self.part, self.designator.clone());
        let mut device = Device::new(named, characteristic, glow, self.nodes);
        device.terminals = self.terminals;
        device
    }

    /// Whether it is a glow discharge.
    pub(crate) fn glows(&self) -> bool {
        self.glow.is_some()
    }

    /// Volts at which it strikes, if it is a discharge that is lit.
    pub(crate) fn lit_from(&self) -> Option<f64> {
        let glow = self.glow.as_ref().filter(|glow| glow.lit)?;
        Some(glow.limits.strike_volts)
    }

    /// Whether it is a glow discharge that is lit.
    pub(crate) fn is_lit(&self) -> bool {
        self.lit_from().is_some()
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

    /// Derivatives of its currents by each of its numbers at a state.
    pub(crate) fn by_number(&self, x: &DVector<f64>) -> Vec<ByNumber> {
        law::by_number(&self.characteristic, &self.terminal_volts(x))
    }

    /// Adds its currents into the rows it touches, and their derivatives.
    pub(crate) fn add_to(
        &self,
        x: &DVector<f64>,
        currents: &mut DVector<f64>,
        jacobian: &mut DMatrix<f64>,
    ) -> Evaluation {
        let evaluation = self.at(x);
        for (terminal, row) in self.rows() {
            currents[row] += evaluation.current[terminal];
            for (other, column) in self.rows() {
                jacobian[(row, column)] += evaluation.conductance[terminal][other];
            }
        }
        evaluation
    }

    /// Volts of each terminal at a state.
    pub(crate) fn terminal_volts(&self, x: &DVector<f64>) -> [f64; MOST_TERMINALS] {
        self.terminals
            .map(|place| place.row.map_or(0.0, |row| x[row]) + place.volts)
    }

    /// The share of a step that all junctions of this device allow.
    pub(crate) fn allowed_share(&self, x: &DVector<f64>, step: &DVector<f64>) -> f64 {
        self.limiters
            .iter()
            .map(|limiter| {
                let change = {
                    let at =
                        |terminal: usize| self.terminals[terminal].row.map_or(0.0, |row| step[row]);
                    at(limiter.anode) - at(limiter.cathode)
                };
                let volts = self.terminal_volts(x);
                let old = volts[limiter.anode] - volts[limiter.cathode];
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
