//! Equations of a circuit and their solution.
//!
//! A [`circuit::Circuit`] under given [`circuit::Conditions`] comes in; node voltages, port
//! resistances and the effect of a meter go out. One factorization serves every point, meter and
//! range. It knows nothing of texts, manuals or tolerance bands.
//!
//! Modified nodal analysis: one voltage row a node, one current row a source, winding or closed
//! contact (C.-W. Ho, A. E. Ruehli, P. A. Brennan, "The modified nodal approach to network
//! analysis", IEEE Trans. Circuits and Systems 22(6), 1975, pp. 504-509).

mod adjoint;
mod altered;
mod chord;
mod convergence;
mod device;
mod element;
mod elimination;
mod equations;
mod error;
mod factor;
mod law;
mod metered;
mod neighbour;
mod newton;
mod perturbed;
mod port;
mod problem;
mod reduced;
mod rows;
mod sensitivity;
mod slopes;
mod solution;
mod source_loop;

pub use adjoint::{ParameterId, Pull};
pub use altered::{Alterable, Altered};
pub use convergence::{Convergence, Path};
pub use element::{elements, Element, ElementKind};
pub use elimination::{Elimination, SPARSE_FROM};
pub use equations::Equations;
pub use error::SolveError;
pub use law::{evaluate, Evaluation, MOST_TERMINALS};
pub use metered::Metered;
pub use neighbour::solve_near;
pub use perturbed::{Perturbed, PerturbedPort};
pub use port::{Load, LoadedPort};
pub use slopes::{Seen, Slopes};
pub use solution::{solve, Solution};

/// Thermal voltage kT/q at 27 °C, in volts: the temperature for which semiconductor data is kept.
pub const THERMAL_VOLTS: f64 = 25.865e-3;
