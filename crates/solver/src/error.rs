//! Why a circuit has no trustworthy solution.

use std::fmt;

use thiserror::Error;
use units::{engineering, Unit};

/// A circuit that cannot be solved, with what to look at.
#[derive(Clone, Debug, Error, PartialEq)]
pub enum SolveError {
    /// An island without a reference node.
    #[error(
        "nothing ties {} to a reference node (parts: {})",
        nodes.join(", "),
        parts.join(", ")
    )]
    NoReference {
        /// Nodes of the island.
        nodes: Vec<String>,
        /// Parts of the island.
        parts: Vec<String>,
    },
    /// Ideal sources, closed contacts and windings without resistance that form a loop.
    #[error("sources without resistance form a loop through {}", parts.join(", "))]
    SourceLoop {
        /// Parts round the loop.
        parts: Vec<String>,
    },
    /// The equations do not determine a node's voltage.
    #[error("the equations leave the voltage of {} open", at(node))]
    Singular {
        /// The node.
        node: String,
    },
    /// Newton's method found no operating point by any of its strategies.
    #[error(
        "no operating point found in {steps} steps: {} is off balance by {}, most of it through {device}",
        at(node),
        engineering(amperes.abs(), Unit::Ampere, 3)
    )]
    NoConvergence {
        /// The node whose current balance has the largest error.
        node: String,
        /// The device that carries most current there.
        device: String,
        /// That error in amperes.
        amperes: f64,
        /// Steps taken without a fall-back.
        steps: usize,
    },
    /// Nothing limits the current between two terminals.
    #[error("nothing limits the current {path}{}", would_flow(*.amperes))]
    Unlimited {
        /// The terminals.
        path: Box<CurrentPath>,
        /// The current in amperes.
        amperes: f64,
    },
    /// A glow discharge that strikes and goes out without end.
    #[error(
        "{device} strikes and goes out again for ever: it gets too little current to stay lit"
    )]
    Restless {
        /// The glow tube or lamp.
        device: String,
    },
    /// A state is asked for that the circuit does not have.
    #[error(
        "the circuit has one stable state only, and {device} {} in it",
        if *conducts { "conducts" } else { "is cut off" }
    )]
    OneState {
        /// The tube or transistor whose state is stated.
        device: String,
        /// Whether it conducts in the one state.
        conducts: bool,
    },
    /// Rounding leaves too few digits of a reading.
    #[error(
        "arithmetic leaves {} of 16 digits of this value, too few for an answer: the least change of a part \
         moves it without bounds, as behind many stages without feedback; look for a missing part of \
         feedback or bias, or a value that is decades off",
        digits.floor()
    )]
    NoDigits {
        /// Decimal digits that are left.
        digits: f64,
    },
}

impl SolveError {
    /// Whether a state was found, of which one reading cannot be trusted or which is not the one that is asked for.
    pub fn has_a_state(&self) -> bool {
        matches!(
            self,
            SolveError::NoDigits { .. } | SolveError::OneState { .. }
        )
    }
}

/// The terminals between which a current flows.
#[derive(Clone, Debug, PartialEq)]
pub struct CurrentPath {
    /// Where it flows in.
    pub from: DeviceEnd,
    /// Where it flows out.
    pub to: DeviceEnd,
}

/// A terminal of a device.
#[derive(Clone, Debug, PartialEq)]
pub struct DeviceEnd {
    /// The device.
    pub device: String,
    /// What the terminal is called.
    pub terminal: &'static str,
    /// Its node.
    pub node: String,
}

impl fmt::Display for CurrentPath {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let CurrentPath { from, to } = self;
        let (first, second) = (at(&from.node), at(&to.node));
        write!(
            f,
            "from the {} of {} ({first}) to ",
            from.terminal, from.device
        )?;
        match from.device == to.device {
            true => write!(f, "its {} ({second})", to.terminal),
            false => write!(f, "the {} of {} ({second})", to.terminal, to.device),
        }
    }
}

/// A node by its name; one that is not drawn has a description instead.
fn at(node: &str) -> String {
    match node {
        "" => "a node that a source holds".to_owned(),
        node if node.contains(' ') => format!("a point {node}"),
        node => format!("node {node}"),
    }
}

/// Beyond so many amperes, which no wire carries, a number says nothing more.
const ANY_NUMBER: f64 = 1e6;

fn would_flow(amperes: f64) -> String {
    if amperes < ANY_NUMBER {
        format!(": {} would flow", engineering(amperes, Unit::Ampere, 2))
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn end(device: &str, terminal: &'static str, node: &str) -> DeviceEnd {
        DeviceEnd {
            device: device.to_owned(),
            terminal,
            node: node.to_owned(),
        }
    }

    fn unlimited(to: DeviceEnd, amperes: f64) -> String {
        let from = end("Q1", "base", "rail");
        let path = Box::new(CurrentPath { from, to });
        SolveError::Unlimited { path, amperes }.to_string()
    }

    #[test]
    fn a_current_without_bounds_is_given_no_number() {
        let own = || end("Q1", "emitter", "chassis");
        let path = "nothing limits the current from the base of Q1 (node rail) to its emitter (node chassis)";
        assert_eq!(
            unlimited(own(), 1.3e5),
            format!("{path}: 130 kA would flow")
        );
        for amperes in [3e307, f64::INFINITY, f64::NAN] {
            assert_eq!(unlimited(own(), amperes), path, "{amperes}");
        }
        let other = unlimited(end("Q2", "emitter", "inside a part"), 2e3);
        assert!(other.contains("to the emitter of Q2 (a point inside a part): 2.0 kA would flow"));
    }

    #[test]
    fn digits_are_rounded_down() {
        // 2.9 digits are fewer than the three that an answer needs.
        let said = SolveError::NoDigits { digits: 2.9 }.to_string();
        assert!(said.contains("leaves 2 of 16 digits"), "{said}");
    }
}
