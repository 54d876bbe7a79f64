//! Reads `vectors/bistable.toml`.

use circuit::{Circuit, Port};
use serde::Deserialize;

use crate::vectors::{Component, NodeVolts, Vector};

/// A circuit with all its states.
pub struct Case {
    drawing: Vector,
    pub states: Vec<State>,
    pub ports: Vec<MeteredPort>,
}

/// An answer that is stable or not.
pub trait Listed {
    fn stable(&self) -> bool;
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct State {
    pub stable: bool,
    pub volts: Vec<NodeVolts>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct MeteredPort {
    pub plus: String,
    pub minus: String,
    /// For a small current, in each state.
    pub ohms: Vec<f64>,
    pub metered: Vec<Question>,
    pub held: Vec<Held>,
}

/// What a meter reads with a current pushed into the port.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    pub ohms: f64,
    pub amperes: f64,
    pub answers: Vec<Reading>,
    /// Which answer each state moves to as the load comes on; -1 where it ends on the way.
    pub follows: Vec<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Reading {
    pub volts: f64,
    stable: bool,
}

/// Which currents make a meter read given volts.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Held {
    pub ohms: f64,
    pub volts: f64,
    pub answers: Vec<Current>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Current {
    pub amperes: f64,
    stable: bool,
}

impl Listed for State {
    fn stable(&self) -> bool {
        self.stable
    }
}

impl Listed for Reading {
    fn stable(&self) -> bool {
        self.stable
    }
}

impl Listed for Current {
    fn stable(&self) -> bool {
        self.stable
    }
}

pub fn cases() -> Vec<Case> {
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct Written {
        name: String,
        about: String,
        parts: Vec<Component>,
        states: Vec<State>,
        ports: Vec<MeteredPort>,
    }
    #[derive(Deserialize)]
    #[serde(deny_unknown_fields)]
    struct File {
        circuit: Vec<Written>,
    }
    let text = include_str!("../vectors/bistable.toml");
    let file: File = toml::from_str(text).unwrap_or_else(|fault| panic!("{fault}"));
    file.circuit
        .into_iter()
        .map(|written| Case {
            drawing: Vector {
                name: written.name,
                about: written.about,
                parts: written.parts,
                volts: Vec::new(),
                amperes: Vec::new(),
                metered: Vec::new(),
                held: Vec::new(),
            },
            states: written.states,
            ports: written.ports,
        })
        .collect()
}

impl Case {
    pub fn name(&self) -> &str {
        &self.drawing.name
    }

    pub fn circuit(&self) -> Circuit {
        self.drawing.circuit()
    }
}

impl MeteredPort {
    pub fn at(&self, circuit: &Circuit) -> Port {
        Port {
            plus: circuit.node(&self.plus).unwrap(),
            minus: circuit.node(&self.minus).unwrap(),
        }
    }
}
