//! Thousands of random circuits whose resistors lie up to fifteen decades apart.
//!
//! Independently derived: node volts and resistances come from an elimination in whole numbers
//! (`twelve_decades/exact.rs`), device currents from laws written afresh
//! (`twelve_decades/devices.rs`). Nothing of the solver is used to judge it.
//!
//! How close an answer can be. By the all-minors matrix tree theorem (S. Chaiken, "A combinatorial
//! proof of the all minors matrix tree theorem", SIAM J. Alg. Disc. Meth. 3 (1982) 319; from
//! memory) a node's volts against ground are
//!
//! ```text
//! v = Σ V_s (P_s⁺ − P_s⁻) / D        0 ≤ P_s± ≤ D
//! ```
//!
//! over the sources, where `D`, `P⁺` and `P⁻` are sums of products of conductances without a minus
//! sign. A change of every conductance by a share `ε` changes each by a share of `n·ε` at most, so
//! `v` moves by less than `4·n·ε·Σ|V_s|` and a resistance to ground by a share of `2·n·ε`,
//! however far apart the resistors are. With `n` ≤ 12 that is 1e-14. Every circuit here is well
//! conditioned in that sense, no matter what its matrix looks like, and 1e-9 is asked of all.
//!
//! For the circuits with devices the same was measured: six times over, every conductance was
//! raised or lowered at random by a share of 2⁻⁴⁰, and the reference worked out anew. Scaled to one
//! rounding, 2⁻⁵², no node of any circuit moved by more than 5e-7 of what is allowed here.

mod devices;
mod drawing;
mod exact;
mod linear;
mod nonlinear;
mod ports;
pub mod tally;
