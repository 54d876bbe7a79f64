//! Why a circuit has no trustworthy solution.

use thiserror::Error;

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
    #[error("the equations leave the voltage of node {node} open")]
    Singular {
        /// The node.
        node: String,
    },
    /// Newton's method found no operating point by any of its strategies.
    #[error(
        "no operating point found in {steps} steps: node {node} is off balance by {amperes:.3e} A, \
         most of it through {device}"
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
    /// Nothing limits the current through a device.
    #[error(
        "nothing limits the current through {device}{}; is a resistance missing, or a source on the wrong \
         terminals?",
        would_carry(*.amperes)
    )]
    Unlimited {
        /// The device.
        device: String,
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
    /// Rounding leaves no digits of a reading.
    #[error(
        "arithmetic leaves {digits:.0} digits of this value: the circuit magnifies the least change \
         of its numbers without bounds; is a resistance or a source decades off?"
    )]
    NoDigits {
        /// Decimal digits that are left.
        digits: f64,
    },
}

/// Beyond so many amperes, which no wire carries, a number says nothing more.
const ANY_NUMBER: f64 = 1e12;

fn would_carry(amperes: f64) -> String {
    if amperes < ANY_NUMBER {
        format!(": it would have to carry {amperes:.1e} A")
    } else {
        String::new()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_current_without_bounds_is_given_no_number() {
        let said = |amperes| {
            let device = "Q1".to_owned();
            SolveError::Unlimited { device, amperes }.to_string()
        };
        assert!(said(1.3e5).contains("Q1: it would have to carry 1.3e5 A; is a resistance"));
        for amperes in [3e307, f64::INFINITY, f64::NAN] {
            assert!(
                said(amperes).contains("through Q1; is a resistance"),
                "{amperes}"
            );
        }
    }
}
