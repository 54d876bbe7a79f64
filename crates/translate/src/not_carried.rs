//! Why a manual entry is left as it is.

use circuit::Quantity;
use solver::SolveError;

/// Why a manual entry is left as it is.
#[derive(Clone, Debug, PartialEq)]
pub enum NotCarried {
    /// This quantity is not translated yet.
    Quantity(Quantity),
    /// The manual does not name the meter, and no class has been put in for it
    /// ([`circuit::Job::with_unknown_meter`]).
    UnknownMeter,
    /// The circuit round the point is not drawn, and no source resistance is stated.
    NotDrawn,
    /// No direct current can reach the point, so its voltage means nothing.
    Floating,
    /// A value other than zero, where the drawing has both probes on one node.
    OnOneNode,
    /// The circuit has no trustworthy solution under this row's conditions.
    Unsolved(SolveError),
    /// The circuit as drawn finds no state with the manual's or the bench meter's reading.
    NoState(SolveError),
}
