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
    /// The equations are singular, or too nearly so to trust the answer.
    #[error(
        "the equations leave node {node} undetermined (off by {residual:.3e} of the largest term)"
    )]
    Singular {
        /// The node whose equation is met worst.
        node: String,
        /// The largest miss over the largest term of its equation.
        residual: f64,
    },
    /// Newton's method found no operating point, by none of its ways.
    #[error(
        "no operating point found in {steps} steps: node {node} is off balance by {amperes:.3e} A, \
         most of it through {device}"
    )]
    NoConvergence {
        /// The node whose balance is missed most.
        node: String,
        /// The device that carries most current there.
        device: String,
        /// The miss in amperes.
        amperes: f64,
        /// Steps taken on the direct way.
        steps: usize,
    },
    /// A glow discharge that strikes and goes out for ever.
    #[error(
        "{device} strikes and goes out again for ever: it gets too little current to stay lit"
    )]
    Restless {
        /// The glow tube or lamp.
        device: String,
    },
}
