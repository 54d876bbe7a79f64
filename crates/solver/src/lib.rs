//! Equations of a circuit and their solution.
//!
//! A [`circuit::Circuit`] under given [`circuit::Conditions`] comes in; node voltages, port
//! resistances and the effect of a meter go out. It knows nothing of texts, manuals or tolerance
//! bands. The circuit becomes a resistive network (`network`); all rows that no tube or
//! semiconductor touches are eliminated once (`star_mesh`); Newton's method finds the operating
//! point among the rest (`reduced`, `newton`); meters, trials and faults start from there
//! (`deviation`).

mod altered;
mod condition;
mod conducting;
mod convergence;
mod damping;
mod deviation;
mod device;
mod element;
mod equations;
mod error;
mod factors;
mod grounding;
mod hint;
mod impedances;
mod jacobian;
mod law;
mod metered;
mod neighbour;
mod network;
mod newton;
mod numbers;
mod ohmmeter;
mod phasor;
mod port;
mod potentials;
mod pseudo_transient;
mod reduced;
mod sensitivity;
mod solution;
mod source_loop;
mod sparse;
mod stable;
mod star_mesh;
mod terms;
mod thin;
mod ties;
mod unlimited;

pub use altered::{Alterable, Altered, Probes};
pub use condition::Condition;
pub use convergence::{Convergence, Path};
pub use element::{elements, Element, ElementKind};
pub use error::{CurrentPath, DeviceEnd, SolveError};
pub use jacobian::{Jacobian, PortReading};
pub use law::{evaluate, Evaluation, MOST_TERMINALS};
pub use metered::Metered;
pub use neighbour::{solve_near, solve_varied, solve_varied_directly};
pub use numbers::{Numbers, ParameterId, ParameterSensitivity, Sensitivities};
pub use ohmmeter::{Lead, PowerOff, TestSource, Tested};
pub use phasor::{Phasor, PhasorPort, PhasorReading, Phasors};
pub use port::{Load, LoadedPort};
pub use solution::{solve, solve_all, Solution};
pub use thin::Thin;

/// Thermal voltage kT/q at 27 °C, in volts: the temperature for which semiconductor data is kept.
pub const THERMAL_VOLTS: f64 = 25.865e-3;
